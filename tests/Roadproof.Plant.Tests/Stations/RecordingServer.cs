using System.Net;
using System.Security.Cryptography;
using System.Text;
using System.Text.Json;
using Roadproof.Plant.Line;

namespace Roadproof.Plant.Tests.Stations;

/// <summary>The other end of the public interface, small: it knows order, lots, limits, holds, repeats and serial numbers, writes down all that it hears, and judges runs as it is told.</summary>
sealed class RecordingServer(Func<Saying, string>? judge = null, PlantClock? clock = null, LineRoute? built = null) : HttpMessageHandler
{
    static readonly JsonSerializerOptions Spoken = new(JsonSerializerDefaults.Web);

    readonly Dictionary<string, UnitState> _units = new(StringComparer.Ordinal);
    readonly Dictionary<string, LotState> _lots = new(StringComparer.Ordinal);
    readonly Dictionary<string, (string Text, object Body, HttpStatusCode Status)> _answers = new(StringComparer.Ordinal);
    readonly HashSet<string> _captures = new(StringComparer.Ordinal);
    readonly List<object> _notes = [];
    readonly HashSet<(string Person, string Qualification)> _qualified = [];
    readonly RecordedOrders _orders = new();
    int _serials;
    long _sequence;

    LineRoute Route => built ?? DemoRoute.Route;

    /// <summary>Every request in its order: method, path, body (captures by their length).</summary>
    public List<string> Heard { get; } = [];

    /// <summary>Station messages in the order in which they were heard, repeats left out.</summary>
    public List<(string Station, Saying Said, HttpStatusCode Status)> Messages { get; } = [];

    /// <summary>What the clock showed at each message.</summary>
    public List<DateTimeOffset> Clock { get; } = [];
    public Dictionary<string, string> VoidSerials { get; } = new(StringComparer.Ordinal);

    /// <summary>Refuses everything for this unit while it is on hold.</summary>
    public void HoldUnit(string unit) => (_units[unit].State, _units[unit].At) = ("held", null);

    /// <summary>Somebody at a page decides as soon as a verdict has stopped a unit.</summary>
    public Action<string>? WhenHeld { get; set; }

    public void SendBack(string unit, string step) => (_units[unit].State, _units[unit].Next) = ("building", Route.IndexOf(step));

    public void NoteLotShift(string lot) => _notes.Add(new { kind = "lot-shift", title = $"Lot {lot} reads low", lot });

    public HttpClient Client() => new(this) { BaseAddress = new("http://plant/") };

    protected override async Task<HttpResponseMessage> SendAsync(HttpRequestMessage request, CancellationToken cancellationToken)
    {
        var path = request.RequestUri!.AbsolutePath;
        var octets = request.Content is null ? [] : await request.Content.ReadAsByteArrayAsync(cancellationToken);
        var isCapture = path.StartsWith("/api/v1/captures/", StringComparison.Ordinal);
        var body = isCapture ? $"{octets.Length} octets" : Encoding.UTF8.GetString(octets);
        Heard.Add($"{request.Method} {request.RequestUri.PathAndQuery} {body}");
        if (clock is not null && path.EndsWith("/messages", StringComparison.Ordinal)) Clock.Add(clock.GetUtcNow());
        var words = path.Split('/', StringSplitOptions.RemoveEmptyEntries);
        return (request.Method.Method, words) switch
        {
            ("GET", [_, _, "revisions", "current"]) => Text(JsonSerializer.Serialize(new[] { Route }, DemoRoute.Json)),
            ("GET", [_, _, "notes"]) => Answer(_notes),
            ("GET", [_, _, "units"]) => Answer(Find(Uri.UnescapeDataString(request.RequestUri.Query["?find=".Length..]))),
            ("GET", [_, _, "rework", var unit]) => Answer(new { parts = _units[unit].Lots.Where(_lots.ContainsKey).Select(l => new { part = _lots[l].Part, lot = l }) }),
            ("PUT", [_, _, "captures", var sha]) => Capture(sha, octets),
            ("POST", [_, _, "lots"]) => Receive(body),
            ("POST", [_, _, "lots", var lot, "hold"]) => Hold(lot),
            ("POST", [_, _, "units", var unit, var act]) => Act(_units[unit], act, body),
            ("GET", [_, _, "orders"]) => Answer(_orders.List()),
            ("POST", [_, _, "orders"]) => Answer(_orders.Open(body)),
            ("POST", [_, _, "orders", var order, var act]) => Did(_orders.Act(order, act, body)),
            ("GET", [_, _, "stations", var station]) => Answer(_orders.Station(station, request.RequestUri.Query["?clear=".Length..])),
            ("POST", [_, _, "stations", var station, "clear"]) => Did(_orders.Clear(station, body)),
            ("POST", [_, _, "lots", var lot, "bring"]) => Did(_orders.CarriedBack(lot)),
            ("POST", [_, _, "people", var person, "qualifications"]) => Qualify(person, body),
            ("POST", [_, _, "stations", _, "calibrations"]) => Answer(new { }),
            ("POST", [_, _, "stations", var station, "messages"]) => Message(station, body),
            _ => new(HttpStatusCode.NotFound),
        };
    }

