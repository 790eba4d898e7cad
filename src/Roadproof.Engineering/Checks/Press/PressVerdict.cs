using Roadproof.Engineering.Judging;
using Roadproof.Engineering.Signals;
using static System.FormattableString;

namespace Roadproof.Engineering.Checks;

/// <summary>Judges a press-in by its features, and says what their pattern is usually the sign of.</summary>
public static class PressVerdict
{
    public const string
        Touch = "touch", EntryForce = "entry-force", Slope = "slope", PressForce = "press-force", Seat = "seat", SeatSlope = "seat-slope",
        BlockForce = "block-force", End = "end", Work = "work", StickSlip = "stick-slip";

    public const string Method = "A line of the press force and one of the seat, noise from second differences; docs/methods/press.md.";

    /// <summary>Features that a limit may be set for.</summary>
    public static readonly IReadOnlyList<string> Ids = [Touch, EntryForce, Slope, PressForce, Seat, SeatSlope, BlockForce, End, Work, StickSlip];

    /// <summary>A slip is told from this share of the press force on. Common practice, no source.</summary>
    const double SlipShare = 0.05;

    const double MmPerM = 1e3, NPerMmPerNPerM = 1e-3;

    public static CheckVerdict Judge(PressCurve curve, PressTest test)
    {
        var r = PressReadings.From(curve, test);
        List<CheckFeature> features =
        [
            Feature(Touch, "First touch", "mm", In(r.Touch, MmPerM), test),
            Feature(EntryForce, "Entry force", "N", r.EntryForce, test),
            Feature(Slope, "Slope of the press force", "N/mm", In(r.Slope, NPerMmPerNPerM), test),
            Feature(PressForce, "Press force before the seat", "N", r.PressForce, test),
            SeatFeature(r, test),
            Feature(SeatSlope, "Slope on the seat", "N/mm", In(r.SeatSlope, NPerMmPerNPerM), test),
            Feature(BlockForce, r.Seated ? "Block force" : "Largest force", "N", r.PeakForce, test),
            Feature(End, "End of the stroke", "mm", In(r.End, MmPerM), test),
            Feature(Work, "Work", "J", r.Work, test),
            Feature(StickSlip, "Largest slip", "N", r.LargestDrop, test),
        ];
        foreach (var window in test.Windows)
        {
            var (lowest, highest) = PressReadings.Within(curve, window, r.NoiseN, test);
            if (window.LowerN is { } lower) features.Add(CheckFeature.Of($"{window.Id}-lowest", $"Lowest force in {window.Id}", "N", lowest, new(lower, null, window.Id)));
            if (window.UpperN is { } upper) features.Add(CheckFeature.Of($"{window.Id}-highest", $"Highest force in {window.Id}", "N", highest, new(null, upper, window.Id)));
        }

        return CheckVerdict.Of(features, [.. Signs(r, features)]);
    }

    /// <summary>A stroke that went clearly past the last place for a seat and met none has failed; one that ended before cannot tell.</summary>
    static CheckFeature SeatFeature(PressReadings r, PressTest test)
    {
        var seat = Feature(Seat, "Seat reached", "mm", In(r.Seat, MmPerM), test);
        if (r.Seated || seat.Upper is not { } latest) return seat;
        var guardBandMm = test.Limits[Seat].GuardFactor * r.End.StandardUncertainty * MmPerM;
        return seat with { Verdict = r.End.Value * MmPerM > latest + guardBandMm ? Verdict.Fail : Verdict.Undecided };
    }

    static IEnumerable<string> Signs(PressReadings r, List<CheckFeature> features)
    {
        CheckFeature Of(string id) => features.Find(f => f.Id == id)!;
        bool Low(string id) => Of(id) is { Verdict: Verdict.Fail } f && f.Value < f.Lower;
        bool High(string id) => Of(id) is { Verdict: Verdict.Fail } f && f.Value > f.Upper;

        if (!r.Touched)
        {
            yield return "Nothing was touched: the part is missing or the ram stopped short.";
            yield break;
        }

        if (r.Seated)
            yield return Invariant($"Pressed in with {r.PressForce.Value:F0} N at the end, seated at {r.Seat.Value * MmPerM:F2} mm, block force {r.PeakForce.Value:F0} N.");
        else if (Of(Seat).Verdict == Verdict.Fail)
            yield return Invariant($"No block up to {r.End.Value * MmPerM:F2} mm: the part or its seat is missing, or the part is too short.");
        else
            yield return Invariant($"The stroke ended at {r.End.Value * MmPerM:F2} mm before the force showed a seat.");

        if (Low(Seat)) yield return "The force rises too early: the part is skew, a chip lies under it, or there are two.";
        if (High(Seat)) yield return "The seat comes late: a part is missing under it, or the seat is deep.";
        if (High(EntryForce)) yield return "High entry force: skew, burr or missing chamfer.";
        if (Low(PressForce)) yield return "Low press force: bore large, shaft small, or a wrong lot.";
        if (High(PressForce)) yield return "High press force: bore small, shaft large, dry, or skew.";
        if (High(BlockForce)) yield return "Pressed too hard on the seat: a bearing may be brinelled.";
        if (r.LargestDrop.Value > 2 * r.NoiseDropN && r.LargestDrop.Value > SlipShare * Math.Abs(r.PressForce.Value))
            yield return Invariant($"Stick-slip: the force falls by {r.LargestDrop.Value:F0} N within a slip. Look at lubricant and surface.");
    }

    static Reading In(Reading reading, double factor) => new(reading.Value * factor, reading.StandardUncertainty * factor);

    static CheckFeature Feature(string id, string name, string unit, Reading reading, PressTest test) => CheckFeature.Of(id, name, unit, reading, test.Limits.GetValueOrDefault(id));
}
