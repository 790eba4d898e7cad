using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Judging;
using Roadproof.Engineering.Statistics;

namespace Roadproof.Engineering.LoadTest;

/// <summary>Holds the linear budget of every modelled reading, and the scatter over sound units, against draws through the full computation.</summary>
/// <remarks>
/// Every error is drawn at once, the run of a unit disturbed by all of them and carried anew, so that nothing of the linear columns is in it but the linear result of the same draws beside it,
/// whose luck then drops out (control variate, textbook). Source: JCGM 101:2008, clause 8. Seeded: the same plan gives the same answer.
/// </remarks>
static class DrawnReadings
{
    /// <summary>Of the readings of a unit as drawn, by characteristic as in <see cref="ExpectationSpread.Ids"/>; over rig, noise and the model's own terms.</summary>
    public static CoverageCheck[] OfReadings(ExpectationSpread spread, LoadTestPlan plan, RunKind kind, int draws = 1_000)
    {
        var run = FaultlessRun.Of(plan, Deviation.None) with { Rates = kind.Rates };
        var undisturbed = CarriedReadings.Of(run, plan);
        var noise = new SeededNoise(3, "budgets");
        var (drawn, linear) = (Empty(spread, draws), Empty(spread, draws));
        for (var n = 0; n < draws; n++)
        {
            var read = Disturbed(run, spread.Errors, plan, noise, n, linear);
            for (var i = 0; i < drawn.Length; i++) drawn[i][n] = read.Readings[spread.Ids[i]].Value - undisturbed.Readings[spread.Ids[i]].Value;
        }

        return [.. spread.Ids.Select((_, i) => Check(i))];

        CoverageCheck Check(int i)
        {
            var u = spread.ReadingUncertainty(i);
            return CoverageCheck.Of(drawn[i], linear[i], u, u, Normal.Quantile(0.975) * u);
        }
    }

    /// <summary>Of what sound units read: parts, rig and noise, without the model's own terms, which no unit scatters by.</summary>
    /// <returns>The check of the plain linear spread of the parts, and the drawn standard deviation beside the second-order one.</returns>
    public static DrawnSpread[] OfSoundUnits(ExpectationSpread spread, LoadTestPlan plan, int draws = 3_000)
    {
        var (parts, z, noise) = (new PartScatter(plan.Tolerances), new double[PartScatter.Count], new SeededNoise(4, "sound units, drawn"));
        var errors = spread.Errors.Where(e => e.Error.SharedBy != SharedBy.AllUnits).ToList();
        var (drawn, linear, none) = (Empty(spread, draws), Empty(spread, draws), spread.Model.At(Deviation.None));
        for (var n = 0; n < draws; n++)
        {
            noise.Fill(z);
            var read = Disturbed(FaultlessRun.Of(plan, parts.At(z)), errors, plan, noise, n, linear);
            for (var i = 0; i < drawn.Length; i++)
            {
                drawn[i][n] = read.Readings[spread.Ids[i]].Value - none[i];
                for (var p = 0; p < z.Length; p++) linear[i][n] += z[p] * spread.Parts[p][i];
            }
        }

        return [.. spread.Ids.Select((_, i) => Of(i))];

        DrawnSpread Of(int i)
        {
            var mean = drawn[i].Average() - linear[i].Average();
            var sd = Math.Sqrt(spread.Parts.Sum(c => c[i] * c[i]) + errors.Sum(e => e.Column[i] * e.Column[i]));
            var check = CoverageCheck.Of(drawn[i], linear[i], sd, sd, Normal.Quantile(0.975) * sd);
            return new(sd, mean, spread.Mean[i] - none[i], Math.Sqrt(sd * sd + spread.CurvatureVariance(i)), check);
        }
    }

    static CarriedReadings Disturbed(MeasuredRun run, IReadOnlyList<ErrorColumn> errors, LoadTestPlan plan, SeededNoise noise, int n, double[][] linear)
    {
        foreach (var (error, column) in errors)
        {
            if (error.Size == 0) continue;
            var by = error.Draw(noise);
            run = error.Disturb(run, by);
            for (var i = 0; i < column.Length; i++) linear[i][n] += by / error.Size * column[i];
        }

        return CarriedReadings.Of(run, plan);
    }

    static double[][] Empty(ExpectationSpread spread, int draws) => [.. spread.Ids.Select(_ => new double[draws])];
}

/// <summary>How sound units scatter in one characteristic by three computations.</summary>
/// <param name="Linear">Standard deviation to first order in parts and errors.</param>
/// <param name="Shift">How far the drawn mean lies from the unit as drawn, in the characteristic's unit.</param>
/// <param name="SecondOrderShift">The same by the model's second derivatives: what the expected value holds.</param>
/// <param name="SecondOrder">Standard deviation to second order in the parts: what the limits hold, less the model's own terms.</param>
/// <param name="Drawn">Draws against the first-order one.</param>
public sealed record DrawnSpread(double Linear, double Shift, double SecondOrderShift, double SecondOrder, CoverageCheck Drawn);
