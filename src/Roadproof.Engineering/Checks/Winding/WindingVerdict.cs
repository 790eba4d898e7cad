using Roadproof.Engineering.Judging;
using Roadproof.Engineering.Signals;
using static System.FormattableString;

namespace Roadproof.Engineering.Checks;

/// <summary>Judges a winding: resistance and inductance by pair, insulation, temperature sensor, and its answer to a surge.</summary>
public static class WindingVerdict
{
    public const string
        Resistance = "resistance", ResistanceImbalance = "resistance-imbalance", PhaseU = "phase-u", PhaseV = "phase-v", PhaseW = "phase-w",
        Inductance = "inductance", InductanceImbalance = "inductance-imbalance", InsulationOhm = "insulation", PolarisationIndex = "polarisation-index", AbsorptionRatio = "absorption-ratio",
        SensorDeviation = "sensor-deviation", SurgeArea = "surge-area", SurgeFrequency = "surge-frequency", SurgeFrequencyShift = "surge-frequency-shift", SurgeDampingShift = "surge-damping-shift", SurgePeak = "surge-peak";

    /// <summary>Features that a limit may be set for.</summary>
    public static readonly IReadOnlyList<string> Ids =
    [
        Resistance, ResistanceImbalance, PhaseU, PhaseV, PhaseW, Inductance, InductanceImbalance, InsulationOhm, PolarisationIndex, AbsorptionRatio, SensorDeviation,
        SurgeArea, SurgeFrequency, SurgeFrequencyShift, SurgeDampingShift, SurgePeak,
    ];

    /// <summary>Peaks further apart than this come from different voltages: common practice, no source.</summary>
    const double LikePeaks = 0.05;

    public static CheckVerdict Judge(WindingReadings read, WindingTest test)
    {
        var features = new List<CheckFeature>();
        var reading = new List<string>();
        if (read.ResistanceOhm is { } ohm) AddResistance(ohm, read.WindingC, test, features, reading);
        if (read.InductanceH is { } henry) AddInductance(henry, test, features, reading);
        if (read.InsulationOhm is { } insulation) features.Add(InsulationFeature(insulation, read.WindingC, test, reading));
        if (read.SensorC is { } sensor)
        {
            var deviation = read.WindingC is { } c ? new Reading(sensor - c, test.TemperatureK) : Reading.None;
            features.Add(Feature(SensorDeviation, "Temperature sensor less winding", "K", deviation, test));
            if (features[^1] is { Verdict: Verdict.Fail } f) reading.Add(Invariant($"The temperature sensor is {f.Value:F1} K off: another sensor, not seated, or the part is not at one temperature."));
        }

        return CheckVerdict.Of(features, reading);
    }

    public static CheckVerdict Judge(InsulationCurve curve, WindingTest test)
    {
        var reading = new List<string>();
        var minute = Insulation.At(curve.TimeS, curve.Ohm, 60);
        var index = Insulation.Ratio(curve.TimeS, curve.Ohm, 600, 60, test.InsulationRatioShare);
        if (minute > Insulation.IndexUpToOhm) reading.Add("Above 5 GΩ after a minute: the indices say nothing, the current is the meter's own.");
        else if (!double.IsFinite(index.Value)) reading.Add("The polarisation index needs ten minutes.");
        return CheckVerdict.Of(
            [
                double.IsFinite(minute) ? InsulationFeature(minute, curve.WindingC, test, reading) : Feature(InsulationOhm, "Insulation at 40 °C after a minute", "MΩ", Reading.None, test),
                Feature(AbsorptionRatio, "60 s over 30 s", "", Insulation.Ratio(curve.TimeS, curve.Ohm, 60, 30, test.InsulationRatioShare), test),
                Feature(PolarisationIndex, "10 min over 1 min", "", index, test),
            ],
            reading);
    }

