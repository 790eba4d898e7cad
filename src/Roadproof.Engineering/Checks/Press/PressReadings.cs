using Roadproof.Engineering.Signals;

namespace Roadproof.Engineering.Checks;

/// <summary>What a press-in says, from first touch to the end of the stroke.</summary>
/// <remarks>A press fit's force grows with the length engaged, so between entry and seat it is a line; on the seat the frame's stiffness makes another. Their crossing is the seat. Method: <c>docs/methods/press.md</c>.</remarks>
public sealed record PressReadings
{
    /// <summary>Fewer rows than this up to the end of the stroke are no curve.</summary>
    public const int LeastRows = 20;

    /// <summary>Standard deviation of the force from row to row, N.</summary>
    public required double NoiseN { get; init; }

    /// <summary>Distance at first touch, m; none where nothing was touched or the record begins in touch.</summary>
    public Reading Touch { get; private init; } = Reading.None;

    /// <summary>Highest force within the entry length, N.</summary>
    public Reading EntryForce { get; private init; } = Reading.None;

    /// <summary>Slope of the press force behind the entry, N/m.</summary>
    public Reading Slope { get; private init; } = Reading.None;

    /// <summary>Press force at the end of the press-in, on the line, N.</summary>
    public Reading PressForce { get; private init; } = Reading.None;

    /// <summary>Distance at which the part sits, m; none where no seat was reached.</summary>
    public Reading Seat { get; private init; } = Reading.None;

    /// <summary>Slope on the seat, N/m.</summary>
    public Reading SeatSlope { get; private init; } = Reading.None;

    /// <summary>Largest force of the stroke, N: with a seat the block force.</summary>
    public required Reading PeakForce { get; init; }

    /// <summary>Farthest distance, m.</summary>
    public required Reading End { get; init; }

    /// <summary>Work from touch to end, J.</summary>
    public Reading Work { get; private init; } = Reading.None;

    /// <summary>Largest drop of the force within a slip's length behind the entry, N; the noise alone makes one of <see cref="NoiseDropN"/>.</summary>
    public Reading LargestDrop { get; private init; } = Reading.None;

    /// <summary>The drop that noise reaches in a curve of this length, N.</summary>
    public double NoiseDropN { get; private init; }

    public bool Touched => double.IsFinite(EntryForce.Value);
    public bool Seated => double.IsFinite(Seat.Value);

    public static PressReadings From(PressCurve curve, PressTest test)
    {
        var end = EndOfStroke(curve.DistanceM);
        ReadOnlySpan<double> distance = curve.DistanceM.AsSpan(0, end + 1), force = curve.ForceN.AsSpan(0, end + 1);
        var noise = RowNoise.Of(force);
        var peak = 0.0;
        foreach (var f in force) peak = Math.Max(peak, f);

        var readings = new PressReadings { NoiseN = noise, PeakForce = Force(peak, noise, test), End = new(distance[end], test.DistanceUncertaintyM) };
        var free = RowNoise.Median(force[..Math.Min(10, force.Length)]);
        var threshold = free + Math.Max(Math.Max(6 * noise, 2 * test.ForceZeroN), 0.02 * (peak - free));
        var touch = FirstAbove(force, threshold);
        if (touch < 0) return readings;

        // A record that begins in touch has lost its first touch: its line and seat still stand.
        var inTouch = touch == 0 || free > 0.1 * peak;
        if (inTouch) touch = 0;
        var entryEnd = touch;
        while (entryEnd < end && distance[entryEnd] < distance[touch] + test.EntryM) entryEnd++;
        var entry = 0.0;
        for (var i = touch; i <= entryEnd; i++) entry = Math.Max(entry, force[i]);
        readings = readings with
        {
            Touch = inTouch ? Reading.None : Crossing(distance, force, touch, threshold, noise, test),
            EntryForce = Force(entry, noise, test),
            Work = WorkOf(distance[touch..], force[touch..], test),
        };
        return end - entryEnd < LeastRows / 2 ? readings : readings.WithLine(distance[entryEnd..], force[entryEnd..], test);
    }

