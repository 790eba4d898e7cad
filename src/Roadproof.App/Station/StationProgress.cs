using Roadproof.Records.ReadModel;

namespace Roadproof.App.Station;

/// <summary>What has been scanned or read at a station for the unit that is there, before the step is reported as done.</summary>
/// <param name="Taken">By need id: the code or value as it was entered.</param>
/// <param name="Refused">Why the last scan was not taken; null when it was.</param>
/// <param name="TakenAt">When the last scan was taken: what was refused before it is answered by it.</param>
/// <param name="Person">Who has scanned a badge for the unit that is or will be there; null where nobody has.</param>
public sealed record StationProgress(IReadOnlyDictionary<string, string> Taken, StationRefusal? Refused = null, DateTimeOffset? TakenAt = null, string? Person = null)
{
    /// <summary>Screws that are tight, by their group, in the order of tightening, as the driver tells them one by one.</summary>
    public IReadOnlyDictionary<string, IReadOnlyList<int>> Driven { get; init; } = new Dictionary<string, IReadOnlyList<int>>(StringComparer.Ordinal);

    public static readonly StationProgress None = new(new Dictionary<string, string>(StringComparer.Ordinal));

    /// <summary>The refusal that stands at the station: of the last scan, or the last that the records hold while nothing was taken since.</summary>
    public StationRefusal? Standing(StationView view) => Refused ?? (view.LastRefusal is { } last && !(last.At <= TakenAt) ? last : null);

    public bool Has(StationNeed need) => Taken.ContainsKey(need.Id);
}

/// <summary>The one thing to do next at a station.</summary>
/// <param name="NeedId">What the scan field is for: a need's id, <c>unit</c> or <c>who</c>.</param>
/// <param name="ByHand">A person scans or types it; else a tool or rig reports it by itself.</param>
public sealed record NextAction(string NeedId, string Say, string Hint, int Number, int Count, bool ByHand, string Placeholder)
{
    public const string UnitNeed = "unit";
    public const string WhoNeed = "who";
    public const string ClearNeed = "clear";

    /// <summary>Null when everything is done and the step only waits to be reported.</summary>
    public static NextAction? Of(StationView view, StationProgress progress)
    {
        if (view is { Unit: null, Clearing: { } clearing }) return ToClear(clearing, progress);
        var waiting = view.Next.Count > 0 ? $"{view.Next[0]} is next." : "No unit is waiting for this station.";
        if (IsReportedWhole(view))
            return view.Unit is null ? new("", "Set the next unit in", waiting, 1, 1, false, "") : new("", "Follow the tool", view.Instruction, 1, 1, false, "");
        if (view.AsksWho && progress.Person is null)
            return new(WhoNeed, "Scan your badge", "What is done here needs a qualification.", 1, view.Needs.Count + 1, true, "waiting for a badge");
        if (view.Unit is null)
            return new(UnitNeed, "Scan a unit", waiting, 1, view.Needs.Count + 1, true, "waiting for a unit's code");

        for (var i = 0; i < view.Needs.Count; i++)
        {
            if (progress.Has(view.Needs[i])) continue;
            var need = view.Needs[i];
            return new(need.Id, need.Say, HintOf(need, view), i + 2, view.Needs.Count + 1, true, need.Kind == "part" ? "waiting for a code" : $"type the value{(need.Unit.Length > 0 ? " in " + need.Unit : "")}");
        }

        return null;
    }

    // A person's badge first and last: what lies between is done under that name.
    static NextAction ToClear(StationClearing clearing, StationProgress progress)
    {
        var count = clearing.Lots.Count + 2;
        if (progress.Person is not { } person)
            return new(ClearNeed, "Scan your badge", $"{(clearing.From is null ? "This station" : $"It is set up for {clearing.From}. It")} takes no unit of {clearing.Order} before you have cleared it.", 1, count, true, "waiting for a badge");
        return clearing.Lots is [var lot, ..]
            ? new(ClearNeed, $"Take away {lot.Lot}", $"{lot.PartName}: {Frame.Figure.Count(lot.Left)} left by the count. Scan its label; if you counted, type the number behind it.", 2, count, true, "waiting for the lot's label")
            : new(ClearNeed, "Scan your badge again", $"By that {person} says: nothing of {clearing.From ?? "another order"} lies here any more, no part, no label, no program.", count, count, true, "waiting for the same badge");
    }

    // Where screws are tightened or a rig runs, the station's own program reports the whole step, its parts included: a scan here would reach no one.
    static bool IsReportedWhole(StationView view) => view.Needs.Any(n => n.Kind is "screws" or "capture");

    static string HintOf(StationNeed need, StationView view)
    {
        var limits = (need.Lower, need.Upper) switch
        {
            ({ } l, { } u) => $"{Frame.Figure.Edge(l)} to {Frame.Figure.Edge(u)} {need.Unit}",
            ({ } l, null) => $"at least {Frame.Figure.Edge(l)} {need.Unit}",
            (null, { } u) => $"at most {Frame.Figure.Edge(u)} {need.Unit}",
            _ => "",
        };
        return string.Join(" ", new[] { need.Hint, limits.Length > 0 ? $"Limits {limits}." : "", StockOf(need, view) }.Where(s => s.Length > 0));
    }

    static string StockOf(StationNeed need, StationView view)
    {
        if (need.Kind != "part" || view.Stock.FirstOrDefault(s => s.Part == need.Id && (s.TakeFirst || s.State == "used-up")) is not { } stock) return "";
        return stock.TakeFirst ? $"Take {stock.Lot}: {Frame.Figure.Count(stock.Left)} left." : $"{stock.Lot} is used up by the count: bring the next lot.";
    }
}