    public static CheckVerdict Judge(SurgeCurves curves, WindingTest test)
    {
        var c = SurgeComparison.Of(curves);
        var reading = new List<string>();
        var area = Feature(SurgeArea, "Area between the waves over the master's", "%", In(c.AreaShare, 100), test);
        if (Math.Abs(c.PeakShare) > LikePeaks)
        {
            reading.Add(Invariant($"The peak is {100 * c.PeakShare:F0} % off the master's: another voltage, or a part that breaks down. Like is compared with like."));
            area = area with { Verdict = Verdict.Undecided };
        }
        else if (c.NoiseAreaShare > test.Limits.GetValueOrDefault(SurgeArea)?.Upper / 200)
        {
            reading.Add(Invariant($"Noise alone makes {100 * c.NoiseAreaShare:F1} % of area: it cannot tell."));
            area = area with { Verdict = Verdict.Undecided };
        }

        var shift = Over(c.Wave?.FrequencyHz, c.Master?.FrequencyHz);
        if (Math.Abs(shift.Value) > 4 * shift.StandardUncertainty)
            reading.Add(shift.Value > 0
                ? Invariant($"It rings {100 * shift.Value:F1} % faster than the master: less inductance, by {100 * (1 - 1 / Math.Pow(1 + shift.Value, 2)):F0} %. A shorted turn, or fewer turns.")
                : Invariant($"It rings {-100 * shift.Value:F1} % slower than the master: more turns, more iron (a rotor inside?), or more capacitance."));
        if (c.Wave is null || c.Master is null) reading.Add("A wave does not ring clearly enough for its frequency: record three half waves or more.");
        return CheckVerdict.Of(
            [
                area,
                Feature(SurgeFrequency, "Frequency", "kHz", In(c.Wave?.FrequencyHz ?? Reading.None, 1e-3), test),
                Feature(SurgeFrequencyShift, "Frequency against the master", "%", In(shift, 100), test),
                Feature(SurgeDampingShift, "Damping against the master", "%", In(Over(c.Wave?.DampingPerS, c.Master?.DampingPerS), 100), test),
                Feature(SurgePeak, "Peak against the master", "%", new(100 * c.PeakShare, 0), test),
            ],
            reading);
    }

    static void AddResistance(IReadOnlyList<Pairs> readings, double? windingC, WindingTest test, List<CheckFeature> features, List<string> reading)
    {
        var (mean, scatter) = Together(readings);
        var pairs = mean.Each(r => r - test.LeadOhm.Value);
        var single = double.Hypot(double.Hypot(test.ResistanceStepOhm, test.ContactOhm), scatter);
        var imbalance = new Reading(pairs.Range / pairs.Mean, Math.Sqrt(2) * single / pairs.Mean);
        if (windingC is not { } c)
        {
            reading.Add("No temperature of the winding: the resistance cannot be carried to 20 °C.");
            features.Add(Feature(Resistance, "Resistance of a pair at 20 °C", "mΩ", Reading.None, test));
            features.Add(Feature(ResistanceImbalance, "Imbalance of the resistances", "%", In(imbalance, 100), test));
            return;
        }

        var to20 = Copper.At20(1, c);
        var common = double.Hypot(test.ResistanceShare, test.TemperatureK * Copper.SharePerK(c));
        Reading At20(double ohm, double additive) => new(to20 * ohm, to20 * double.Hypot(additive, common * ohm));
        features.Add(Feature(Resistance, "Resistance of a pair at 20 °C", "mΩ", In(At20(pairs.Mean, double.Hypot(test.LeadOhm.StandardUncertainty, single / Math.Sqrt(3))), 1e3), test));
        features.Add(Feature(ResistanceImbalance, "Imbalance of the resistances", "%", In(imbalance, 100), test));
        if (features[^1].Verdict == Verdict.Fail) reading.Add("The pairs differ: a joint, a broken strand, or wrong turns in one phase.");

        var names = test.Connection == WindingConnection.Star ? (U: "Phase U", V: "Phase V", W: "Phase W") : (U: "Side UV", V: "Side VW", W: "Side WU");
        foreach (var (id, name, of) in new (string, string, Func<Pairs, double>)[] { (PhaseU, names.U, p => p.Uv), (PhaseV, names.V, p => p.Vw), (PhaseW, names.W, p => p.Wu) })
            features.Add(Feature(id, $"{name} at 20 °C", "mΩ", In(At20(of(pairs.Phases(test.Connection)), PhaseUncertainty(pairs, of, single, test)), 1e3), test));
    }

