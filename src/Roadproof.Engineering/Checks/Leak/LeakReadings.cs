using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Signals;
using static System.FormattableString;

namespace Roadproof.Engineering.Checks;

/// <summary>What a hold of pressure says: the decay, the share that temperature explains, the leak that is left.</summary>
/// <remarks>
/// n = p·V/(R·T), so the gas lost is −V/R·d(p/T)/dt. With straight lines through p and T that is p/T·(p′/p − T′/T): the first term is the decay as it reads, the second what the
/// change of temperature makes of it. Lines and not p/T sample by sample, because the thermometer's noise would come in twenty times over. Method: <c>docs/methods/leak.md</c>.
/// </remarks>
public sealed record LeakReadings
{
    /// <summary>A stretch has settled when its halves decay alike within this share of the limit or of the decay. Common practice, no source.</summary>
    const double AlikeShare = 0.1;

    /// <summary>Two halves of six rows: fewer have no uncertainty.</summary>
    const int LeastRows = 12;

    /// <summary>The filling is done at this share of the farthest pressure: a part that warms reaches the farthest only at the end.</summary>
    const double FilledShare = 0.95;

    /// <summary>Heat capacity ratio of air.</summary>
    const double Gamma = 1.4;

    /// <summary>Room temperature taken for the gas where no thermometer was recorded, and how uncertain that is, K (22 ± 4 °C).</summary>
    const double AssumedK = 295, AssumedUncertaintyK = 4;

    public required double FromS { get; init; }
    public required double ToS { get; init; }

    /// <summary>The curve has a straight end of the least length asked for.</summary>
    public required bool Settled { get; init; }

    /// <summary>More pressure is gone than the heat of filling explains: gas has left, whatever the temperature did.</summary>
    public required bool Gross { get; init; }

    /// <summary>Absolute pressure in the middle of the measurement, Pa.</summary>
    public required double MeanPa { get; init; }

    /// <summary>Temperature of the gas, K.</summary>
    public required double GasK { get; init; }

    /// <summary>Loss of pressure as it reads, Pa/s; positive when the volume loses what it was filled with.</summary>
    public required Reading Decay { get; init; }

    /// <summary>The part of it that the change of temperature makes, Pa/s.</summary>
    public required Reading DecayByTemperature { get; init; }

    /// <summary>Second half's decay less the first's, temperature taken off, Pa/s: what settling is left.</summary>
    public required Reading DecayChange { get; init; }

    /// <summary>Cooling over the measurement that would explain the whole decay, K.</summary>
    public required double CoolingToExplainK { get; init; }

    /// <summary>Part less room in the middle, K; NaN where one is not recorded.</summary>
    public required double PartAboveRoomK { get; init; }

    public required bool PartRecorded { get; init; }

    /// <summary>Decay with the temperature taken off, Pa/s; what is left of settling is its uncertainty.</summary>
    public Reading CorrectedDecay
    {
        get
        {
            // An exponential rest with a third of its slope left in the second half biases the mean slope by just the difference of the halves.
            // What noise alone makes of that difference is not counted again.
            var rest = Math.Sqrt(Math.Max(0, DecayChange.Value * DecayChange.Value - 9 * DecayChange.StandardUncertainty * DecayChange.StandardUncertainty));
            return new(Decay.Value - DecayByTemperature.Value, double.Hypot(double.Hypot(Decay.StandardUncertainty, DecayByTemperature.StandardUncertainty), rest));
        }
    }

    public static LeakReadings From(LeakCurve curve, LeakTest test)
    {
        var (first, end) = Rows(curve, test);
        if (end - first < LeastRows)
            throw new InputException(new InputError("measurement", 0, "", Invariant($"{Math.Max(0, end - first)} rows from {curve.TimeS[Math.Clamp(first, 0, curve.TimeS.Length - 1)]:G6} s on"), Invariant($"at least {LeastRows} rows after the filling")));

        var outward = Math.Sign(test.TestPressurePa);
        var settled = false;
        var from = first;
        Halves halves = default;
        foreach (var candidate in test.FromS is null ? Starts(curve.TimeS, first, end, test.LeastS) : [first])
        {
            from = candidate;
            halves = Halves.Of(curve, test, from, end, outward);
            if (settled = halves.Alike(test)) break;
        }

        var readings = Of(curve, test, from, end, outward, halves);
        return readings with { Settled = settled && readings.ToS - readings.FromS >= test.LeastS * 0.99, Gross = IsGross(curve, test, end) };
    }

    static LeakReadings Of(LeakCurve curve, LeakTest test, int from, int end, int outward, Halves halves)
    {
        var time = curve.TimeS.AsSpan(from, end - from);
        var pressure = SteadyLine.Of(time, curve.AbsolutePa.AsSpan(from, end - from), test.PressureStepPa);
        var overS = time[^1] - time[0];
        var part = curve.PartC is { } c ? SteadyLine.Of(time, c.AsSpan(from, end - from)) : default;
        var gasK = curve.PartC is null ? AssumedK : part.Value.Value + GasConditions.ZeroCelsiusK;
        var uChange = (curve.PartC is null ? test.UnknownChangeK : test.GasBesidePartK) / overS;
        var paPerK = pressure.Value.Value / gasK;

        var decay = -outward * pressure.Slope.Value;
        return new()
        {
            FromS = time[0], ToS = time[^1], Settled = false, Gross = false, MeanPa = pressure.Value.Value, GasK = gasK,
            Decay = new(decay, double.Hypot(pressure.Slope.StandardUncertainty, test.PressureGainShare * decay)),
            DecayByTemperature = new(-outward * paPerK * part.Slope.Value, paPerK * double.Hypot(part.Slope.StandardUncertainty, uChange)),
            DecayChange = halves.Change,
            CoolingToExplainK = decay * overS / paPerK * outward,
            PartAboveRoomK = curve is { PartC: { } p, RoomC: { } r } ? Moments.MeanOf(p.AsSpan(from, end - from)) - Moments.MeanOf(r.AsSpan(from, end - from)) : double.NaN,
            PartRecorded = curve.PartC is not null,
        };
    }

