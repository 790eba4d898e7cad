using System.Net;
using System.Net.Http.Json;
using System.Text;
using System.Text.Encodings.Web;
using System.Text.Json;
using System.Text.Json.Serialization;

namespace Roadproof.Plant.Line;

/// <summary>A station message as a station writes it.</summary>
public sealed record Saying
{
    public required string Key { get; init; }
    public required string Kind { get; init; }
    public required string Item { get; init; }
    public required string Step { get; init; }
    public required string Stage { get; init; }
    public required DateTimeOffset OccurredAt { get; init; }
    public string? Person { get; init; }
    public IReadOnlyList<SaidPart>? Parts { get; init; }
    public IReadOnlyList<SaidReading>? Readings { get; init; }
    public IReadOnlyList<SaidScrew>? Screws { get; init; }
    public IReadOnlyList<SaidCapture>? Captures { get; init; }
    public string? Remark { get; init; }
    public int Version { get; init; } = 1;
}

public sealed record SaidPart(string Part, string? Lot = null, string? Serial = null);

public sealed record SaidReading(string Id, double? Value = null, string? Unit = null, string? Text = null);

public sealed record SaidScrew(string Group, int Number, double TorqueNm, double AngleDeg);

public sealed record SaidCapture(string Sha256, string Name);

/// <summary>What a station hears: an answer, or a refusal with its reason and remedy.</summary>
sealed record Reply(HeardAnswer? Answer, HeardRefusal? Refused);

sealed record HeardAnswer(long Sequence, string? Verdict, string? Serial, IReadOnlyList<string>? Holds, bool Repeat);

sealed record HeardRefusal(string Title, long Sequence, bool Repeat);

sealed record SeenNote(string Kind, string Title, string? Lot);

sealed record SeenUnit(string Unit, string? Serial, string State, string? NextStep);

/// <param name="State">open, running, interrupted, finished, ended (short).</param>
/// <param name="ToStart">Units that have still to start.</param>
sealed record SeenOrder(string Order, string Product, string? Variant, int Quantity, string? Customer, string State, int Good, int Scrapped, int UnderWay, int ToStart);

/// <summary>What lies at a station and has to be carried away before it is cleared.</summary>
sealed record SeenClearing(IReadOnlyList<SeenLot> Lots);

sealed record SeenLot(string Lot, int Left);

/// <summary>The public interface, as a real plant would use it: nothing but HTTP.</summary>
sealed class LineDoor(HttpClient http, CancellationToken stop)
{
    static readonly JsonSerializerOptions Options = new(JsonSerializerDefaults.Web)
    {
        Converters = { new JsonStringEnumConverter(JsonNamingPolicy.KebabCaseLower) },
        DefaultIgnoreCondition = JsonIgnoreCondition.WhenWritingNull,
        Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping,
    };

    public int Messages { get; private set; }

    /// <summary>What every line of the plant builds, and how.</summary>
    public async Task<IReadOnlyList<LineRoute>> Routes() => await Get<IReadOnlyList<LineRoute>>("api/v1/revisions/current");

    public async Task<Reply> Send(string station, Saying saying)
    {
        Messages++;
        using var response = await Post($"api/v1/stations/{station}/messages", saying);
        return response.StatusCode == HttpStatusCode.Conflict ? new(null, await Read<HeardRefusal>(response)) : new(await Read<HeardAnswer>(response), null);
    }

    public async Task Bring(RecordedFile file)
    {
        using var content = new ByteArrayContent(file.Octets);
        content.Headers.ContentType = new("application/octet-stream");
        using var response = await http.PutAsync(new Uri($"api/v1/captures/{file.Sha256}", UriKind.Relative), content, stop);
        await Require(response, $"PUT of capture {file.Name}");
    }

    public async Task ReceiveLot(string key, Lot lot, DateTimeOffset at, string person)
    {
        using var response = await Post("api/v1/lots", new { key, lot = lot.Code, part = lot.Part, quantity = lot.Quantity, expiresAt = lot.ExpiresAt, occurredAt = at, person });
        await Require(response, $"receipt of lot {lot.Code}");
    }

