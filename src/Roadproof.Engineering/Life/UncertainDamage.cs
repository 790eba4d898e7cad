using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Statistics;

namespace Roadproof.Engineering.Life;

/// <summary>A damage with the interval that the unknown slope and strength leave.</summary>
/// <remarks>
/// The slope is taken as even between its edges about the pivot of its line, the logarithm of the strength as normal, the two as independent; the interval is the middle 95 % of a grid over both. Deterministic.
/// </remarks>
readonly record struct UncertainDamage(double Nominal, Interval Interval)
{
    public const double Confidence = 0.95;
    const int Slopes = 17;
    const int Strengths = 101;

    /// <summary>Loads are sorted into steps of one percent for the interval; the nominal damage is summed as it is.</summary>
    const double StepOfLog = 0.01;

    /// <param name="loads">Load in the line's unit, cycles, temperature.</param>
    public static UncertainDamage Of(IReadOnlyList<(double Load, double Cycles, double C)> loads, FatigueLine line)
    {
        var nominal = NominalOf(loads, line);
        if (nominal == 0) return new(0, new(0, 0, Confidence));
        var byRatio = new Dictionary<int, double>();
        foreach (var (load, cycles, c) in loads)
        {
            if (!(load > 0)) continue;
            var step = (int)Math.Round(Math.Log(load / line.StrengthOf(c)) / StepOfLog);
            byRatio[step] = byRatio.GetValueOrDefault(step) + cycles;
        }

        var ratios = byRatio.Select(r => (Log: r.Key * StepOfLog, Cycles: r.Value)).ToArray();
        var known = line.SlopeUpper > line.SlopeLower ? Slopes : 1;
        var logs = new List<double>(known * Strengths);
        for (var j = 0; j < known; j++)
        {
            var slope = known == 1 ? line.Slope : line.SlopeLower + (j + 0.5) / known * (line.SlopeUpper - line.SlopeLower);
            var log = Math.Log(ratios.Sum(r => r.Cycles * Math.Exp(slope * r.Log)) / line.PivotCycles);
            for (var q = 0; q < Strengths; q++) logs.Add(log - slope * line.StrengthUncertaintyShare * Normal.Quantile((q + 0.5) / Strengths));
        }

        return new(nominal, Middle(logs));
    }

    public static double NominalOf(IReadOnlyList<(double Load, double Cycles, double C)> loads, FatigueLine line)
    {
        var sum = 0.0;
        foreach (var (load, cycles, c) in loads)
            if (load > 0) sum += cycles * Math.Pow(load / line.StrengthOf(c), line.Slope);
        return sum / line.PivotCycles;
    }

    /// <summary>A damage that is a number times what is known with a relative uncertainty.</summary>
    public static UncertainDamage Of(double nominal, double uncertaintyShareOfLog)
    {
        var factor = Math.Exp(Normal.Quantile((1 + Confidence) / 2) * uncertaintyShareOfLog);
        return new(nominal, new(nominal / factor, nominal * factor, Confidence));
    }

    static Interval Middle(List<double> logs)
    {
        logs.Sort();
        var tail = (1 - Confidence) / 2 * (logs.Count - 1);
        return new(Math.Exp(At(tail)), Math.Exp(At(logs.Count - 1 - tail)), Confidence);

        double At(double place)
        {
            var below = Math.Min((int)place, logs.Count - 2);
            return logs[below] + (place - below) * (logs[below + 1] - logs[below]);
        }
    }
}
