using Roadproof.Engineering.Judging;
using Roadproof.Engineering.Signals;
using static System.FormattableString;

namespace Roadproof.Engineering.Checks;

/// <summary>Judges a grease dose, weighed or read from the dispenser's pressure.</summary>
public static class GreaseVerdict
{
    public const string Dose = "dose", NominalTime = "nominal-time", Plateau = "pressure", Rise = "rise-time", Fall = "fall-time", Dip = "pressure-dip";

    /// <summary>Features that a limit may be set for.</summary>
    public static readonly IReadOnlyList<string> Ids = [Dose, NominalTime, Plateau, Rise, Fall, Dip];

    /// <summary>A dip of this share of the plateau, beyond what noise reaches, is the sign of air. Common practice, no source.</summary>
    const double AirDip = 0.15;

    public static CheckVerdict Judge(GreaseWeighings weighings, GreaseTest test)
    {
        var grams = weighings.AfterG.Zip(weighings.BeforeG, (after, before) => after - before).ToList();
        var mean = grams.Average();
        var scatter = grams.Count > 1 ? Math.Sqrt(grams.Sum(g => (g - mean) * (g - mean)) / (grams.Count - 1) / grams.Count) : 0;

        // Both readings come from one scale, so repeating them does not take its own error away.
        var dose = CheckFeature.Of(Dose, "Dose", "g", new Reading(mean, double.Hypot(Math.Sqrt(2) * test.ScaleUncertaintyG, scatter)), test.Limits.GetValueOrDefault(Dose));
        return CheckVerdict.Of([dose], [Said(dose)]);
    }

    public static CheckVerdict Judge(GreaseShot shot, GreaseTest test)
    {
        if (ShotReadings.From(shot, test) is not { } r)
            return CheckVerdict.Of([CheckFeature.Of(Dose, "Dose", "g", Reading.None, test.Limits.GetValueOrDefault(Dose))], ["No shot: the pressure never stood. Nozzle open, drum empty, or the record is of something else."]);

        var flow = test.FlowGPerS ?? Reading.None;
        var grams = flow.Value * r.NominalS.Value;
        var dose = Feature(Dose, "Dose", "g", new(grams, grams * double.Hypot(flow.StandardUncertainty / flow.Value, r.NominalS.StandardUncertainty / r.NominalS.Value)), test);
        var reading = new List<string> { Said(dose) };
        if (r.Dip.Value > Math.Max(AirDip, 2 * r.NoiseDip))
        {
            reading.Add(Invariant($"The pressure falls by {100 * r.Dip.Value:F0} % while it flows: the sign of air in the nozzle. Air is no grease: weigh the unit, bleed the dispenser."));
            if (dose.Verdict == Verdict.Pass) dose = dose with { Verdict = Verdict.Undecided };
        }

        return CheckVerdict.Of(
            [
                dose,
                Feature(NominalTime, "Time at nominal pressure", "s", r.NominalS, test),
                Feature(Plateau, "Pressure while it flows", "kPa", new(r.Plateau.Value / 1e3, r.Plateau.StandardUncertainty / 1e3), test),
                Feature(Rise, "Rise of the pressure", "s", new(r.RiseS, 0), test),
                Feature(Fall, "Fall of the pressure", "s", new(r.FallS, 0), test),
                Feature(Dip, "Deepest fall while it flows", "%", new(100 * r.Dip.Value, 100 * r.Dip.StandardUncertainty), test),
            ],
            reading);
    }

    static string Said(CheckFeature dose) => dose switch
    {
        { Value: null } => "No flow of the dispenser was given: the dose cannot be told from its pressure.",
        { Verdict: Verdict.Fail } when dose.Value < dose.Lower => Invariant($"Too little: {dose.Value:F2} g. Nozzle clogged, drum empty, shot cut short."),
        { Verdict: Verdict.Fail } => Invariant($"Too much: {dose.Value:F2} g. Dosed twice, valve late, grease warm."),
        { Verdict: Verdict.Undecided } => Invariant($"{dose.Value:F2} g, within the guard band of a limit: this measurement cannot tell."),
        _ => Invariant($"{dose.Value:F2} g, standard uncertainty {dose.StandardUncertainty:G2}."),
    };

    static CheckFeature Feature(string id, string name, string unit, Reading reading, GreaseTest test) => CheckFeature.Of(id, name, unit, reading, test.Limits.GetValueOrDefault(id));
}
