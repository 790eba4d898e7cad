using Roadproof.Engineering.Signals;

namespace Roadproof.Engineering.Checks.Tightening;

/// <summary>The straightest pull of the joint: the line where torque grows fastest with angle, as far as its samples lie on it.</summary>
/// <remarks>The steepest of many windows is a little too steep by chance; the samples beside it, as far as they belong to the line, take that back.</remarks>
/// <param name="From">First sample of the window; <paramref name="To"/> is the first after it.</param>
/// <param name="WidthDeg">Width that a window has at least: a quarter of the rise.</param>
sealed record SteepestRise(LineFit Line, int From, int To, double WidthDeg)
{
    /// <summary>A line through fewer samples knows too little of its own scatter.</summary>
    const int FewestSamples = 5;

    /// <summary>Standard deviations from the line within which a sample belongs to it.</summary>
    const double BelongsWithin = 2.5;

    /// <returns>Null where the rise has too few samples or does not rise.</returns>
    public static SteepestRise? Of(double[] angle, double[] torque, int foot, int top, double noise)
    {
        var width = (angle[top] - angle[foot]) / 4;
        SteepestRise? best = null;
        for (var from = foot; End(angle, from, top + 1, width) is { } to; from++)
        {
            var line = LineFit.Of(angle.AsSpan(from..to), torque.AsSpan(from..to));
            if (line.Slope > (best?.Line.Slope ?? 0)) best = new(line, from, to, width);
        }

        return best?.Grown(angle, torque, foot, top, noise);
    }

    SteepestRise Grown(double[] angle, double[] torque, int foot, int top, double noise)
    {
        var (grown, least) = (this, Line.Slope - 2 * Line.SlopeUncertainty);
        while (grown.From > foot && grown.Holds(angle[grown.From - 1], torque[grown.From - 1], noise) && grown.Over(angle, torque, grown.From - 1, grown.To) is var wider && wider.Line.Slope >= least) grown = wider;
        while (grown.To <= top && grown.Holds(angle[grown.To], torque[grown.To], noise) && grown.Over(angle, torque, grown.From, grown.To + 1) is var wider && wider.Line.Slope >= least) grown = wider;
        return grown;
    }

    bool Holds(double angle, double torque, double noise) => Math.Abs(torque - Line.HeightAt(angle)) <= BelongsWithin * Math.Max(Line.Scatter, noise);

    SteepestRise Over(double[] angle, double[] torque, int from, int to) => this with { Line = LineFit.Of(angle.AsSpan(from..to), torque.AsSpan(from..to)), From = from, To = to };

    /// <summary>Where the curve leaves the line for good, if the slope then falls below a share of the best, surely, and stays there to the top.</summary>
    /// <returns>The last sample on the line, and by how many degrees scatter blurs it; null where the slope holds.</returns>
    public (int Row, double BlurDeg)? Yield(double[] angle, double[] torque, int top, double noise, double share)
    {
        var yielded = false;
        for (var from = To; End(angle, from, top + 1, WidthDeg) is { } to; from++)
        {
            var line = LineFit.Of(angle.AsSpan(from..to), torque.AsSpan(from..to));
            yielded = line.Slope + 2 * line.SlopeUncertainty < share * Line.Slope;
        }

        if (!yielded) return null;
        var row = top;
        while (row > From && !Holds(angle[row], torque[row], noise)) row--;
        return (row, BelongsWithin * Math.Max(Line.Scatter, noise) / Line.Slope);
    }

    static int? End(double[] angle, int from, int limit, double width)
    {
        var to = from + FewestSamples;
        while (to < limit && angle[to - 1] - angle[from] < width) to++;
        return to <= limit && angle[to - 1] - angle[from] >= width && angle[to - 1] > angle[from] ? to : null;
    }
}
