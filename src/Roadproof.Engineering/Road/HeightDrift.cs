using Roadproof.Engineering.Formats;
using static System.FormattableString;

namespace Roadproof.Engineering.Road;

/// <summary>How far a recorded height wandered off while the ride came back to where it started: weather moves a barometer by metres in an hour, a satellite height is off by metres anyway.</summary>
/// <remarks>
/// A place has one height. Where the way returns to within 20 m of its first point, having been more than 200 m away, the difference of the two heights
/// is not the road's; it is taken off in proportion to time. What happened in between nobody can tell. Widths and bounds: common practice, no source.
/// </remarks>
static class HeightDrift
{
    /// <summary>So near is back.</summary>
    public const double BackWithinM = 20;

    /// <summary>So far is away.</summary>
    public const double AwayM = 200;

    /// <summary>Less than this is the slope within <see cref="BackWithinM"/> and the noise of the height.</summary>
    public const double LeastM = 3;

    /// <summary>More than this and so much for each hour is neither weather nor receiver.</summary>
    public const double MostM = 20;
    public const double MostMPerHour = 20;

    /// <summary>So many heights at each end give its median.</summary>
    const int Heights = 30;

    /// <summary>The heights without their drift; the same array where there is none to take off. Adds a note where there is one.</summary>
    /// <param name="elevationM">Without gaps, shape [fixes].</param>
    /// <param name="distanceM">Along the way; stands for time where a fix has none.</param>
    public static double[] TakenOff(ReadOnlySpan<RideFix> fixes, double[] elevationM, double[] distanceM, List<string> repaired)
    {
        var back = LastBack(fixes);
        if (back < 0) return elevationM;
        var start = 0;
        while (start + 1 < Math.Min(back, Heights) && IsBack(fixes[0], fixes[start + 1])) start++;
        var end = back;
        while (end - 1 > Math.Max(start, back - Heights) && IsBack(fixes[0], fixes[end - 1])) end--;
        var driftM = Median(elevationM.AsSpan(end, back - end + 1)) - Median(elevationM.AsSpan(0, start + 1));
        if (Math.Abs(driftM) < LeastM) return elevationM;

        var clock = Clock(fixes, distanceM, out var byTime);
        var hours = byTime ? (clock[back] - clock[0]) / 3600 : 0;
        var (how, overM) = (driftM > 0 ? "higher" : "lower", Math.Abs(driftM));
        if (overM > MostM + (MostMPerHour * hours))
        {
            repaired.Add(Invariant($"The ride comes back to its start {overM:0} m {how} than it left: more than weather or receiver make, left as recorded. Are the heights right?"));
            return elevationM;
        }

        var levelledM = new double[elevationM.Length];
        for (var i = 0; i < levelledM.Length; i++) levelledM[i] = elevationM[i] - (driftM * Math.Clamp((clock[i] - clock[0]) / (clock[back] - clock[0]), 0, 1));
        repaired.Add(Invariant($"The ride comes back to its start {overM:0.0} m {how} than it left: taken as a drift of the height and spread over the {(byTime ? "time" : "way")} between. Ascent is counted as recorded."));
        return levelledM;
    }

    /// <summary>The last fix near the first one that the way came back to; −1 where it never was away or never came back.</summary>
    static int LastBack(ReadOnlySpan<RideFix> fixes)
    {
        var back = fixes.Length - 1;
        while (back > 0 && !IsBack(fixes[0], fixes[back])) back--;
        for (var i = 1; i < back; i++)
            if (AwayFrom(fixes[0], fixes[i]) > AwayM) return back;
        return -1;
    }

    static bool IsBack(in RideFix first, in RideFix fix) => AwayFrom(first, fix) <= BackWithinM;

    static double AwayFrom(in RideFix first, in RideFix fix) => Geodesic.StepM(first.LatitudeDeg, first.LongitudeDeg, fix.LatitudeDeg, fix.LongitudeDeg);

    static double[] Clock(ReadOnlySpan<RideFix> fixes, double[] distanceM, out bool byTime)
    {
        var clock = new double[fixes.Length];
        byTime = true;
        for (var i = 0; i < clock.Length && byTime; i++)
        {
            clock[i] = fixes[i].TimeS;
            byTime = fixes[i].HasTime;
        }

        return byTime ? clock : distanceM;
    }

    static double Median(Span<double> heightsM)
    {
        Span<double> sorted = stackalloc double[heightsM.Length];
        heightsM.CopyTo(sorted);
        sorted.Sort();
        return (sorted[(sorted.Length - 1) / 2] + sorted[sorted.Length / 2]) / 2;
    }
}
