using System.Collections.Concurrent;
using Microsoft.AspNetCore.Mvc;
using Roadproof.App.Frame;
using Roadproof.App.Line;
using Roadproof.App.Lots;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Messages;
using Roadproof.Records.ReadModel;

namespace Roadproof.App.Station;

/// <summary>What a person scans or types at a station: the unit, its parts, its readings, and the unit again to report the step as done.</summary>
/// <remarks>Each scan asks through the same door as a machine's; only what is not yet reported waits here.</remarks>
public static class ScanAtStation
{
    public static void Map(IEndpointRouteBuilder app) => app
        .MapPost("/stations/{station}/scan", async (string station, [FromForm] string code, [FromForm] string needId, [FromForm] string? clear, OpenLine line, BenchScans bench) =>
        {
            await Run(station, needId, code.Trim(), line, bench, clear);
            // A station that is being cleared for an order of a person's choice stays so until it is.
            var still = clear is not null && AskLine.Station(station, line, clear) is { Clearing: not null };
            return Results.Redirect($"/stations/{Uri.EscapeDataString(station)}{(still ? $"?clear={Uri.EscapeDataString(clear!)}" : "")}");
        })
        .ExcludeFromDescription();

    public static async Task Run(string station, string needId, string code, OpenLine line, BenchScans bench, string? clear = null)
    {
        if (AskLine.Station(station, line, clear) is not { } view) return;
        var progress = bench.Of(view);
        var next = NextAction.Of(view, progress);
        if (next is { ByHand: false }) return; // its page has no field: this comes from one that was opened under an older route
        if (needId == NextAction.WhoNeed)
        {
            if (view.AsksWho) bench.Sign(view, code, line.Clock.GetLocalNow());
            return;
        }

        var refused = needId == NextAction.ClearNeed ? await ClearByScan.Take(view, code, progress, line, bench)
            : view.Unit is null && line.Ask(c => StockQuery.IsLot(c, code)) ? await Bring(view, code, line)
            : view.Unit is null ? await Begin(view, code, progress, line)
            : next is null ? await Finish(view, code, progress, line, bench)
            : view.Needs.FirstOrDefault(n => n.Id == needId) is { } need && !progress.Has(need) ? await Take(view, need, code, progress, line, bench)
            : null;
        // Whoever is not qualified makes room for somebody who is.
        if (refused is not null && refused.Found == progress.Person) bench.SignOff(view);
        bench.Refuse(view, refused is null ? null : new StationRefusal(line.Clock.GetLocalNow(), view.Unit ?? code, refused.Reason, refused.Remedy, refused.Needed, refused.Found));
    }

    internal static Task<Refusal?> Begin(StationView view, string code, StationProgress progress, OpenLine line) => Ask(view, Message(view, code, "begin", progress, line), line);

    // A lot scanned while no unit is here was carried to the station.
    internal static async Task<Refusal?> Bring(StationView view, string code, OpenLine line, ActOnLot.BringRequest? back = null)
    {
        try
        {
            return (await ActOnLot.Bring(code, back ?? new(NewKey(view), line.Clock.GetLocalNow(), view.Station), line)).Refused;
        }
        catch (InputException e)
        {
            return new(e.Errors[0].ToString(), "Scan the code again.");
        }
    }

    internal static string NewKey(StationView view) => $"screen-{view.Station}-{Guid.NewGuid():N}";

    static async Task<Refusal?> Finish(StationView view, string code, StationProgress progress, OpenLine line, BenchScans bench)
    {
        if (code != view.Unit) return new($"{code} is not the unit that is here.", $"Scan {view.Unit} to report {view.Name} as done.", view.Unit!, code);
        var refused = await Ask(view, Message(view, code, "finish", progress, line) with
        {
            Parts = [.. view.Needs.Where(n => n.Kind == "part").Select(n => PartOf(n, progress.Taken[n.Id]))],
            Readings = [.. view.Needs.Where(n => n.Kind == "reading").Select(n => ReadingOf(n, progress.Taken[n.Id]))],
        }, line);
        if (refused is not null) return refused;
        bench.Clear(view);
        bench.SignOff(view);
        return refused;
    }

