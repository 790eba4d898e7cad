namespace Roadproof.Engineering.LoadTest;

/// <summary>The smallest size of a fault that nine of ten units with it are stopped for, and what of the load test sees it.</summary>
/// <param name="SmallestFound">In <paramref name="Unit"/>; null where no size within five times the typical one is found that surely. Of a fault with two signs: the one that is found less.</param>
/// <param name="SeenBy">The characteristic that the fault moves farthest, in standard deviations over sound units.</param>
public sealed record FaultSensitivity(string Fault, string Name, string Unit, double? SmallestFound, string SeenBy)
{
    const double Surely = 0.9;
    const int CurvePoints = 16;

    // A picture is good to half a per cent, a size to as much.
    const int CurveUnits = 10_000, SizeUnits = 20_000;

    /// <summary>The load point that alone tells most of it; of what several points give together (resistance, flux, rotor angle) the one without which most would be lost; the resting point for what is read at rest; null where nothing of the run moves.</summary>
    public string? BestPoint { get; init; }

    /// <summary>What each load point tells, the best first.</summary>
    public IReadOnlyList<PointShare> Points { get; init; } = [];

    /// <summary>Size when it happens, in <see cref="Unit"/>.</summary>
    public double Typical { get; init; }

    /// <summary>Share stopped at that size.</summary>
    public double RateAtTypical { get; init; }

    /// <summary>The most that the same readings allow at that size, beside <see cref="RateAtTypical"/>.</summary>
    public required BestRate Best { get; init; }

    /// <summary>The move along the fault's own signature from which a unit is unusual, in standard deviations of a sound unit; of a fault with two signs the smaller; null where it moves none of the readings that are judged together.</summary>
    public double? LimitSigma { get; init; }

    /// <summary>It happens in either direction.</summary>
    public bool EitherSign { get; init; }

    /// <summary>Share stopped over the size, from none on.</summary>
    public IReadOnlyList<FoundAt> Curve { get; init; } = [];

    internal static FaultSensitivity Of(FaultHypothesis h, StopRates rates, BestRates best, double? limitSigma, PointInformation information, LoadTestPlan plan)
    {
        var most = h.Largest;
        var found = Smallest(h, rates, most);
        var shown = found is { } f ? Math.Min(most, Math.Max(1.6 * f, Math.Min(1.5 * h.Typical, 6 * f))) : most; // a picture that shows the rise
        var (worst, fault) = (Worse(h, rates, found ?? most), h.At(found ?? h.Typical));
        var points = information.Of(fault, OfSeveralPoints(worst.SeenBy));
        return new(h.Id, h.Name, h.Unit, found, worst.SeenBy)
        {
            Points = points,
            BestPoint = points.Count > 0 ? points[0].Point : rates.Of(h.At(h.Typical)).ByRequirement > 0 ? plan.Cycle.Points.LastOrDefault(p => p.OutputRpm == 0)?.Id : null,
            Typical = h.Typical,
            RateAtTypical = Worse(h, rates, h.Typical).Rate,
            Best = best.Of(h, h.Typical),
            LimitSigma = limitSigma,
            EitherSign = h.EitherSign,
            Curve = [.. Enumerable.Range(0, CurvePoints + 1).Select(i => shown * i / CurvePoints).Select(size => new FoundAt(size, WorseRate(h, rates, size, CurveUnits)))],
        };
    }

    static bool OfSeveralPoints(string id) => id is Characteristics.Resistance or Characteristics.Flux or Characteristics.RotorOffset;

    static double WorseRate(FaultHypothesis h, StopRates rates, double size, int units)
    {
        var one = rates.RateOf(h.At(size), units);
        return h.EitherSign ? Math.Min(one, rates.RateOf(h.At(-size), units)) : one;
    }

    static double? Smallest(FaultHypothesis h, StopRates rates, double upper)
    {
        var lower = 0.0;
        if (WorseRate(h, rates, upper, SizeUnits) < Surely) return null;
        while (upper - lower > 0.003 * upper)
        {
            var middle = (lower + upper) / 2;
            if (WorseRate(h, rates, middle, SizeUnits) < Surely) lower = middle;
            else upper = middle;
        }

        return upper;
    }

    /// <summary>The stop rate in the direction that is found less.</summary>
    internal static StopRate Worse(FaultHypothesis h, StopRates rates, double size)
    {
        var one = rates.Of(h.At(size));
        return h.EitherSign && rates.Of(h.At(-size)) is var other && other.Rate < one.Rate ? other : one;
    }
}

/// <summary>Share of units with a fault of that size that the load test stops.</summary>
public sealed record FoundAt(double Size, double Rate);