    PressReadings WithLine(ReadOnlySpan<double> distance, ReadOnlySpan<double> force, PressTest test)
    {
        var seat = SeatFit.Find(distance, force, NoiseN, test);
        var rows = seat?.Rows ?? distance.Length;
        var line = SteadyLine.Of(distance[..rows], force[..rows]);
        var at = seat?.Distance.Value ?? distance[^1];
        var press = line.At(at);
        var (drop, noiseDrop) = Drop(distance[..rows], force[..rows], line, test);
        return this with
        {
            Slope = new(line.Slope.Value, double.Hypot(line.Slope.StandardUncertainty, test.ForceGainShare * line.Slope.Value)),
            PressForce = Force(press, line.UncertaintyAt(at), test),
            Seat = seat is { } s ? new(s.Distance.Value, double.Hypot(s.Distance.StandardUncertainty, test.DistanceUncertaintyM)) : Reading.None,
            SeatSlope = seat?.Slope ?? Reading.None,
            LargestDrop = new(drop, double.Hypot(Math.Sqrt(2) * NoiseN, test.ForceGainShare * drop)),
            NoiseDropN = noiseDrop,
        };
    }

    /// <summary>Lowest and highest force between two distances, N; none where the stroke has no row there.</summary>
    public static (Reading Lowest, Reading Highest) Within(PressCurve curve, PressWindow window, double noiseN, PressTest test)
    {
        var (low, high) = (double.PositiveInfinity, double.NegativeInfinity);
        var end = EndOfStroke(curve.DistanceM);
        for (var i = 0; i <= end; i++)
        {
            if (curve.DistanceM[i] < window.FromM || curve.DistanceM[i] > window.ToM) continue;
            (low, high) = (Math.Min(low, curve.ForceN[i]), Math.Max(high, curve.ForceN[i]));
        }

        return low > high ? (Reading.None, Reading.None) : (Force(low, noiseN, test), Force(high, noiseN, test));
    }

    /// <summary>Row of the farthest distance: what comes after is the way back.</summary>
    public static int EndOfStroke(ReadOnlySpan<double> distance)
    {
        var end = 0;
        for (var i = 1; i < distance.Length; i++)
            if (distance[i] > distance[end]) end = i;
        return end;
    }

    static Reading Force(double value, double random, PressTest test) =>
        new(value, double.Hypot(double.Hypot(random, test.ForceZeroN), test.ForceGainShare * value));

    /// <summary>The first of five rows above a threshold, or of all that are left; −1 where there is none.</summary>
    static int FirstAbove(ReadOnlySpan<double> force, double threshold)
    {
        const int lasting = 5;
        var since = -1;
        for (var i = 0; i < force.Length; i++)
        {
            if (force[i] <= threshold) since = -1;
            else if (since < 0) since = i;
            if (since >= 0 && (i - since + 1 == lasting || i == force.Length - 1)) return since;
        }

        return -1;
    }

    static Reading Crossing(ReadOnlySpan<double> distance, ReadOnlySpan<double> force, int row, double threshold, double noise, PressTest test)
    {
        if (row == 0) return new(distance[0], test.DistanceUncertaintyM);
        var (rise, step) = (force[row] - force[row - 1], distance[row] - distance[row - 1]);
        var share = rise > 0 ? Math.Clamp((threshold - force[row - 1]) / rise, 0, 1) : 1;
        var random = rise > 0 ? Math.Min(noise / rise, 1) * step : step;
        return new(distance[row - 1] + share * step, double.Hypot(test.DistanceUncertaintyM, random));
    }

    static Reading WorkOf(ReadOnlySpan<double> distance, ReadOnlySpan<double> force, PressTest test)
    {
        var work = 0.0;
        for (var i = 1; i < distance.Length; i++) work += (force[i] + force[i - 1]) / 2 * (distance[i] - distance[i - 1]);
        return new(work, double.Hypot(test.ForceGainShare * work, test.ForceZeroN * (distance[^1] - distance[0])));
    }

    /// <summary>The largest fall below the line within a slip's length, and what Gaussian noise reaches in as many rows: σ·√2·√(2·ln n).</summary>
    static (double Drop, double NoiseDrop) Drop(ReadOnlySpan<double> distance, ReadOnlySpan<double> force, SteadyLine line, PressTest test)
    {
        var drop = 0.0;
        for (int i = 0, from = 0; i < distance.Length; i++)
        {
            while (distance[from] < distance[i] - test.SlipM) from++;
            var now = force[i] - line.At(distance[i]);
            for (var j = from; j < i; j++) drop = Math.Max(drop, force[j] - line.At(distance[j]) - now);
        }

        return (drop, RowNoise.Of(force) * Math.Sqrt(2) * RowNoise.Reach(distance.Length));
    }
}