    /// <summary>The leak at reference conditions, cm³/min.</summary>
    public Reading Leak(LeakTest test) => InCm3PerMin(CorrectedDecay, test);

    /// <summary>Any decay as a leak, cm³/min, with the volume's uncertainty.</summary>
    public Reading InCm3PerMin(Reading decay, LeakTest test)
    {
        var perPa = LeakRate.PerPaM3(test.Reference, GasK) * test.VolumeM3 * LeakRate.Cm3PerMinPerM3PerS;
        var gas = PartRecorded ? 0 : AssumedUncertaintyK / AssumedK;
        return new(decay.Value * perPa, perPa * double.Hypot(decay.StandardUncertainty, decay.Value * double.Hypot(test.VolumeUncertaintyM3 / test.VolumeM3, gas)));
    }

    /// <summary>From the tester's mark, or where the filling is done, to the tester's mark or the last row.</summary>
    static (int First, int End) Rows(LeakCurve curve, LeakTest test)
    {
        var end = test.ToS is { } to ? FirstNotBefore(curve.TimeS, Math.BitIncrement(to)) : curve.TimeS.Length;
        if (test.FromS is { } from) return (FirstNotBefore(curve.TimeS, from), end);

        var first = 0;
        var filled = FilledShare * Farthest(curve, test, end);
        while (first < end && Excursion(curve, test, first) < filled) first++;
        return (first, end);
    }

    static int FirstNotBefore(double[] timeS, double s) => timeS.AsSpan().BinarySearch(s) is var at && at >= 0 ? at : ~at;

    static double Excursion(LeakCurve curve, LeakTest test, int row) => Math.Abs(curve.AbsolutePa[row] - test.AtmospherePa);

    static double Farthest(LeakCurve curve, LeakTest test, int end)
    {
        var farthest = 0.0;
        for (var i = 0; i < end; i++) farthest = Math.Max(farthest, Excursion(curve, test, i));
        return farthest;
    }

    /// <summary>Forty places where measuring could begin, earliest first; the last leaves the least time.</summary>
    static IEnumerable<int> Starts(double[] timeS, int first, int end, double leastS)
    {
        const int places = 40;
        var latest = end - 1;
        while (latest > first && (timeS[end - 1] - timeS[latest] < leastS || end - latest < LeastRows)) latest--;
        for (var k = 0; k < places; k++)
        {
            var at = first + (int)((long)(latest - first) * k / (places - 1));
            if (k == 0 || at != first + (int)((long)(latest - first) * (k - 1) / (places - 1))) yield return at;
        }
    }

    /// <summary>Filled from a supply at room temperature, gas in a closed wall ends no hotter than γ/(1 + (γ − 1)·p₁/p₂) times that; pumped down it ends no colder than an isentrope.</summary>
    static bool IsGross(LeakCurve curve, LeakTest test, int end)
    {
        var (start, last) = (test.AtmospherePa + Math.Sign(test.TestPressurePa) * Farthest(curve, test, end), curve.AbsolutePa[end - 1]);
        var noise = 5 * test.PressureStepPa;
        return test.TestPressurePa > 0
            ? last + noise < start * (1 + (Gamma - 1) * test.AtmospherePa / start) / Gamma
            : last - noise > start * Math.Pow(test.AtmospherePa / start, (Gamma - 1) / Gamma);
    }

    /// <summary>The two halves of a stretch.</summary>
    readonly record struct Halves(Reading First, Reading Second)
    {
        public Reading Change => new(Second.Value - First.Value, double.Hypot(First.StandardUncertainty, Second.StandardUncertainty));

        public static Halves Of(LeakCurve curve, LeakTest test, int from, int end, int outward)
        {
            var middle = (from + end) / 2;
            return new(Decay(curve, test, from, middle, outward), Decay(curve, test, middle, end, outward));
        }

        public bool Alike(LeakTest test)
        {
            var limit = (test.Limit.Upper ?? 0) / (LeakRate.PerPaM3(test.Reference, AssumedK) * test.VolumeM3 * LeakRate.Cm3PerMinPerM3PerS);
            var mean = Math.Abs(First.Value + Second.Value) / 2;
            return Math.Abs(Change.Value) <= Math.Max(2 * Change.StandardUncertainty, AlikeShare * Math.Max(limit, mean));
        }

        static Reading Decay(LeakCurve curve, LeakTest test, int from, int end, int outward)
        {
            var time = curve.TimeS.AsSpan(from, end - from);
            var pressure = SteadyLine.Of(time, curve.AbsolutePa.AsSpan(from, end - from), test.PressureStepPa);
            if (curve.PartC is null) return new(-outward * pressure.Slope.Value, pressure.Slope.StandardUncertainty);
            var part = SteadyLine.Of(time, curve.PartC.AsSpan(from, end - from));
            var paPerK = pressure.Value.Value / (part.Value.Value + GasConditions.ZeroCelsiusK);
            return new(-outward * (pressure.Slope.Value - paPerK * part.Slope.Value), double.Hypot(pressure.Slope.StandardUncertainty, paPerK * part.Slope.StandardUncertainty));
        }
    }
}
