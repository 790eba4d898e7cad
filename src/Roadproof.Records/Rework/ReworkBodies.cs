using Roadproof.Records.Items;
using Roadproof.Records.Messages;

namespace Roadproof.Records.Rework;

/// <summary>What a repairer says of one part: what came out of a stopped unit and where it went, and what went in instead.</summary>
/// <param name="Out">The part that was in the unit, by its number, its lot or both.</param>
/// <param name="Place">Where it goes: scrap, stock or hold.</param>
/// <param name="In">The part that went in instead; null where the station puts it in when the step is done again.</param>
public sealed record PartSwap(string Key, string Unit, MessagePart Out, string Place, MessagePart? In, string Reason, DateTimeOffset OccurredAt, string? Person = null);

/// <summary>What a swap came to.</summary>
/// <param name="Step">The step that puts this part in; the unit goes back to it, or to one before.</param>
/// <param name="Station">A station of that step, as whose a lot counts that is opened by this.</param>
/// <param name="Hold">Stops the unit until it is sent back, whatever else is lifted meanwhile.</param>
public sealed record PartSwapDecision(string Unit, string Step, int Number, string Station, UsedPart Out, string Place, UsedPart? In, DecidedHold Hold);

/// <summary>Body of a swap.</summary>
public sealed record PartSwapBody(PartSwap Said, PartSwapDecision Decided);

/// <summary>What a repairer hears who has swapped a part.</summary>
/// <param name="BackTo">The earliest step that the unit has to pass again.</param>
/// <param name="Again">Every step that it has to pass again.</param>
public sealed record PartSwapAnswer(long Sequence, string Unit, string Part, string Place, string BackTo, IReadOnlyList<string> Again, IReadOnlyList<string> Warnings, bool Repeat);

/// <summary>What a repairer measured on a stopped unit.</summary>
/// <param name="Id">A reading of the unit's route; null for another, which has a name.</param>
/// <param name="UnitWord">Of the value.</param>
public sealed record UnitMeasurement(string Key, string Unit, string? Id, string? Name, double? Value, string? UnitWord, string? Text, DateTimeOffset OccurredAt, string? Person = null);

/// <summary>What a measurement was taken as.</summary>
public sealed record UnitMeasurementDecision(string Unit, string Id, string Name);

/// <summary>Body of a measurement.</summary>
public sealed record UnitMeasurementBody(UnitMeasurement Said, UnitMeasurementDecision Decided);

public sealed record UnitMeasurementAnswer(long Sequence, string Unit, string Id, string Name, bool Repeat);

/// <summary>What becomes of a part that came out of a unit and was put on hold.</summary>
/// <param name="Place">scrap or stock.</param>
public sealed record PartPlacing(string Key, string Unit, MessagePart Part, string Place, string Reason, DateTimeOffset OccurredAt, string? Person = null);

/// <summary>What that came to.</summary>
/// <param name="Swap">The record of the swap that took it out.</param>
public sealed record PartPlacingDecision(long Swap, string? Lot, int Quantity);

/// <summary>Body of such a decision.</summary>
public sealed record PartPlacingBody(PartPlacing Said, PartPlacingDecision Decided);

public sealed record PartPlacingAnswer(long Sequence, string Unit, string Part, string Place, bool Repeat);

/// <summary>What was found to be wrong, beside what the diagnosis had put first.</summary>
/// <param name="Step">Where the unit had been stopped.</param>
/// <param name="Named">Id of the cause that the load test's diagnosis put first; null where there was none.</param>
public sealed record ReworkFinding(string Step, string Cause, string? Named, string? NamedWord, double? Probability);

/// <summary>Where a part goes that came out of a unit.</summary>
static class PartPlaces
{
    public const string Scrap = "scrap", Stock = "stock", Hold = "hold";

    public static readonly IReadOnlyList<string> All = [Scrap, Stock, Hold];
}
