using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Statistics;

namespace Roadproof.Engineering.Life;

/// <summary>An element at the end of a distance.</summary>
/// <param name="Damage">1 when a tenth of such elements have failed by then.</param>
/// <param name="Interval">Slope, strength and which rides were recorded, together.</param>
public sealed record ElementAt(string Id, string Name, double Damage, Interval Interval);

/// <summary>A load spectrum carried on to the distance of a life.</summary>
/// <param name="Km">The distance.</param>
/// <param name="LargestRangeNm">Range of torque on the output's shaft that is expected once in it; null where too few cycles tell.</param>
/// <param name="LargestRangeIntervalNm">Over rides drawn anew; null with fewer than two groups.</param>
/// <param name="FullStarts">Starts from standing at full torque, as <see cref="LoadSpectrum.FullStarts"/>.</param>
/// <param name="FullStartsInterval">Over rides drawn anew, and never narrower than what the count itself tells (<see cref="PoissonCount"/>).</param>
/// <param name="CutOffs">Times that the speed rises beyond the end of assistance, as <see cref="LoadSpectrum.CutOffs"/>.</param>
/// <param name="CutOffsInterval">As that of the starts.</param>
public sealed record LifeDistance(
    double Km, double? LargestRangeNm, Interval? LargestRangeIntervalNm, double FullStarts, Interval FullStartsInterval, double CutOffs, Interval CutOffsInterval,
    IReadOnlyList<TemperatureSwing> WindingSwings, IReadOnlyList<TemperatureSwing> ControllerSwings, IReadOnlyList<ElementAt> Elements)
{
    const double Confidence = 0.95;
    const int Draws = 400;

    /// <summary>The tail begins where so many cycles are larger.</summary>
    public const double CyclesInTail = 60;

    /// <summary>Carries rides on.</summary>
    /// <param name="groups">The rides in groups that are drawn with replacement: each a ride, or several. One group leaves the rides out of the intervals.</param>
    /// <param name="km">Distance of the life.</param>
    /// <remarks>
    /// Damage and counts grow with the distance. Ranges beyond the largest recorded are expected by an exponential tail of the exceedances: N(r) = N(u)·e^(−(r−u)/β), β the mean excess over u (the rides of a life repeat, but not exactly), up to what unit and rider can put on the shaft at all.
    /// The damages' logarithms are spread by the rides (bootstrap) and by slope and strength (<see cref="UnitLife.Of"/>) as independent.
    /// Source: exponential tail of threshold exceedances (extreme-value theory, textbook); common in extrapolating load spectra.
    /// </remarks>
    public static LifeDistance Of(IReadOnlyList<LoadSpectrum> groups, UnitLife life, double km)
    {
        ArgumentNullException.ThrowIfNull(groups);
        ArgumentNullException.ThrowIfNull(life);
        if (groups.Count == 0) throw new ArgumentException("At least one group of rides.", nameof(groups));
        var all = new LoadSpectrum(groups[0].Unit);
        foreach (var group in groups) all.Add(group);
        var share = km / (all.DistanceM / 1000);
        var elements = life.Of(all);
        var noise = new SeededNoise(2, "rides of a life drawn anew");
        var damages = groups.Select(life.Damages).ToList();
        var (fullStarts, cutOffs) = (new List<double>(), new List<double>());
        var (largest, spread) = (new List<double>(), elements.ToDictionary(e => e.Id, _ => new List<double>(), StringComparer.Ordinal));
        for (var draw = 0; groups.Count > 1 && draw < Draws; draw++)
        {
            var picked = Enumerable.Range(0, groups.Count).Select(_ => (int)(noise.Share() * groups.Count)).ToList();
            var pickedKm = picked.Sum(g => groups[g].DistanceM) / 1000;
            if (LargestNm([.. picked.SelectMany(g => groups[g].TotalRanges.Cycles())], km / pickedKm) is { } nm) largest.Add(Math.Min(nm, all.WidestTotalNm));
            fullStarts.Add(km / pickedKm * picked.Sum(g => groups[g].FullStarts));
            cutOffs.Add(km / pickedKm * picked.Sum(g => groups[g].CutOffs));
            foreach (var element in elements) spread[element.Id].Add(Math.Log(Math.Max(1e-300, picked.Sum(g => damages[g][element.Id]) / pickedKm)));
        }

        var largestNm = LargestNm([.. all.TotalRanges.Cycles()], share) is { } tail ? Math.Min(tail, all.WidestTotalNm) : (double?)null;
        return new(km, largestNm, Middle(largest), share * all.FullStarts, OfCount(all.FullStarts, share, fullStarts), share * all.CutOffs, OfCount(all.CutOffs, share, cutOffs),
            TemperatureSwing.Of(all.WindingSwings, share), TemperatureSwing.Of(all.ControllerSwings, share), [.. elements.Select(e => At(e, share, spread[e.Id]))]);
    }

    /// <summary>The range expected once in <paramref name="times"/> times the history that the cycles are of.</summary>
    /// <returns>Null below ten cycles.</returns>
    public static double? LargestNm(IReadOnlyList<CountedCycle> cycles, double times)
    {
        ArgumentNullException.ThrowIfNull(cycles);
        var (count, threshold) = (0.0, 0.0);
        var tail = new List<CountedCycle>();
        foreach (var cycle in cycles.OrderByDescending(c => c.Range))
        {
            tail.Add(cycle);
            count += cycle.Count;
            threshold = cycle.Range;
            if (count >= CyclesInTail) break;
        }

        if (count < 10) return null;
        var excess = tail.Sum(c => c.Count * (c.Range - threshold)) / count;
        return threshold + excess * Math.Log(Math.Max(1, count * times));
    }

    static ElementAt At(ElementLife element, double share, List<double> byRides)
    {
        if (element.Damage <= 0) return new(element.Id, element.Name, 0, new(0, 0, Confidence));
        var mean = byRides.Count == 0 ? 0 : byRides.Average();
        var ridesSd = byRides.Count < 2 ? 0 : Math.Sqrt(byRides.Sum(l => (l - mean) * (l - mean)) / (byRides.Count - 1));
        var z = Normal.Quantile((1 + Confidence) / 2);
        var middle = Math.Log(element.Damage);
        var (down, up) = (middle - Math.Log(element.DamageInterval.Lower), Math.Log(element.DamageInterval.Upper) - middle);
        return new(element.Id, element.Name, share * element.Damage, new(
            share * Math.Exp(middle - Math.Sqrt(down * down + z * z * ridesSd * ridesSd)),
            share * Math.Exp(middle + Math.Sqrt(up * up + z * z * ridesSd * ridesSd)), Confidence));
    }

    /// <summary>Few events tell little however often their rides are drawn anew, none would tell that there never is one: the wider of both on either side.</summary>
    static Interval OfCount(double count, double share, List<double> byRides)
    {
        var exact = PoissonCount.Expected(count, Confidence);
        var (lower, upper) = (share * exact.Lower, share * exact.Upper);
        return Middle(byRides) is { } drawn ? new(Math.Min(lower, drawn.Lower), Math.Max(upper, drawn.Upper), Confidence) : new(lower, upper, Confidence);
    }

    static Interval? Middle(List<double> values)
    {
        if (values.Count == 0) return null;
        values.Sort();
        var tail = (int)((1 - Confidence) / 2 * (values.Count - 1));
        return new(values[tail], values[^(1 + tail)], Confidence);
    }
}