    static async Task<Refusal?> Take(StationView view, StationNeed need, string code, StationProgress progress, OpenLine line, BenchScans bench)
    {
        if (need.Kind == "reading" && IsNumber(need) && !TryNumber(code, out _))
            return new($"'{code}' is not a number.", $"Type the value in {need.Unit}, such as {(need.Lower ?? need.Upper ?? 1).ToString("0.0", CultureInfo.InvariantCulture)}.", $"a number in {need.Unit}", code);
        if (need is { Kind: "part", Serialised: true, Shell: false } && PartOf(need, code).Lot is null)
            return new("Only one of the two codes was scanned.", "Scan the number on the part and its lot together, or type both with a space between.", "number and lot", code);

        var refused = need.Kind == "part" ? await Ask(view, Message(view, view.Unit!, "scan", progress, line) with { Parts = [PartOf(need, code)] }, line) : null;
        if (refused is null) bench.Keep(view, need, code, line.Clock.GetLocalNow());
        return refused;
    }

    static async Task<Refusal?> Ask(StationView view, StationMessage message, OpenLine line)
    {
        try
        {
            return (await TakeStationMessage.Run(view.Station, message, line)).Refused?.Refusal;
        }
        catch (InputException e)
        {
            return new(e.Errors[0].ToString(), "Scan the code again.");
        }
    }

    static StationMessage Message(StationView view, string unit, string stage, StationProgress progress, OpenLine line) => new()
    {
        Key = NewKey(view),
        Kind = "request",
        Stage = stage,
        Item = unit,
        Step = view.Step,
        OccurredAt = line.Clock.GetLocalNow(),
        Person = progress.Person,
    };

    // A part's own number and its lot stand on one label: "ST-88214 S-0712".
    static MessagePart PartOf(StationNeed need, string code)
    {
        var words = code.Split([' ', ';', '|'], StringSplitOptions.RemoveEmptyEntries | StringSplitOptions.TrimEntries);
        return need.Serialised ? new(need.Id, Lot: words.ElementAtOrDefault(1), Serial: words.ElementAtOrDefault(0)) : new(need.Id, Lot: code);
    }

    static MessageReading ReadingOf(StationNeed need, string typed) =>
        IsNumber(need) && TryNumber(typed, out var value) ? new(need.Id, Value: value, Unit: need.Unit) : new(need.Id, Text: typed);

    static bool IsNumber(StationNeed need) => need.Unit.Length > 0;

    static bool TryNumber(string text, out double value) => double.TryParse(text, NumberStyles.Float, CultureInfo.InvariantCulture, out value) && double.IsFinite(value);
}

/// <summary>What has been scanned at each station for the unit that is there and is not reported yet. Lost with the program: the unit is then scanned through again.</summary>
public sealed class BenchScans
{
    readonly ConcurrentDictionary<string, (string Unit, StationProgress Progress)> stations = new(StringComparer.Ordinal);

    // A badge is scanned before the unit is there, and counts for that unit only.
    readonly ConcurrentDictionary<string, string> people = new(StringComparer.Ordinal);

    public StationProgress Of(StationView view) => Scanned(view) with { Person = people.GetValueOrDefault(view.Station) };

    StationProgress Scanned(StationView view)
    {
        if (!stations.TryGetValue(view.Station, out var bench)) return StationProgress.None;
        if (bench.Unit == (view.Unit ?? "")) return bench.Progress;
        Clear(view); // the station went on: what was scanned or refused before must not come back with the next empty place
        return StationProgress.None;
    }

    /// <summary>Somebody has scanned a badge.</summary>
    public void Sign(StationView view, string person, DateTimeOffset at)
    {
        people[view.Station] = person;
        stations[view.Station] = (view.Unit ?? "", Of(view) with { Refused = null, TakenAt = at });
    }

    public void SignOff(StationView view) => people.TryRemove(view.Station, out _);

    public void Keep(StationView view, StationNeed need, string code, DateTimeOffset at) =>
        stations[view.Station] = (view.Unit ?? "", new(new Dictionary<string, string>(Scanned(view).Taken, StringComparer.Ordinal) { [need.Id] = code }, TakenAt: at));

    /// <summary>A driver has told which screws are tight so far; nothing of it is kept but here.</summary>
    /// <param name="at">By the driver's own clock, as its refusals are: which of them came later must not hang on how two clocks differ.</param>
    public void Drive(StationView view, IReadOnlyDictionary<string, IReadOnlyList<int>> driven, DateTimeOffset at)
    {
        stations[view.Station] = (view.Unit ?? "", Of(view) with { Driven = driven, Refused = null, TakenAt = at });
        Changed?.Invoke();
    }

    /// <summary>A station shows something that no record tells.</summary>
    public event Action? Changed;

    public void Refuse(StationView view, StationRefusal? refusal) => stations[view.Station] = (view.Unit ?? "", Of(view) with { Refused = refusal });

    public void Clear(StationView view) => stations.TryRemove(view.Station, out _);
}