    public async Task Qualify(string key, string person, string qualification, DateTimeOffset until, string reason, DateTimeOffset at, string by)
    {
        using var response = await Post($"api/v1/people/{person}/qualifications", new { key, qualification, validUntil = until, reason, occurredAt = at, person = by });
        await Require(response, $"qualification of {person}");
    }

    public async Task Calibrated(string key, string station, string instrument, DateTimeOffset dueAt, string reason, DateTimeOffset at, string by)
    {
        using var response = await Post($"api/v1/stations/{station}/calibrations", new { key, instrument, dueAt, reason, occurredAt = at, person = by });
        await Require(response, $"calibration of {instrument} at {station}");
    }

    /// <returns>The units that the hold stopped; null where it was refused (someone else was first).</returns>
    public async Task<IReadOnlyList<string>?> HoldLot(string key, string lot, string reason, DateTimeOffset at, string person)
    {
        using var response = await Post($"api/v1/lots/{Uri.EscapeDataString(lot)}/hold", new { key, reason, occurredAt = at, person });
        return response.StatusCode == HttpStatusCode.Conflict ? null : (await Read<HeardLotAct>(response)).UnitsHeld ?? [];
    }

    /// <param name="act">hold, release or scrap.</param>
    /// <param name="backTo">Where a release sends the unit back to; null lets it go on.</param>
    /// <param name="cause">What was found to be wrong; null where nobody looked.</param>
    /// <returns>False where it was refused.</returns>
    public async Task<bool> ActOnUnit(string act, string key, string unit, string reason, DateTimeOffset at, string person, string? backTo = null, string? cause = null)
    {
        using var response = await Post($"api/v1/units/{Uri.EscapeDataString(unit)}/{act}", new { key, reason, occurredAt = at, person, backTo, cause });
        if (response.StatusCode == HttpStatusCode.Conflict) return false;
        await Require(response, $"{act} of {unit}");
        return true;
    }

    /// <summary>The repairer takes out what the unit has of a part; the part's own station puts another in.</summary>
    public async Task TakeOut(string key, string unit, string part, string reason, DateTimeOffset at, string person)
    {
        var seen = await Get<SeenRework>($"api/v1/rework/{Uri.EscapeDataString(unit)}");
        if (seen.Parts.FirstOrDefault(p => p.Part == part) is not { } inside) return;
        using var response = await Post($"api/v1/units/{Uri.EscapeDataString(unit)}/swap", new { key, @out = inside, place = "scrap", reason, occurredAt = at, person });
        if (response.StatusCode != HttpStatusCode.Conflict) await Require(response, $"{part} out of {unit}");
    }

    public async Task OpenOrder(string key, string order, string product, string variant, int quantity, string? customer, DateTimeOffset at, string person)
    {
        using var response = await Post("api/v1/orders", new { key, order, product, variant, quantity, customer, occurredAt = at, person });
        if (response.StatusCode != HttpStatusCode.Conflict) await Require(response, $"order {order}");
    }

    /// <param name="instead">The order that runs now; null where none does.</param>
    /// <returns>False where it was refused (someone else was first).</returns>
    public Task<bool> StartOrder(string key, string order, string? instead, DateTimeOffset at, string person) =>
        Act($"api/v1/orders/{Uri.EscapeDataString(order)}/start", new { key, instead, occurredAt = at, person });

    /// <param name="reason">Why it ends short; null where all its units are good.</param>
    /// <returns>False where it was refused.</returns>
    public Task<bool> EndOrder(string key, string order, string? reason, DateTimeOffset at, string person) =>
        Act($"api/v1/orders/{Uri.EscapeDataString(order)}/end", new { key, reason, occurredAt = at, person });

    public async Task<IReadOnlyList<SeenOrder>> Orders() => (await Get<SeenOrders>("api/v1/orders")).Orders;

    /// <returns>What clearing the station for an order takes; null where it need not be cleared.</returns>
    public async Task<SeenClearing?> Clearing(string station, string order) =>
        (await Get<SeenStation>($"api/v1/stations/{Uri.EscapeDataString(station)}?clear={Uri.EscapeDataString(order)}")).Clearing;

