namespace Roadproof.Engineering.Signals;

/// <summary>Where several signals stand still together: rows [From, To).</summary>
public readonly record struct SteadyPiece(int From, int To);

/// <summary>How still a signal must be to count as steady: over a look-out window its straight-line change and its scatter about that line.</summary>
public readonly record struct Stillness(double Change, double Scatter);

/// <summary>Finds steady pieces from the signals themselves, not from a clock.</summary>
/// <remarks>
/// A window slides over the rows; where the fitted line of every signal changes less and scatters less than allowed, all rows of the window are steady. Touching
/// windows form a piece. A quarter of a window is then taken off at both ends, because the first windows may hold the last moments of a ramp.
/// Running sums are taken about each signal's own mean, O(n). Assumes even sampling and no missing samples within the span.
/// </remarks>
public static class SteadyPieces
{
    public static List<SteadyPiece> Find(IReadOnlyList<(float[] Samples, Stillness Allowed)> signals, Segment span, int windowRows)
    {
        var windows = span.Count - windowRows + 1;
        if (windows < 1) return [];

        var steady = new bool[windows];
        Array.Fill(steady, true);
        foreach (var (samples, allowed) in signals) Keep(steady, samples.AsSpan(span.From, span.Count), allowed, windowRows);

        var pieces = new List<SteadyPiece>();
        var trim = windowRows / 4;
        for (var w = 0; w < windows; w++)
        {
            if (!steady[w]) continue;
            var first = w;
            while (w + 1 < windows && steady[w + 1]) w++;
            var (from, to) = (span.From + first + trim, span.From + w + windowRows - trim);
            if (to - from >= windowRows) pieces.Add(new(from, to));
        }

        return pieces;
    }

    static void Keep(bool[] steady, ReadOnlySpan<float> samples, Stillness allowed, int rows)
    {
        var centre = Moments.MeanOf(samples);
        var middle = (rows - 1) / 2.0;
        var spread = rows * ((double)rows * rows - 1) / 12;
        double sum = 0, sumSquares = 0, sumPlaced = 0; // of y, y² and place·y, with places 0 … rows − 1
        for (var i = 0; i < rows; i++)
        {
            var y = samples[i] - centre;
            (sum, sumSquares, sumPlaced) = (sum + y, sumSquares + y * y, sumPlaced + i * y);
        }

        for (var w = 0; ; w++)
        {
            var slope = (sumPlaced - middle * sum) / spread;
            var scatter2 = (sumSquares - sum * sum / rows - slope * slope * spread) / (rows - 2);
            if (Math.Abs(slope) * rows > allowed.Change || scatter2 > allowed.Scatter * allowed.Scatter) steady[w] = false;
            if (w + rows >= samples.Length) return;

            double leaving = samples[w] - centre, entering = samples[w + rows] - centre;
            sumPlaced += (rows - 1) * entering - (sum - leaving);
            sum += entering - leaving;
            sumSquares += entering * entering - leaving * leaving;
        }
    }
}
