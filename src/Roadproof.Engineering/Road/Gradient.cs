namespace Roadproof.Engineering.Road;

/// <summary>The slope of the road from elevations that jitter and jump.</summary>
/// <remarks>
/// On points every 10 m: the median of five (a spike of one or two points leaves no trace), then the slope of a straight line through ±60 m,
/// near points counting more (triangular weights). A ramp shorter than about 60 m is flattened; a climb keeps its height. Slopes beyond ±35 % are cut.
/// Our own choice of widths: satellite heights err by metres over minutes, barometric ones by decimetres (common practice, no source).
/// </remarks>
static class Gradient
{
    public const double GridM = 10;
    public const double HalfWidthM = 60;
    public const double Steepest = 0.35;

    /// <summary>Slope at each place along a way.</summary>
    /// <param name="alongM">Places that rise or stand still, shape [n].</param>
    /// <param name="distanceM">Along the way, not falling, shape [m].</param>
    /// <param name="elevationM">Shape [m].</param>
    /// <param name="gradient">Takes the slopes, shape [n]; level where the way is too short for one.</param>
    /// <param name="cut">How many places were cut to the steepest slope.</param>
    public static void At(ReadOnlySpan<double> alongM, ReadOnlySpan<double> distanceM, ReadOnlySpan<double> elevationM, Span<double> gradient, out int cut)
    {
        gradient.Clear();
        cut = 0;
        var lengthM = distanceM[^1] - distanceM[0];
        var points = (int)(lengthM / GridM) + 1;
        if (points < 4) return;

        var slope = Slopes(MedianOfFive(OnGrid(points, distanceM, elevationM)));
        for (var i = 0; i < alongM.Length; i++)
        {
            var place = Math.Clamp((alongM[i] - distanceM[0]) / GridM, 0, points - 1);
            var left = Math.Min((int)place, points - 2);
            var value = slope[left] + ((place - left) * (slope[left + 1] - slope[left]));
            if (Math.Abs(value) > Steepest) cut++;
            gradient[i] = Math.Clamp(value, -Steepest, Steepest);
        }
    }

    static double[] OnGrid(int points, ReadOnlySpan<double> distanceM, ReadOnlySpan<double> elevationM)
    {
        var gridM = new double[points];
        var next = 1;
        for (var i = 0; i < points; i++)
        {
            var placeM = distanceM[0] + (i * GridM);
            while (next < distanceM.Length - 1 && distanceM[next] < placeM) next++;
            var spanM = distanceM[next] - distanceM[next - 1];
            var share = spanM > 0 ? (placeM - distanceM[next - 1]) / spanM : 1;
            gridM[i] = elevationM[next - 1] + (share * (elevationM[next] - elevationM[next - 1]));
        }

        return gridM;
    }

    static double[] MedianOfFive(double[] values)
    {
        var medians = (double[])values.Clone();
        for (var i = 2; i < values.Length - 2; i++) medians[i] = Median(values[i - 2], values[i - 1], values[i], values[i + 1], values[i + 2]);
        return medians;
    }

    /// <summary>The middle one of five, by six comparisons.</summary>
    static double Median(double a, double b, double c, double d, double e)
    {
        (a, b) = (Math.Min(a, b), Math.Max(a, b));
        (c, d) = (Math.Min(c, d), Math.Max(c, d));

        // The least of the four and the greatest of them cannot be the middle of five.
        (b, d) = (Math.Min(b, d), Math.Max(a, c));
        (b, d) = (Math.Min(b, d), Math.Max(b, d));
        return Math.Max(b, Math.Min(d, e));
    }

    /// <summary>Slope of the weighted line through the points around each; the weights are the same everywhere but near the ends.</summary>
    static double[] Slopes(double[] elevationM)
    {
        const int reach = (int)(HalfWidthM / GridM);
        var slopes = new double[elevationM.Length];
        for (var i = 0; i < slopes.Length; i++)
            slopes[i] = i >= reach && i < slopes.Length - reach ? InTheMiddle(elevationM.AsSpan(i - reach, (2 * reach) + 1)) : NearAnEnd(elevationM, i, reach);
        return slopes;
    }

    static double InTheMiddle(ReadOnlySpan<double> elevationM)
    {
        // Σ w·x·z / Σ w·x²: the points lie evenly on both sides, so that the mean place is the middle and the mean height drops out.
        var reach = elevationM.Length / 2;
        var (xx, xz) = (0.0, 0.0);
        for (var k = 1; k <= reach; k++)
        {
            var weighted = (reach + 1 - k) * k;
            xx += weighted * k;
            xz += weighted * (elevationM[reach + k] - elevationM[reach - k]);
        }

        return xz / (2 * xx * GridM);
    }

    static double NearAnEnd(double[] elevationM, int i, int reach)
    {
        var (weights, meanX, meanZ) = (0.0, 0.0, 0.0);
        var (from, to) = (Math.Max(0, i - reach), Math.Min(elevationM.Length - 1, i + reach));
        for (var j = from; j <= to; j++)
        {
            var weight = reach + 1 - Math.Abs(j - i);
            weights += weight;
            meanX += weight * j * GridM;
            meanZ += weight * elevationM[j];
        }

        meanX /= weights;
        meanZ /= weights;
        var (xx, xz) = (0.0, 0.0);
        for (var j = from; j <= to; j++)
        {
            var weight = reach + 1 - Math.Abs(j - i);
            var x = (j * GridM) - meanX;
            xx += weight * x * x;
            xz += weight * x * (elevationM[j] - meanZ);
        }

        return xz / xx;
    }
}
