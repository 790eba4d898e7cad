using StudentT = MathNet.Numerics.Distributions.StudentT;
using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Statistics;

namespace Roadproof.Engineering.LoadTest.Rigs;

/// <summary>One run of one unit on one rig, in one characteristic.</summary>
public sealed record RigReading(string Rig, string Unit, double Value);

/// <summary>How one rig reads beside another.</summary>
/// <param name="Difference">The second rig less the first, in the characteristic's unit.</param>
/// <param name="Units">Units that ran on both.</param>
/// <param name="Together">The interval, widened for everything that was compared (Šidák).</param>
/// <param name="Differs">The widened interval holds no zero.</param>
public sealed record RigDifference(string First, string Second, double Difference, Interval Interval, Interval Together, int Units, bool Differs);

/// <summary>How far apart rigs read the same units.</summary>
/// <param name="RigSd">Standard deviation between rigs; null where they share too few units.</param>
/// <param name="RunSd">Of one run beside the others of its unit, less its rig; null as above.</param>
public sealed record RigComparison(IReadOnlyList<RigDifference> Pairs, double? RigSd, double? RunSd)
{
    const double Confidence = 0.95;

    /// <param name="knownRunSd">Standard deviation of one run repeated on one rig, for pairs that share one unit only; null leaves such pairs out.</param>
    /// <param name="asked">Differences looked at together: pairs of rigs times characteristics.</param>
    /// <remarks>
    /// Pairs: mean of the differences unit by unit, so that what units differ by falls out; interval from their own scatter (Student's t), or from the known scatter of a run where one unit
    /// was shared. Between rigs: rig, unit and run as random effects, analysis of variance over the units that every rig has run (textbook; no negative variance). Assumes that the order of
    /// the rigs was mixed: a unit that runs in or warms up from rig to rig would pass for a difference.
    /// </remarks>
    public static RigComparison Of(IReadOnlyList<RigReading> readings, double? knownRunSd = null, int asked = 1)
    {
        var together = Math.Pow(Confidence, 1.0 / asked);
        var means = readings.GroupBy(r => (r.Rig, r.Unit)).ToDictionary(g => g.Key, g => (Mean: g.Average(r => r.Value), Runs: g.Count()));
        var rigs = readings.Select(r => r.Rig).Distinct(StringComparer.Ordinal).Order(StringComparer.Ordinal).ToList();
        var units = readings.Select(r => r.Unit).Distinct(StringComparer.Ordinal).ToList();
        var pairs = from i in Enumerable.Range(0, rigs.Count)
                    from j in Enumerable.Range(i + 1, rigs.Count - i - 1)
                    let pair = Pair(rigs[i], rigs[j])
                    where pair is not null
                    select pair;
        var (rigSd, runSd) = Between(rigs, [.. units.Where(u => rigs.TrueForAll(r => means.ContainsKey((r, u))))], (r, u) => means[(r, u)].Mean);
        return new([.. pairs], rigSd, runSd);

        RigDifference? Pair(string first, string second)
        {
            var shared = units.Where(u => means.ContainsKey((first, u)) && means.ContainsKey((second, u))).ToList();
            if (shared.Count == 0 || (shared.Count == 1 && knownRunSd is null)) return null;
            var differences = shared.ConvertAll(u => means[(second, u)].Mean - means[(first, u)].Mean);
            var mean = differences.Average();
            double Half(double confidence) => knownRunSd is { } sd
                ? Normal.Quantile((1 + confidence) / 2) * sd * Math.Sqrt(shared.Sum(u => 1.0 / means[(first, u)].Runs + 1.0 / means[(second, u)].Runs)) / shared.Count
                : StudentT.InvCDF(0, 1, shared.Count - 1, (1 + confidence) / 2) * Math.Sqrt(differences.Sum(d => (d - mean) * (d - mean)) / (shared.Count - 1) / shared.Count);
            Interval Around(double confidence) => new(mean - Half(confidence), mean + Half(confidence), confidence);
            return new(first, second, mean, Around(Confidence), Around(together), shared.Count, Math.Abs(mean) > Half(together));
        }
    }

    static (double? Rig, double? Run) Between(List<string> rigs, List<string> units, Func<string, string, double> at)
    {
        var (k, n) = (rigs.Count, units.Count);
        if (k < 2 || n < 2) return (null, null);
        var ofRig = rigs.ConvertAll(r => units.Average(u => at(r, u)));
        var ofUnit = units.ConvertAll(u => rigs.Average(r => at(r, u)));
        var all = ofRig.Average();
        var betweenRigs = n * ofRig.Sum(m => (m - all) * (m - all)) / (k - 1);
        var left = Enumerable.Range(0, k).Sum(i => Enumerable.Range(0, n).Sum(j => Square(at(rigs[i], units[j]) - ofRig[i] - ofUnit[j] + all))) / ((k - 1) * (n - 1));
        return (Math.Sqrt(Math.Max(0, (betweenRigs - left) / n)), Math.Sqrt(left));
    }

    static double Square(double x) => x * x;
}
