using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Judging;
using Roadproof.Engineering.Signals;
using static System.FormattableString;

namespace Roadproof.Engineering.Checks.Functional;

/// <summary>The verdict on a functional check: what is required, and what sound units look like.</summary>
/// <param name="Expectations">Against sound units; empty where the product does not say how its parts scatter.</param>
/// <param name="Distance">Squared distance of all expectations together; NaN where there are none.</param>
/// <param name="Reading">In sentences.</param>
public sealed record FunctionalVerdict(
    RunVerdict Verdict, IReadOnlyList<CheckFeature> Features, IReadOnlyList<ExpectationReading> Expectations, double Distance, double DistanceLimit, double SigmaLimit, IReadOnlyList<string> Reading)
{
    public const string
        Forward = "drag-forward", Backward = "drag-backward", Driven = "drag-driven", TakeUp = "backlash", Lock = "clutch-lock", Free = "clutch-free",
        SensorZero = "sensor-zero", PhaseBalance = "phase-balance", Missed = "messages-missed";

    public const string Method = "Means over whole turns, take-up where the torque rises, largest torque held; edges with the guard band of JCGM 106:2012; sound units from the drag model and part tolerances, jointly; docs/methods/functional-check.md.";

    /// <summary>Features that a limit may be set for, with their units.</summary>
    public static readonly IReadOnlyDictionary<string, string> Units = new Dictionary<string, string>(StringComparer.Ordinal)
    {
        [Forward] = "N·m", [Backward] = "N·m", [Driven] = "N·m", [TakeUp] = "°", [Lock] = "N·m", [Free] = "N·m", [SensorZero] = "N·m", [PhaseBalance] = "%", [Missed] = "1",
    };

    /// <summary>What is required of every unit where nobody says otherwise: the clutch holds 1.5 times the largest torque, and no message is missed.</summary>
    public static Dictionary<string, FeatureWindow> UsualLimits(DriveUnit unit) => new(StringComparer.Ordinal)
    {
        [Lock] = new(1.5 * unit.Rating.MaximumTorqueNm, null, "1.5 times the largest torque; common practice, no source"),
        [Missed] = new(null, 0.5, "none may be missed", 0),
    };

    public static FunctionalVerdict Judge(FunctionalCapture capture, FunctionalTest test) => Judge(FunctionalReadings.From(capture, test), test);

    public static FunctionalVerdict Judge(FunctionalReadings r, FunctionalTest test)
    {
        CheckFeature Feature(string id, string name, Reading reading) => CheckFeature.Of(id, name, Units[id], reading, test.Limits.GetValueOrDefault(id));
        List<CheckFeature> features =
        [
            Feature(Forward, "Drag forward", r.Forward), Feature(Backward, "Drag backward", r.Backward), Feature(Driven, "Drag of gears and rotor", r.Driven), Feature(TakeUp, "Take-up angle", r.TakeUp),
            Held(Feature(Lock, "Torque held by the clutch", r.Lock), r.Lock), Feature(Free, "Torque with the clutch free", r.Free), Feature(SensorZero, "Torque sensor zero", r.SensorZero),
            Feature(PhaseBalance, "Imbalance of the phases", r.PhaseBalance), Feature(Missed, "Messages missed", new(r.Missed, 0)),
        ];
        var expected = FunctionalExpectation.Of(r, test);
        var unusual = expected is not null && (expected.Distance > expected.DistanceLimit || expected.Readings.Any(e => e.Verdict == Judging.Verdict.Unusual));
        var verdict = features.Exists(f => f.Verdict == Judging.Verdict.Fail) ? RunVerdict.Fail
            : unusual || features.Exists(f => f.Verdict == Judging.Verdict.Undecided) ? RunVerdict.Hold : RunVerdict.Pass;
        return new(verdict, features, expected?.Readings ?? [], expected?.Distance ?? double.NaN, expected?.DistanceLimit ?? double.NaN, expected?.SigmaLimit ?? double.NaN, [.. Say(r, features, expected)]);
    }

    /// <summary>A clutch that never let go holds at least what it was given; a ramp that ended below the limit says nothing of it.</summary>
    static CheckFeature Held(CheckFeature held, Reading reading) => reading.AtLeast && held.Verdict == Judging.Verdict.Fail ? held with { Verdict = Judging.Verdict.Undecided } : held;

    static IEnumerable<string> Say(FunctionalReadings r, List<CheckFeature> features, FunctionalExpectation? expected)
    {
        foreach (var f in features.Where(f => f.Verdict is Judging.Verdict.Fail or Judging.Verdict.Undecided))
            yield return f.Value is not { } value ? $"{f.Name}: the capture cannot tell." : f.Verdict == Judging.Verdict.Fail ? $"{f.Name} {(value < f.Lower ? "too low" : "too high")}: {Cause(f.Id, value < f.Lower)}."
                : f.Id == Lock && r.Lock.AtLeast && value < f.Lower ? "The clutch held, but the ramp ended below the limit: ramp it up to the limit and a guard band more." : $"{f.Name}: too near to its edge to decide.";
        foreach (var e in expected?.Readings.Where(e => e.Verdict == Judging.Verdict.Unusual) ?? [])
            yield return Invariant($"{e.Name} is unusual by {e.Sigma:+0.0;-0.0} σ: {Cause(e.Id, e.Sigma < 0)}.");
        if (expected is { } x && x.Distance > x.DistanceLimit && x.Readings.All(e => e.Verdict == Judging.Verdict.Usual))
            yield return Invariant($"Each reading is usual, together they are not (distance {x.Distance:0.0}, sound units stay below {x.DistanceLimit:0.0}): the drags do not fit together.");
        if (features.TrueForAll(f => f.Verdict is null or Judging.Verdict.Pass) && (expected is null || (expected.Distance <= expected.DistanceLimit && expected.Readings.All(e => e.Verdict == Judging.Verdict.Usual))))
            yield return "As required, and as sound units are.";
    }

    // Where to look first, not what is. Common practice, no source.
    static string Cause(string id, bool low) => (id, low) switch
    {
        (Driven, true) => "grease missing, or the clutch does not take the gears along",
        (Driven, false) => "dry bearing, stiff or too much grease, rotor rubs, a burr on a tooth",
        (Forward or Backward or Free, true) => "seal or clutch missing or without its spring",
        (Forward or Backward or Free, false) => "seal dry or pinched, clutch drags, grease in the clutch, a wrong washer",
        (TakeUp, true) => "gears tight, centre distance too small, a burr",
        (TakeUp, false) => "worn or wrong gears, clutch with a roller missing",
        (Lock, _) => "clutch slips: oil in it, a roller missing, sleeve too soft. Do not ship on a second try",
        (SensorZero, _) => "sensor strained by its bearing, its magnet or its zero not written",
        (PhaseBalance, _) => "a phase screw or crimp, or the gain of a current sensor",
        _ => "connector, harness or firmware",
    };
}
