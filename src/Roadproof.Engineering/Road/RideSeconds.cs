using System.Globalization;
using Roadproof.Engineering.Formats;

namespace Roadproof.Engineering.Road;

/// <summary>A ride second by second: second i runs from TimeS[i] to TimeS[i] + 1. Only whole seconds inside a piece of recording exist.</summary>
sealed class RideSeconds
{
    /// <summary>A recorded value stands for at most this long after it was written, s.</summary>
    const double HoldsForS = 5;

    RideSeconds(int count)
    {
        TimeS = new double[count];
        DistanceM = new double[count];
        SpeedMps = new double[count];
        AccelerationMps2 = new double[count];
        Gradient = new double[count];
        ElevationM = new double[count];
        RecordedPowerW = new double[count];
        RecordedCadenceRadPerS = new double[count];
    }

    public double[] TimeS { get; }

    /// <summary>Gained in the second.</summary>
    public double[] DistanceM { get; }

    /// <summary>Smoothed; see <see cref="Smooth"/>.</summary>
    public double[] SpeedMps { get; }

    public double[] AccelerationMps2 { get; }

    public double[] Gradient { get; }

    /// <summary>NaN when the ride has no elevation.</summary>
    public double[] ElevationM { get; }

    /// <summary>NaN where not recorded.</summary>
    public double[] RecordedPowerW { get; }

    /// <summary>NaN where not recorded.</summary>
    public double[] RecordedCadenceRadPerS { get; }

    public int SlopesCut { get; private set; }

    public IReadOnlyList<string> Warnings { get; private init; } = [];

    public int Count => TimeS.Length;

    public static RideSeconds Of(RidePath path)
    {
        var pieces = Enumerable.Range(0, path.Fixes.Count).Where(i => path.Fixes[i].HasTime)
            .GroupBy(i => path.Pieces[i]).Select(group => group.ToArray()).ToList();
        List<string> warnings = [];
        var byRecordedSpeed = RecordedSpeedHolds(path, warnings);
        var seconds = new RideSeconds(pieces.Sum(piece => WholeSeconds(path, piece))) { Warnings = warnings };
        var start = 0;
        foreach (var piece in pieces)
        {
            var count = WholeSeconds(path, piece);
            if (count > 0) seconds.Fill(path, piece, start, count, byRecordedSpeed);
            start += count;
        }

        return seconds;
    }

    static int WholeSeconds(RidePath path, int[] piece) => (int)Math.Floor(path.Fixes[piece[^1]].TimeS - path.Fixes[piece[0]].TimeS + 1e-6);

    /// <summary>A wheel sensor's speed is steadier than one from positions, but only if it tells the same way.</summary>
    static bool RecordedSpeedHolds(RidePath path, List<string> warnings)
    {
        var timed = Enumerable.Range(0, path.Fixes.Count).Where(i => path.Fixes[i].HasTime).ToArray();
        var told = timed.Count(i => !double.IsNaN(path.Fixes[i].RecordedSpeedMps));
        if (!path.ByPosition || told < 0.98 * timed.Length) return false;

        var (recordedM, wayM) = (0.0, 0.0);
        foreach (var i in timed)
        {
            if (i == 0 || path.Pieces[i] != path.Pieces[i - 1] || !path.Fixes[i - 1].HasTime) continue;
            var stepS = path.Fixes[i].TimeS - path.Fixes[i - 1].TimeS;
            var stepM = stepS * (path.Fixes[i].RecordedSpeedMps + path.Fixes[i - 1].RecordedSpeedMps) / 2;
            if (double.IsNaN(stepM) || stepS > HoldsForS) continue;
            recordedM += stepM;
            wayM += path.DistanceM[i] - path.DistanceM[i - 1];
        }

        var ratio = recordedM / wayM;
        if (ratio is > 0.8 and < 1.25) return true;
        if (wayM > 100)
            warnings.Add(string.Create(CultureInfo.InvariantCulture, $"The recorded speed is {ratio:0.00} times that of the positions: the positions are used. Is its unit right?"));
        return false;
    }