    public Task<bool> BackToStore(string key, SeenLot lot, DateTimeOffset at, string person) =>
        Act($"api/v1/lots/{Uri.EscapeDataString(lot.Lot)}/bring", new { key, counted = lot.Left, occurredAt = at, person });

    /// <returns>False where it was refused: something still lies there.</returns>
    public Task<bool> Clear(string key, string station, string order, DateTimeOffset at, string person) =>
        Act($"api/v1/stations/{Uri.EscapeDataString(station)}/clear", new { key, order, occurredAt = at, person });

    /// <summary>The units that a rig's reference run has stopped.</summary>
    public async Task<IReadOnlySet<string>> HeldForRig(string rig) =>
        (await Get<SeenRigs>("api/v1/rigs")).Rigs.Where(r => r.Rig == rig).SelectMany(r => r.UnitsHeld).ToHashSet(StringComparer.Ordinal);

    /// <returns>True where the rig may judge.</returns>
    public async Task<bool> MayJudge(string rig) => (await Get<SeenRigs>("api/v1/rigs")).Rigs.Any(r => r.Rig == rig && r.MayJudge);

    /// <returns>False where it was refused: nothing is held for it.</returns>
    public Task<bool> Retest(string key, string rig, string reason, DateTimeOffset at, string person) =>
        Act($"api/v1/rigs/{Uri.EscapeDataString(rig)}/retest", new { key, reason, occurredAt = at, person });

    public async Task<IReadOnlyList<SeenNote>> Notes() => await Get<List<SeenNote>>("api/v1/notes");

    /// <returns>Null where no unit has that code.</returns>
    public async Task<SeenUnit?> Look(string unit)
    {
        var list = await Get<SeenUnits>($"api/v1/units?find={Uri.EscapeDataString(unit)}");
        return list.Units.FirstOrDefault(u => u.Unit == unit || u.Serial == unit);
    }

    async Task<bool> Act<T>(string path, T body)
    {
        using var response = await Post(path, body);
        if (response.StatusCode == HttpStatusCode.Conflict) return false;
        await Require(response, path);
        return true;
    }

    async Task<T> Get<T>(string path)
    {
        using var response = await http.GetAsync(new Uri(path, UriKind.Relative), stop);
        return await Read<T>(response);
    }

    async Task<HttpResponseMessage> Post<T>(string path, T body)
    {
        using var content = new StringContent(JsonSerializer.Serialize(body, Options), Encoding.UTF8, "application/json");
        return await http.PostAsync(new Uri(path, UriKind.Relative), content, stop);
    }

    async Task<T> Read<T>(HttpResponseMessage response)
    {
        // A refusal is an answer too.
        if (response.StatusCode != HttpStatusCode.Conflict) await Require(response, response.RequestMessage?.RequestUri?.ToString() ?? "a request");
        return await response.Content.ReadFromJsonAsync<T>(Options, stop)
            ?? throw new InvalidOperationException($"Bug in Roadproof: {response.RequestMessage?.RequestUri} was answered with nothing.");
    }

    async Task Require(HttpResponseMessage response, string what)
    {
        if (response.IsSuccessStatusCode) return;
        throw new InvalidOperationException($"Bug in Roadproof: the demo plant was not understood. {what}: {response.StatusCode} {await response.Content.ReadAsStringAsync(stop)}");
    }

    sealed record HeardLotAct(IReadOnlyList<string>? UnitsHeld);

    sealed record SeenRigs(IReadOnlyList<SeenRig> Rigs);

    sealed record SeenRig(string Rig, bool MayJudge, IReadOnlyList<string> UnitsHeld);

    sealed record SeenRework(IReadOnlyList<SeenPart> Parts);

    sealed record SeenPart(string Part, string? Lot, string? Serial);

    sealed record SeenOrders(IReadOnlyList<SeenOrder> Orders);

    sealed record SeenStation(SeenClearing? Clearing);

    sealed record SeenUnits(IReadOnlyList<SeenUnit> Units);
}