    /// <summary>From the pairs' own scatter and the leads that all three share, by differences.</summary>
    static double PhaseUncertainty(Pairs pairs, Func<Pairs, double> of, double single, WindingTest test)
    {
        var step = 1e-4 * pairs.Mean;
        double At(Pairs p) => of(p.Phases(test.Connection));
        var (uv, vw, wu) = (
            (At(pairs with { Uv = pairs.Uv + step }) - At(pairs with { Uv = pairs.Uv - step })) / (2 * step),
            (At(pairs with { Vw = pairs.Vw + step }) - At(pairs with { Vw = pairs.Vw - step })) / (2 * step),
            (At(pairs with { Wu = pairs.Wu + step }) - At(pairs with { Wu = pairs.Wu - step })) / (2 * step));
        return double.Hypot(single * Math.Sqrt(uv * uv + vw * vw + wu * wu), (uv + vw + wu) * test.LeadOhm.StandardUncertainty);
    }

    static void AddInductance(IReadOnlyList<Pairs> readings, WindingTest test, List<CheckFeature> features, List<string> reading)
    {
        // With the rotor in, the three pairs follow its place by a third of a period each: their mean does not.
        var (mean, scatter) = Together(readings);
        var single = double.Hypot(test.InductanceSingleShare * mean.Mean, scatter);
        features.Add(Feature(Inductance, "Inductance of a pair", "µH", In(new(mean.Mean, double.Hypot(test.InductanceShare * mean.Mean, single / Math.Sqrt(3))), 1e6), test));
        var imbalance = Feature(InductanceImbalance, "Imbalance of the inductances", "%", In(new(mean.Range / mean.Mean, Math.Sqrt(2) * single / mean.Mean), 100), test);
        if (test.RotorSaliency is { } saliency && imbalance.Verdict is not null)
        {
            var byRotor = 100 * Math.Sqrt(3) * Math.Abs(saliency);
            var beyond = imbalance.Value - byRotor > imbalance.Upper + test.Limits[InductanceImbalance].GuardFactor * imbalance.StandardUncertainty;
            imbalance = imbalance with { Verdict = beyond ? Verdict.Fail : Verdict.Undecided };
            if (!beyond) reading.Add(Invariant($"The rotor is in: its place alone makes up to {byRotor:F0} % of imbalance. Measure the stator alone, or turn the rotor."));
        }

        features.Add(imbalance);
        if (imbalance.Verdict == Verdict.Fail) reading.Add("The inductances differ: a shorted turn, wrong turns, or a coil the wrong way round.");
    }

    static CheckFeature InsulationFeature(double ohm, double? windingC, WindingTest test, List<string> reading)
    {
        var at40 = windingC is { } c ? In(Insulation.At40(ohm, c, test.InsulationShare, test.TemperatureK), 1e-6) : Reading.None;
        if (windingC is null) reading.Add("No temperature of the winding: the insulation resistance cannot be carried to 40 °C.");
        var feature = Feature(InsulationOhm, "Insulation at 40 °C", "MΩ", at40, test);
        if (feature.Verdict == Verdict.Fail) reading.Add("Low insulation: damp, dirt, or a wire through its enamel. Dry it, look, and test again before any higher voltage.");
        return feature;
    }

    /// <summary>Means of repeated readings and the standard uncertainty that their scatter gives a mean.</summary>
    static (Pairs Mean, double Scatter) Together(IReadOnlyList<Pairs> readings)
    {
        var mean = new Pairs(readings.Average(r => r.Uv), readings.Average(r => r.Vw), readings.Average(r => r.Wu));
        if (readings.Count < 2) return (mean, 0);
        var squares = readings.Sum(r => Square(r.Uv - mean.Uv) + Square(r.Vw - mean.Vw) + Square(r.Wu - mean.Wu));
        return (mean, Math.Sqrt(squares / (3 * (readings.Count - 1)) / readings.Count));
    }

    static Reading Over(Reading? of, Reading? master) => of is { } a && master is { } b
        ? new(a.Value / b.Value - 1, Math.Abs(a.Value / b.Value) * double.Hypot(a.StandardUncertainty / a.Value, b.StandardUncertainty / b.Value))
        : Reading.None;

    static double Square(double x) => x * x;

    static Reading In(Reading reading, double factor) => new(reading.Value * factor, reading.StandardUncertainty * factor);

    static CheckFeature Feature(string id, string name, string unit, Reading reading, WindingTest test) => CheckFeature.Of(id, name, unit, reading, test.Limits.GetValueOrDefault(id));
}
