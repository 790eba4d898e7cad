namespace Roadproof.Records.ReadModel;

/// <summary>The whole line at one look.</summary>
public sealed record LineView(
    string Plant, string Line, string Product, DateTimeOffset Now, double TaktS, int DueToday,
    IReadOnlyList<StationState> Stations, LineFigures Figures, IReadOnlyList<Note> Notes, long LedgerSize, string LedgerHead)
{
    /// <summary>The order that new units take; null where none runs.</summary>
    public OrderLine? Order { get; init; }

    /// <summary>Stations that have to be cleared for it, and those that have been since it was started.</summary>
    public IReadOnlyList<ChangeoverStation> Changeover { get; init; } = [];
}

/// <summary>One station as the line sees it. Rigs that work in parallel share their <see cref="Number"/>.</summary>
/// <param name="State">pass, fail, hold, undecided, running, waiting.</param>
/// <param name="UsualBeatS">Median of the last 20 units, s; null before the first.</param>
/// <param name="Since">When the unit at the station began, or when the station became idle.</param>
/// <param name="WaitingAhead">Units that finished the step before and have not begun here.</param>
/// <param name="LastWord">A short word on the last unit: a value, a reason; empty if there is nothing to say.</param>
public sealed record StationState(
    string Station, int Number, string Name, string Step, string State, string? Unit, DateTimeOffset? Since,
    double? UsualBeatS, double? LastBeatS, int WaitingAhead, int DoneToday, string LastWord);

/// <summary>Today's figures, each from records.</summary>
/// <param name="FirstPassYield">Units that passed every step at the first attempt, as a share of the units that finished or were stopped; null before the first.</param>
/// <param name="FirstPassLower">Lower end of the 95 % interval (Wilson).</param>
/// <param name="BeatS">Time between finished units, median over the last hour; null before the second.</param>
public sealed record LineFigures(
    int Started, int Shipped, int InProgress, double? FirstPassYield, double? FirstPassLower, double? FirstPassUpper, int FirstPassUnits,
    double? BeatS, int OnHold, IReadOnlyList<HoldGroup> Holds, int Refusals, int Scrapped);

/// <summary>Units on hold for the same reason.</summary>
public sealed record HoldGroup(string Reason, int Units);

/// <summary>Something that needs a person now.</summary>
/// <param name="Kind">unit-hold, lot-shift, lot-expiry, lot-open, changeover, order, calibration, refusal, quarantine, capture-missing …</param>
/// <param name="Urgency">Higher is more urgent.</param>
/// <param name="Action">The act, as it stands on a button; with <paramref name="ActionLink"/>.</param>
public sealed record Note(
    string Kind, int Urgency, string Title, string Text, string? Station, string? Item, string? Lot, DateTimeOffset Since, string Action, string ActionLink);