    void Fill(RidePath path, int[] piece, int start, int count, bool byRecordedSpeed)
    {
        var startS = path.Fixes[piece[0]].TimeS;
        var timeS = Array.ConvertAll(piece, i => path.Fixes[i].TimeS);
        var distanceM = Array.ConvertAll(piece, i => path.DistanceM[i]);
        var told = Array.FindAll(piece, i => !double.IsNaN(path.Fixes[i].RecordedSpeedMps));
        var toldS = Array.ConvertAll(told, i => path.Fixes[i].TimeS);
        var toldMps = Array.ConvertAll(told, i => path.Fixes[i].RecordedSpeedMps);
        var alongM = new double[count];
        var stepM = new double[count];
        var fix = 0;
        for (var k = 0; k < count; k++)
        {
            var atS = startS + k;
            while (fix + 1 < piece.Length && timeS[fix + 1] <= atS) fix++;
            var fromM = Between(timeS, distanceM, atS);
            var toM = Between(timeS, distanceM, atS + 1);
            TimeS[start + k] = atS;
            DistanceM[start + k] = toM - fromM;
            alongM[k] = (fromM + toM) / 2;
            var inGap = fix + 1 < piece.Length && timeS[fix + 1] - timeS[fix] > HoldsForS;
            stepM[k] = byRecordedSpeed && told.Length > 0 && !inGap ? Between(toldS, toldMps, atS + 0.5) : toM - fromM;
            var held = atS - timeS[fix] <= HoldsForS ? path.Fixes[piece[fix]] : new RideFix();
            RecordedPowerW[start + k] = held.PowerW;
            RecordedCadenceRadPerS[start + k] = held.CadenceRadPerS;
            ElevationM[start + k] = double.NaN;
        }

        Smooth(stepM, SpeedMps.AsSpan(start, count), AccelerationMps2.AsSpan(start, count));
        if (path.ElevationM is null) return;

        var elevationM = Array.ConvertAll(piece, i => path.ElevationM[i]);
        Road.Gradient.At(alongM, distanceM, elevationM, out var cut).CopyTo(Gradient, start);
        SlopesCut += cut;
        for (var k = 0; k < count; k++) ElevationM[start + k] = Between(distanceM, elevationM, alongM[k]);
    }

    /// <summary>Straight between the known values; constant beyond them.</summary>
    static double Between(double[] x, double[] y, double at)
    {
        var index = Array.BinarySearch(x, at);
        if (index >= 0) return y[index];
        index = ~index;
        if (index == 0) return y[0];
        if (index == x.Length) return y[^1];
        return y[index - 1] + ((at - x[index - 1]) / (x[index] - x[index - 1]) * (y[index] - y[index - 1]));
    }

    /// <summary>
    /// Speed is the parabola through seven seconds at its middle, acceleration the slope of the line through five (Savitzky and Golay, Anal. Chem. 36,
    /// 1964, tables from memory). Near the ends of a piece both windows shrink.
    /// </summary>
    static void Smooth(ReadOnlySpan<double> stepM, Span<double> speedMps, Span<double> accelerationMps2)
    {
        ReadOnlySpan<double> seven = [-2, 3, 6, 7, 6, 3, -2];
        ReadOnlySpan<double> five = [-3, 12, 17, 12, -3];
        for (var k = 0; k < stepM.Length; k++)
        {
            var room = Math.Min(k, stepM.Length - 1 - k);
            var speed = room switch
            {
                >= 3 => Weighted(seven, stepM[(k - 3)..]) / 21,
                2 => Weighted(five, stepM[(k - 2)..]) / 35,
                1 => (stepM[k - 1] + stepM[k] + stepM[k + 1]) / 3,
                _ => stepM[k],
            };
            speedMps[k] = Math.Max(0, speed);
        }

        for (var k = 0; k < stepM.Length; k++)
        {
            accelerationMps2[k] = Math.Min(k, stepM.Length - 1 - k) switch
            {
                >= 2 => Weighted([-2, -1, 0, 1, 2], speedMps[(k - 2)..]) / 10,
                1 => (speedMps[k + 1] - speedMps[k - 1]) / 2,
                _ => 0,
            };
        }
    }

    static double Weighted(ReadOnlySpan<double> weights, ReadOnlySpan<double> values)
    {
        var sum = 0.0;
        for (var i = 0; i < weights.Length; i++) sum += weights[i] * values[i];
        return sum;
    }
}
