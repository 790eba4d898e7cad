using System.Collections.Concurrent;
using Microsoft.AspNetCore.Mvc;
using Roadproof.App.Frame;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Rides;

namespace Roadproof.App.Road;

/// <summary>Takes rides in, one file or many, and keeps each without its places or says why not; lets one go again.</summary>
public static class KeepRides
{
    // A ride of a day is a few megabytes; a folder of a summer comes in one form.
    const long LargestFile = 64L << 20;
    const long LargestForm = 1L << 30;

    /// <param name="Outcome">kept, already-there or refused.</param>
    /// <param name="Ride">Its id; null where it was refused.</param>
    public sealed record FileOutcome(string Name, string Outcome, string? Ride, IReadOnlyList<InputError> Errors);

    public sealed record Answer(int Kept, int AlreadyThere, int Refused, IReadOnlyList<FileOutcome> Files);

    public sealed record LetGoAnswer(string Ride);

    public static void Map(IEndpointRouteBuilder app)
    {
        app.MapPost("/api/v1/rides", async (string? name, string? person, HttpRequest request, RideStore rides, CancellationToken stop) =>
        {
            // Tools that send a file as a body like to call it a form of fields: only one of files is one.
            var answer = request.ContentType?.StartsWith("multipart/form-data", StringComparison.OrdinalIgnoreCase) == true ? Take((await request.ReadFormAsync(stop)).Files, person, rides) : Together([Take(name ?? "ride", await Octets(request.Body, request.ContentLength, stop), person, rides)]);
            // A sender of one broken file must not take it for kept.
            return answer.Refused == answer.Files.Count ? throw new InputException([.. answer.Files.SelectMany(f => f.Errors)]) : Results.Json(answer, Json.Options);
        }).WithMetadata(new RequestSizeLimitAttribute(LargestForm), new RequestFormLimitsAttribute { MultipartBodyLengthLimit = LargestForm }).WithSummary("Keep recorded rides, without their places");
        app.MapGet("/api/v1/rides", (RideStore rides) => Results.Json(new { rides = rides.All }, Json.Options)).WithSummary("Rides that are kept, in the order in which they came");
        app.MapGet("/api/v1/rides/{ride}", (string ride, RideStore rides) => rides.Find(ride) is { } facts ? Results.Json(facts, Json.Options) : Missing(ride)).WithSummary("What is known of one kept ride");
        app.MapGet("/api/v1/rides/{ride}/file", (string ride, RideStore rides) => rides.OpenTable(ride) is { } table ? Results.Stream(table, "text/csv; charset=utf-8", $"{ride}.csv") : Missing(ride))
            .WithSummary("The kept ride as a table");
        app.MapDelete("/api/v1/rides/{ride}", (string ride, string? person, RideStore rides) => rides.LetGo(ride, person) ? Results.Json(new LetGoAnswer(ride), Json.Options) : Missing(ride)).WithSummary("Delete a kept ride");

        app.MapPost("/road/rides", (IFormFileCollection files, [FromForm] string? person, [FromForm] string key, [FromForm] string? settings, RideStore rides, SentRides sent) =>
        {
            sent.Remember(key, Take(files, person, rides));
            return Results.Redirect($"/road?{Back(settings)}sent={Uri.EscapeDataString(key)}#send");
        }).WithMetadata(new RequestSizeLimitAttribute(LargestForm), new RequestFormLimitsAttribute { MultipartBodyLengthLimit = LargestForm }).ExcludeFromDescription();
        app.MapPost("/road/rides/{ride}/let-go", (string ride, [FromForm] string? person, [FromForm] string? settings, RideStore rides) =>
        {
            rides.LetGo(ride, person);
            return Results.Redirect($"/road?{Back(settings)}gone={Uri.EscapeDataString(ride)}");
        }).ExcludeFromDescription();
    }

    /// <summary>Keeps one file or says everything that is wrong with it.</summary>
    public static FileOutcome Take(string name, byte[] octets, string? person, RideStore rides)
    {
        ArgumentNullException.ThrowIfNull(rides);
        try
        {
            var kept = rides.Keep(name, octets, person);
            return new(name, kept.New ? "kept" : "already-there", kept.Ride.Id, []);
        }
        catch (InputException e)
        {
            return new(name, "refused", null, e.Errors);
        }
    }

    static Answer Take(IFormFileCollection files, string? person, RideStore rides)
    {
        if (files.Count == 0) throw new InputException(new InputError("rides", 0, "", "no file", "one or more ride files (FIT, GPX, TCX, CSV)", "Choose them in the form, or send a file's octets as the body with its name in the query."));
        return Together([.. files.Select(file =>
        {
            if (file.Length > LargestFile) return new(file.FileName, "refused", null, [TooLarge(file.FileName, file.Length)]);
            var octets = new byte[file.Length];
            using var stream = file.OpenReadStream();
            stream.ReadExactly(octets);
            return Take(file.FileName, octets, person, rides);
        })]);
    }

    static Answer Together(IReadOnlyList<FileOutcome> files) => new(Count(files, "kept"), Count(files, "already-there"), Count(files, "refused"), files);

    static int Count(IReadOnlyList<FileOutcome> files, string outcome) => files.Count(f => f.Outcome == outcome);

    static async Task<byte[]> Octets(Stream body, long? told, CancellationToken stop)
    {
        if (told > LargestFile) throw new InputException(TooLarge("body", told.Value));
        using var octets = new MemoryStream((int)(told ?? 0));
        var buffer = new byte[1 << 16];
        while (await body.ReadAsync(buffer, stop) is var read && read > 0)
        {
            octets.Write(buffer, 0, read);
            if (octets.Length > LargestFile) throw new InputException(TooLarge("body", octets.Length));
        }

        return octets.ToArray();
    }

    static InputError TooLarge(string name, long octets) => new(name, 0, "", $"{Figure.Bytes(octets)}", $"at most {Figure.Bytes(LargestFile)} for one ride", "Split the recording.");

    static IResult Missing(string ride) => Problems.Missing($"No ride {ride} is kept.", "It was let go of, or never came; GET /api/v1/rides lists what there is.");

    // Only our own settings: what a form says is not followed anywhere else.
    static string Back(string? settings) => string.IsNullOrEmpty(settings) || settings.IndexOfAny(['#', '\r', '\n', '?']) >= 0 ? "" : settings + "&";
}

/// <summary>What became of the files of a form, until its page has been looked at by whoever sent it; the newest hundred.</summary>
public sealed class SentRides
{
    const int Remembered = 100;

    readonly ConcurrentDictionary<string, KeepRides.Answer> answers = new(StringComparer.Ordinal);
    readonly ConcurrentQueue<string> order = new();

    public void Remember(string key, KeepRides.Answer answer)
    {
        if (answers.TryAdd(key, answer)) order.Enqueue(key);
        while (order.Count > Remembered && order.TryDequeue(out var oldest)) answers.TryRemove(oldest, out _);
    }

    public KeepRides.Answer? Of(string? key) => key is null ? null : answers.GetValueOrDefault(key);
}
