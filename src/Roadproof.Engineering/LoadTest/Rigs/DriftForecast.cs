using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Statistics;

namespace Roadproof.Engineering.LoadTest.Rigs;

/// <summary>A reference reading of one rig at a time.</summary>
/// <param name="AtH">Hours since any fixed moment.</param>
public readonly record struct TimedReading(double AtH, double Value);

/// <summary>How fast a rig drifts in one characteristic, and when it reaches its limit.</summary>
/// <param name="RatePerH">In the characteristic's unit.</param>
/// <param name="Drifts">The interval of the rate holds no zero; without that nothing is forecast.</param>
/// <param name="LimitInH">Hours from the last reading until the line reaches the limit; null where it does not drift.</param>
/// <param name="LimitInterval">With the rate's interval; its upper end is infinite where the slower rate never reaches it.</param>
public sealed record DriftForecast(double RatePerH, Interval RateInterval, bool Drifts, double? LimitInH, Interval? LimitInterval)
{
    /// <summary>Fewer readings are no trend.</summary>
    public const int Fewest = 4;

    /// <summary>One line is asked for each of some twenty characteristics: the rate's interval is as wide as its share of a twentieth demands (Šidák).</summary>
    const double Confidence = 0.95;

    /// <param name="readings">Of one reference on one rig since it was put right.</param>
    /// <param name="standardDeviation">Of one run, repeated on one rig.</param>
    /// <param name="level">What the rig was known to read.</param>
    /// <param name="reach">How far a reading may lie from the level, same unit.</param>
    /// <param name="asked">Characteristics looked at together.</param>
    /// <returns>Null where there are too few readings or all were taken at once: it cannot be told.</returns>
    /// <remarks>Least squares with a known scatter (NIST/SEMATECH e-Handbook 4.4). Assumes a straight drift; a step passes for one until more runs have shown it.</remarks>
    public static DriftForecast? Of(IReadOnlyList<TimedReading> readings, double standardDeviation, double level, double reach, int asked = 1)
    {
        if (readings.Count < Fewest) return null;
        var (meanH, mean) = (readings.Average(r => r.AtH), readings.Average(r => r.Value));
        var spread = readings.Sum(r => (r.AtH - meanH) * (r.AtH - meanH));
        if (spread <= 0) return null;

        var rate = readings.Sum(r => (r.AtH - meanH) * (r.Value - mean)) / spread;
        var half = Normal.Quantile(1 - (1 - Math.Pow(Confidence, 1.0 / asked)) / 2) * standardDeviation / Math.Sqrt(spread);
        var interval = new Interval(rate - half, rate + half, Confidence);
        if (interval is { Lower: <= 0, Upper: >= 0 }) return new(rate, interval, false, null, null);

        var now = mean + rate * (readings.Max(r => r.AtH) - meanH);
        double In(double perH) => Math.Max(0, (level + Math.Sign(rate) * reach - now) / perH);
        var (slow, fast) = rate > 0 ? (interval.Lower, interval.Upper) : (interval.Upper, interval.Lower);
        return new(rate, interval, true, In(rate), new(In(fast), In(slow), Confidence));
    }
}
