using Roadproof.Records.Rigs;

namespace Roadproof.Records.ReadModel;

/// <summary>One station, as the person at it sees it.</summary>
/// <param name="Unit">The unit that has begun here; null while waiting for one.</param>
/// <param name="Next">Units waiting for this step, oldest first, at most ten.</param>
/// <param name="AsksWho">The step or the station's zone needs a qualification: whoever works here says who it is.</param>
/// <param name="LastRefusal">The last refusal at this station while nothing has been accepted since; else null.</param>
public sealed record StationView(
    string Station, int Number, string Name, string Step, string Instruction, string Product, double TaktS,
    string? Unit, DateTimeOffset? BeganAt, IReadOnlyList<StationNeed> Needs, IReadOnlyList<string> Next, StationRefusal? LastRefusal,
    int DoneToday, double? UsualBeatS, string Caution, bool AsksWho = false)
{
    /// <summary>Lots that lie here, those of a part in the order in which they are used up.</summary>
    public IReadOnlyList<StationStock> Stock { get; init; } = [];

    /// <summary>The order of the unit that is here, or the one that runs on the line; null where none does.</summary>
    public OrderLine? Order { get; init; }

    /// <summary>What the rig can show for itself; null elsewhere, and where no reference units are asked for.</summary>
    public RigStanding? Rig { get; init; }

    /// <summary>What has to be done before the station takes a unit of the next order; null where nothing has.</summary>
    public StationClearing? Clearing { get; init; }
}

/// <summary>A station between two orders.</summary>
/// <param name="Order">The order that it is to be cleared for; <paramref name="Said"/> as a person would say it.</param>
/// <param name="From">The order that it is set up for, as a person would say it; null for none.</param>
/// <param name="Lots">Lots that lie here and that the order does not take: each is carried away.</param>
/// <param name="Bring">Parts that the order takes and the last one did not.</param>
/// <param name="Texts">What else differs: firmware, region, label.</param>
public sealed record StationClearing(string Order, string Said, string? From, IReadOnlyList<LotToClear> Lots, IReadOnlyList<string> Bring, IReadOnlyList<string> Texts);

/// <summary>A lot to be carried away.</summary>
/// <param name="PartName">With what tells the part from others.</param>
/// <param name="Left">Pieces by the count; counts drift.</param>
public sealed record LotToClear(string Lot, string PartName, int Left);

/// <summary>A lot that lies at a station.</summary>
/// <param name="Left">Pieces by the count; counts drift.</param>
/// <param name="State">open, held, expired, used-up.</param>
/// <param name="TakeFirst">It is the one to use up now: first expired, first out; of those that do not expire, first in, first out.</param>
/// <param name="EarlierInStore">A lot in the store that should have been used up before; null where there is none.</param>
public sealed record StationStock(string Part, string PartName, string Lot, int Left, DateTimeOffset? ExpiresAt, string State, bool TakeFirst, string? EarlierInStore);

/// <summary>One thing a step needs, in the order in which it is done.</summary>
/// <param name="Kind">part, reading, screws, capture.</param>
/// <param name="Id">Part, reading or screw-group id.</param>
/// <param name="Say">What to do, as it stands in the largest type: "Scan the gear set".</param>
/// <param name="Hint">Where it is, what to look for; may be empty.</param>
/// <param name="Shell">The part that the unit starts as: it has a number and no lot.</param>
public sealed record StationNeed(string Kind, string Id, string Say, string Hint, string Unit, double? Lower, double? Upper, int Count, bool Serialised, bool Shell = false);

/// <summary>A refusal as a station shows it.</summary>
public sealed record StationRefusal(DateTimeOffset At, string Item, string Reason, string Remedy, string Needed, string Found);