    HttpResponseMessage Qualify(string person, string body)
    {
        _qualified.Add((person, JsonDocument.Parse(body).RootElement.GetProperty("qualification").GetString()!));
        return Answer(new { });
    }

    HttpResponseMessage Message(string station, string body)
    {
        var said = JsonSerializer.Deserialize<Saying>(body, DemoRoute.Json)!;
        if (_answers.TryGetValue(said.Key, out var first))
        {
            if (first.Text != body) return Refused(new("this key was used before", "use another", ++_sequence, false));
            return Answer(first.Body is Problem p ? p with { Repeat = true } : (HeardBack)first.Body with { Repeat = true }, first.Status);
        }

        var outcome = Decide(station, said);
        var status = outcome is Problem ? HttpStatusCode.Conflict : HttpStatusCode.OK;
        Messages.Add((station, said, status));
        _answers[said.Key] = (body, outcome, status);
        return Answer(outcome, status);
    }

    HttpResponseMessage Did(bool done) => done ? Answer(new { }) : Refused(No("not now"));

    object Decide(string station, Saying said)
    {
        var route = Route;
        var step = route.IndexOf(said.Step);
        if (said.Version != 1 || route.Line.Stations.First(s => s.Id == station).Step != said.Step) return No($"{station} does not do {said.Step}.");
        if (!route.AskedAt(route.Line.Stations.First(s => s.Id == station)).All(q => _qualified.Contains((said.Person!, q)))) return No($"{said.Person} is not qualified for {said.Step}.");
        var unit = _units.Values.FirstOrDefault(u => u.Shell == said.Item || u.Serial == said.Item);
        if (unit is null && step != 0) return No($"Unit {said.Item} is not known.");
        if (unit is not null && unit.State != "building") return No($"Unit {said.Item} is {(unit.State == "held" ? "on hold" : unit.State)}.");
        if ((unit?.Next ?? 0) != step) return No($"{said.Item} waits for another step.");
        if (Route.Product.Variants is not null && _orders.Refuses(unit?.Shell ?? said.Item, station, Route.Steps[step]) is { } notNow) return No(notNow);
        if (said.Stage == "begin")
        {
            if (_units.Values.Any(u => u.At == station && u != unit)) return No($"{station} is busy.");
            unit ??= _units[said.Item] = new() { Shell = said.Item };
            unit.At = station;
            if (said.Step == "mark") unit.Issued ??= $"AF85{++_serials:000000}";
            return Yes(null, unit.Issued, []);
        }

        return Finish(station, said, route.Steps[step], unit!);
    }

    object Finish(string station, Saying said, LineStep step, UnitState unit)
    {
        if (said.Readings?.FirstOrDefault(r => r.Id == "mark-spoiled") is { } spoiled)
        {
            VoidSerials[spoiled.Text!] = said.Remark!;
            (unit.Issued, unit.At) = (null, null);
            return Yes("fail", spoiled.Text, []);
        }

        if (WrongPart(said, step) is { } wrong)
        {
            if (said.Kind != "report") return No(wrong);
            (unit.State, unit.At) = ("held", null);
            return Yes("hold", null, [wrong]);
        }

        if (said.Captures?.Any(c => !_captures.Contains(c.Sha256)) == true) return Yes("waiting", null, []);
        unit.At = null;
        _orders.Used(station, unit.Shell, step, said);
        var verdict = step.Kind == "load-test" ? judge?.Invoke(said) ?? "pass" : Judge(said, step);
        if (verdict == "pass")
        {
            unit.Next++;
            unit.Lots.AddRange(said.Parts?.Select(p => p.Lot ?? "") ?? []);
            if (step.Kind == "mark") unit.Serial = unit.Issued;
            if (step.Kind == "pack") _orders.Ended(unit.Shell, unit.State = "shipped");
            return Yes(verdict, unit.Serial, []);
        }

        unit.State = "held";
        WhenHeld?.Invoke(unit.Shell);
        return Yes(verdict, null, [$"{step.Id}: {verdict}"]);
    }

    string? WrongPart(Saying said, LineStep step)
    {
        foreach (var wanted in step.Parts ?? [])
        {
            var id = wanted.OfVariant ? Variant(said).Takes(wanted.Part) : wanted.Part;
            if (said.Parts?.FirstOrDefault(p => p.Part == id) is not { } part) return $"{wanted.Part} is missing.";
            if (part.Lot is null) continue;
            if (!_lots.TryGetValue(part.Lot, out var lot)) return $"Lot {part.Lot} is not known.";
            if (lot.Part != part.Part) return lot.Part == "gear-set-339" ? "Wrong gear set: ratio 36.18 needed, ratio 33.9 found." : $"Lot {part.Lot} is {lot.Part}, not {part.Part}.";
            if (lot.Held) return $"Lot {part.Lot} is on hold.";
            if (lot.ExpiresAt < said.OccurredAt) return $"Lot {part.Lot} expired.";
        }

        return null;
    }

