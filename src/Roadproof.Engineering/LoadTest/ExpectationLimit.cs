namespace Roadproof.Engineering.LoadTest;

/// <summary>What sound units read in one characteristic, and from where on a unit is unusual.</summary>
/// <param name="StandardDeviation">Over sound units: parts, rig and noise.</param>
/// <param name="ReadingUncertainty">The part of it that comes from rig and noise alone.</param>
/// <param name="RigShare">Share of the variance that stays with a rig; for <see cref="Judging.LotShift"/>.</param>
/// <param name="Lower">Below, a single reading is unusual.</param>
/// <param name="Upper">Above, a single reading is unusual.</param>
public sealed record ExpectationLimit(
    string Id, string Name, string Unit, double Expected, double StandardDeviation, double ReadingUncertainty, double RigShare, double Lower, double Upper);
