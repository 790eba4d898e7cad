using Roadproof.Engineering.Judging;
using Roadproof.Engineering.Signals;
using static System.FormattableString;

namespace Roadproof.Engineering.Checks;

/// <summary>Judges a hold of pressure against the largest leak allowed.</summary>
public static class LeakVerdict
{
    /// <summary>Unit of the leak and its limit, at reference conditions.</summary>
    public const string Cm3PerMin = "cm³/min";

    public const string Leak = "leak-rate", ByTemperature = "leak-by-temperature", Uncorrected = "leak-uncorrected";

    public const string Method = "Ideal gas: straight lines through pressure and temperature of the settled stretch, flow at 101 325 Pa and 20 °C; docs/methods/leak.md.";

    public static CheckVerdict Judge(LeakCurve curve, LeakTest test) => Judge(LeakReadings.From(curve, test), test);

    public static CheckVerdict Judge(LeakReadings r, LeakTest test)
    {
        var leak = r.Leak(test);
        var raw = r.InCm3PerMin(r.Decay, test);
        var byTemperature = r.InCm3PerMin(r.DecayByTemperature, test);
        var guardBand = test.Limit.GuardFactor * leak.StandardUncertainty;
        var reading = new List<string> { Said(leak, raw, byTemperature, r) };
        var judged = Feature(Leak, "Leak", Cm3PerMin, leak, test.Limit);
        var gaugePa = r.MeanPa - test.AtmospherePa;
        var pressureHeld = Math.Abs(gaugePa - test.TestPressurePa) <= test.TestPressureShare * Math.Abs(test.TestPressurePa);

        if (r.Gross)
        {
            judged = judged with { Verdict = Verdict.Fail };
            reading.Add("A gross leak: more pressure is gone than the heat of filling could ever take. (Or the file holds the venting: mark where measuring ends.)");
        }
        else if (WhyUndecided(r, test, leak, byTemperature, guardBand, judged, pressureHeld) is { } why)
        {
            judged = judged with { Verdict = Verdict.Undecided };
            reading.Add($"Cannot tell: {why}");
        }

        if (!r.PartRecorded) reading.Add(Invariant($"No temperature of the part was recorded: a change of {test.UnknownChangeK:G2} K is in the uncertainty instead."));
        return CheckVerdict.Of(
            [
                judged,
                Feature("leak-throughput", "The same as p·V per time", "mbar·l/s", InUnit(leak, LeakUnit.MbarLPerS, r, test)),
                Feature("leak-throughput-si", "The same as p·V per time", "Pa·m³/s", InUnit(leak, LeakUnit.PaM3PerS, r, test)),
                Feature(Uncorrected, "Leak as the decay reads", Cm3PerMin, raw),
                Feature(ByTemperature, "Leak that temperature explains", Cm3PerMin, byTemperature),
                Feature("leak-of-a-tenth-kelvin", "What 0.1 K of cooling looks like", Cm3PerMin, r.InCm3PerMin(new(0.1 * r.MeanPa / r.GasK / (r.ToS - r.FromS), 0), test)),
                Feature("cooling-to-explain", "Cooling that would explain the whole decay", "K", new(r.CoolingToExplainK, Math.Abs(r.CoolingToExplainK * r.Decay.StandardUncertainty / r.Decay.Value))),
                Feature("settling-change", "Change of the decay from first to second half", Cm3PerMin, r.InCm3PerMin(r.DecayChange, test)),
                Feature("part-above-room", "Part above room", "K", new(r.PartAboveRoomK, 0)),
                Feature("test-pressure", "Test pressure", "Pa", new(gaugePa, Math.Abs(test.PressureGainShare * gaugePa))) with { Verdict = pressureHeld ? Verdict.Pass : Verdict.Undecided },
                Feature("measured-from", "Measured from", "s", new(r.FromS, 0)),
                Feature("measured-for", "Measured for", "s", new(r.ToS - r.FromS, 0)),
            ],
            reading);
    }

    static string? WhyUndecided(LeakReadings r, LeakTest test, Reading leak, Reading byTemperature, double guardBand, CheckFeature judged, bool pressureHeld)
    {
        if (!r.Settled)
            return Invariant($"the pressure had not settled {test.LeastS:G3} s before the end (the decay still changes by {Math.Abs(r.InCm3PerMin(r.DecayChange, test).Value):G2} cm³/min from half to half). Let it settle longer.");
        if (!pressureHeld) return Invariant($"{r.MeanPa - test.AtmospherePa:F0} Pa is not the test pressure of {test.TestPressurePa:F0} Pa; the limit stands for that.");
        if (leak.Value < -guardBand) return "the pressure rises after the correction. Is the part warming where no sensor sits, or does the fill valve seep?";

        // A large correction must not carry the verdict: it has to stand without it and with twice of it.
        var share = Math.Abs(byTemperature.Value);
        var stands = judged.Verdict switch
        {
            Verdict.Pass => leak.Value + share <= test.Limit.Upper - guardBand,
            Verdict.Fail => leak.Value - share > test.Limit.Upper + guardBand,
            _ => true,
        };
        if (share > guardBand && !stands) return Invariant($"temperature makes {byTemperature.Value:G2} cm³/min of the decay, more than the guard band of {guardBand:G2}, and the verdict hangs on it. Let part and room come together, then test again.");
        return judged.Verdict == Verdict.Undecided ? Invariant($"the leak lies within the guard band of {guardBand:G2} cm³/min on either side of the limit. Measure longer.") : null;
    }

    static string Said(Reading leak, Reading raw, Reading byTemperature, LeakReadings r) =>
        Invariant($"Leak {leak.Value:G3} cm³/min, standard uncertainty {leak.StandardUncertainty:G2}. The decay reads {raw.Value:G3}; temperature explains {byTemperature.Value:G2} of it. A cooling of {r.CoolingToExplainK:G2} K would look like all of it.");

    static Reading InUnit(Reading leak, LeakUnit unit, LeakReadings r, LeakTest test)
    {
        double Of(double cm3PerMin) => LeakRate.Convert(cm3PerMin, LeakUnit.Cm3PerMin, unit, test.Reference, r.GasK);
        return new(Of(leak.Value), Of(leak.StandardUncertainty));
    }

    static CheckFeature Feature(string id, string name, string unit, Reading reading, FeatureWindow? window = null) => CheckFeature.Of(id, name, unit, reading, window);
}