    LineVariant Variant(Saying said) => Route.Product.Variants!.First(v => v.Id == _orders.VariantOf(Shell(said)));

    string Shell(Saying said) => _units.Values.First(u => u.Shell == said.Item || u.Serial == said.Item).Shell;

    string Judge(Saying said, LineStep step)
    {
        var readings = step.Readings?.All(l => said.Readings!.First(r => r.Id == l.Id) is var r && (l.OfVariant is { } asked ? Variant(said).Text(asked) == r.Text : l.Text ? l.Equal is null || l.Equal == r.Text : !(r.Value < l.Lower) && !(r.Value > l.Upper))) ?? true;
        var screws = step.Screws?.All(g => said.Screws!.Count(s => s.Group == g.Id) == g.Count && said.Screws!.All(s => s.TorqueNm >= g.TorqueLowerNm && s.TorqueNm <= g.TorqueUpperNm && s.AngleDeg >= g.AngleLowerDeg && s.AngleDeg <= g.AngleUpperDeg)) ?? true;
        return readings && screws ? "pass" : "fail";
    }

    HttpResponseMessage Act(UnitState unit, string act, string body)
    {
        if (act == "scrap") _orders.Ended(unit.Shell, unit.State = "scrapped");
        if (act == "release")
        {
            unit.State = "building";
            using var said = JsonDocument.Parse(body);
            if (said.RootElement.TryGetProperty("backTo", out var back)) unit.Next = Route.IndexOf(back.GetString()!);
        }

        return Answer(new { unit = unit.Shell });
    }

    HttpResponseMessage Receive(string body)
    {
        using var said = JsonDocument.Parse(body);
        var root = said.RootElement;
        DateTimeOffset? expires = root.TryGetProperty("expiresAt", out var e) ? e.GetDateTimeOffset() : null;
        return _lots.TryAdd(root.GetProperty("lot").GetString()!, new() { Part = root.GetProperty("part").GetString()!, ExpiresAt = expires })
            ? Answer(new { }) : Refused(new("This lot was received before.", "", ++_sequence, false));
    }

    HttpResponseMessage Hold(string lot)
    {
        _notes.Clear();
        _lots[lot].Held = true;
        var held = _units.Values.Where(u => u.State == "building" && u.Lots.Contains(lot)).ToList();
        foreach (var unit in held) (unit.State, unit.At) = ("held", null);
        return Answer(new { lot, unitsHeld = held.Select(u => u.Shell) });
    }

    HttpResponseMessage Capture(string sha, byte[] octets)
    {
        if (Convert.ToHexStringLower(SHA256.HashData(octets)) != sha) return new(HttpStatusCode.UnprocessableEntity);
        return new(_captures.Add(sha) ? HttpStatusCode.Created : HttpStatusCode.OK);
    }

    object Find(string code) => new
    {
        units = _units.Values.Where(u => u.Shell == code || u.Serial == code)
            .Select(u => new { unit = u.Shell, serial = u.Serial, state = u.State, nextStep = u.Next < Route.Steps.Count ? Route.Steps[u.Next].Id : null }),
    };

    HeardBack Yes(string? verdict, string? serial, string[] holds) => new(++_sequence, verdict, serial, holds, false);

    Problem No(string title) => new(title, "put it right", ++_sequence, false);

    static HttpResponseMessage Refused(Problem problem) => Answer(problem, HttpStatusCode.Conflict);

    static HttpResponseMessage Answer(object body, HttpStatusCode status = HttpStatusCode.OK) => Text(JsonSerializer.Serialize(body, Spoken), status);

    static HttpResponseMessage Text(string json, HttpStatusCode status = HttpStatusCode.OK) => new(status) { Content = new StringContent(json, Encoding.UTF8, "application/json") };

    sealed record HeardBack(long Sequence, string? Verdict, string? Serial, string[] Holds, bool Repeat);

    sealed record Problem(string Title, string Detail, long Sequence, bool Repeat);

    sealed class UnitState
    {
        public string Shell { get; init; } = "";
        public string? Serial { get; set; }
        public string? Issued { get; set; }
        public string State { get; set; } = "building";
        public int Next { get; set; }
        public string? At { get; set; }
        public List<string> Lots { get; } = [];
    }

    sealed class LotState
    {
        public string Part { get; init; } = "";
        public DateTimeOffset? ExpiresAt { get; init; }
        public bool Held { get; set; }
    }
}
