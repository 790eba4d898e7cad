using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Statistics;

namespace Roadproof.Engineering.LoadTest;

/// <summary>What the diagnosis named first in drawn units that all have the same fault.</summary>
/// <param name="Size">Of the fault, in <paramref name="Unit"/>: twice the smallest that nine of ten units are stopped for, or <paramref name="LimitedSize"/> where there is no such size.</param>
/// <param name="LimitedSize">The size is the largest that there can be, or that the model carries, because twice the smallest found lies beyond it.</param>
/// <param name="Right">Units in which the fault itself was named first, or one that the line itself says it cannot be told from.</param>
/// <param name="Named">How often each hypothesis was named first, most often first.</param>
public sealed record DiagnosisTrialRow(string Fault, string Name, string Unit, double Size, bool LimitedSize, int Units, int Right, IReadOnlyList<NamedFirst> Named);

/// <summary>How often a hypothesis was named first.</summary>
public sealed record NamedFirst(string Fault, int Units);

/// <summary>What the diagnosis made of units with two faults at once.</summary>
/// <param name="Both">The pair was named first, or a pair that the line says it cannot be told from.</param>
/// <param name="One">A single fault of the two was named first, or one that the line says it cannot be told from.</param>
/// <param name="Named">How often each hypothesis was named first, most often first.</param>
public sealed record PairTrialRow(string First, string Second, int Units, int Both, int One, IReadOnlyList<NamedFirst> Named);

/// <summary>Tries the diagnosis on drawn units whose fault is known.</summary>
/// <remarks>
/// Parts scatter by their tolerances and every unit is computed by the full model (no linear shortcut); rig, noise and temperature errors are drawn with their covariance. The draws share nothing with those that
/// set the limits. A fault that goes either way is drawn with both signs in turn.
/// </remarks>
sealed class DiagnosisTrial
{
    readonly ExpectationSpread spread;
    readonly PartScatter parts;
    readonly Whitening errors;
    readonly Diagnosis diagnosis;
    readonly int[] rows;

    public DiagnosisTrial(LoadTestPlan plan, ExpectationSpread spread, int[] rows)
    {
        (this.spread, this.rows) = (spread, rows);
        parts = new(plan.Tolerances);
        errors = new(spread.ErrorsBetweenRuns());
        diagnosis = new(spread, rows);
    }

    public DiagnosisTrialRow Of(FaultHypothesis h, double? smallestFound, int units, ulong seed)
    {
        var (size, limited) = Size(h, smallestFound);
        var draws = new SeededNoise(seed, "diagnosis of " + h.Id);
        var named = new Dictionary<string, int>(StringComparer.Ordinal);
        var right = 0;
        for (var n = 0; n < units; n++)
        {
            var first = diagnosis.Of(Residual(h.At(h.EitherSign && n % 2 == 1 ? -size : size), draws))[0];
            named[first.Fault] = named.GetValueOrDefault(first.Fault) + 1;
            if (first.Fault == h.Id || first.InseparableFrom.Contains(h.Id)) right++;
        }

        return new(h.Id, h.Name, h.Unit, size, limited, units, right, Ranked(named));
    }

    public PairTrialRow Of((FaultHypothesis Fault, double? SmallestFound) first, (FaultHypothesis Fault, double? SmallestFound) second, int units, ulong seed)
    {
        var (a, b) = (Size(first.Fault, first.SmallestFound).Size, Size(second.Fault, second.SmallestFound).Size);
        var draws = new SeededNoise(seed, $"diagnosis of {first.Fault.Id} and {second.Fault.Id}");
        var pair = first.Fault.Id + DiagnosisLine.Both + second.Fault.Id;
        var (both, one, named) = (0, 0, new Dictionary<string, int>(StringComparer.Ordinal));
        for (var n = 0; n < units; n++)
        {
            // All four pairs of signs in turn.
            var unit = first.Fault.At(first.Fault.EitherSign && n % 2 == 1 ? -a : a).With(second.Fault.At(second.Fault.EitherSign && n / 2 % 2 == 1 ? -b : b));
            var line = diagnosis.Of(Residual(unit, draws))[0];
            named[line.Fault] = named.GetValueOrDefault(line.Fault) + 1;
            if (line.Fault == pair || line.InseparableFrom.Contains(pair)) both++;
            else if (line.Fault == first.Fault.Id || line.Fault == second.Fault.Id || line.InseparableFrom.Contains(first.Fault.Id) || line.InseparableFrom.Contains(second.Fault.Id)) one++;
        }

        return new(first.Fault.Id, second.Fault.Id, units, both, one, Ranked(named));
    }

    public bool TellsApart(FaultHypothesis one, FaultHypothesis other) => diagnosis.TellsApart(one, other);

    static NamedFirst[] Ranked(Dictionary<string, int> named) => [.. named.OrderByDescending(n => n.Value).ThenBy(n => n.Key, StringComparer.Ordinal).Select(n => new NamedFirst(n.Key, n.Value))];

    static (double Size, bool Limited) Size(FaultHypothesis h, double? smallestFound)
    {
        var largest = h.Largest;
        return smallestFound is { } s && 2 * s <= largest ? (2 * s, false) : (largest, true);
    }

    double[] Residual(Deviation fault, SeededNoise draws)
    {
        Span<double> z = stackalloc double[PartScatter.Count];
        draws.Fill(z);
        var read = spread.Model.At(parts.On(fault, z));
        var (white, error) = (new double[errors.Count], new double[errors.Count]);
        draws.Fill(white);
        errors.Colour(white, error);
        return [.. rows.Select(i => read[i] + error[i] - spread.Mean[i])];
    }
}
