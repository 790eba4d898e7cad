using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Statistics;

namespace Roadproof.Engineering.LoadTest;

/// <summary>The directions in which known faults move a unit's readings together: a small move along one of them says more than the same distance anywhere.</summary>
/// <remarks>
/// Each direction is the fault's own signature from the model, whitened by the covariance of sound units and of unit length; a fault that goes either way has two. Moves are compared by their evidence, so that each direction has a limit of its own for one common
/// limit: low where the usual fault is as small as the scatter of sound parts, high where it lies so far out that it is found anyway. What no known fault explains is left to
/// the distance and the single readings. See <c>docs/decisions/0011-a-limit-for-each-known-fault.md</c>.
/// </remarks>
sealed class FaultDirections
{
    // A signature that moves nothing here (a sensor's zero) has no direction.
    const double LeastMoved = 0.5;

    /// <summary>Standard deviations out at which it is decided whether a fault is found.</summary>
    const double Deciding = 3;

    // The rest scatter about it: between what finds most at the usual sizes and what finds most over all sizes that happen. Less, and a worse mesh is found five points less often than by the best joint test.
    const double ShareOfUsualSize = 0.7;

    readonly FaultDirection[] directions;

    public FaultDirections(ExpectationSpread spread, int[] rows, Whitening whitening)
    {
        var none = spread.Model.At(Deviation.None);
        directions =
        [
            .. from h in spread.Model.Faults
               from sign in h.EitherSign ? (int[])[1, -1] : [1]
               where Length(Moved(h, sign * h.Typical)) > LeastMoved
               select Direction(h, sign),
        ];

        FaultDirection Direction(FaultHypothesis h, int sign)
        {
            // A large fault is found in any direction: the direction is that of the size at which it just lies as far out as a limit does.
            var (size, white) = (h.Typical, Moved(h, sign * h.Typical));
            for (var halved = 0; halved < 6 && Length(white) > 2 * Deciding; halved++) white = Moved(h, sign * (size /= 2));
            double[] unit = [.. white.Select(w => w / Length(white))];

            double FarOut(double faultSize) => Math.Max(0, Whitening.Dot(unit, Moved(h, sign * faultSize)));
            var scattered = Scattered(h).Select(s => (Sigma: FarOut(s.Size), s.Share)).TakeWhile(s => s.Sigma > LeastMoved).ToList();
            var (all, ofSign) = (scattered.Sum(s => s.Share), h.EitherSign ? 0.5 : 1);
            return new(h, unit, [(FarOut(h.Typical), ofSign * ShareOfUsualSize), .. scattered.Select(s => (s.Sigma, ofSign * (1 - ShareOfUsualSize) * s.Share / all))]);
        }

        double[] Moved(FaultHypothesis h, double size)
        {
            var with = spread.Model.At(h.At(size));
            return whitening.Whiten([.. rows.Select(i => with[i] - none[i])]);
        }
    }

    static double Length(double[] white) => Math.Sqrt(Whitening.Dot(white, white));

    /// <summary>Sizes that are normal about the usual one, from the largest down in steps of √2.</summary>
    static IEnumerable<(double Size, double Share)> Scattered(FaultHypothesis h)
    {
        for (var size = h.Largest; size > h.Largest / 4096; size /= Math.Sqrt(2))
            yield return (size, size * Math.Exp(-Math.Pow((size - h.Typical) / h.Spread, 2) / 2));
    }

    /// <summary>How many directions there are here.</summary>
    public int Count => directions.Length;

    /// <summary>The move along each, in standard deviations of a sound unit.</summary>
    public void Along(ReadOnlySpan<double> white, Span<double> moves)
    {
        for (var k = 0; k < directions.Length; k++) moves[k] = directions[k].Along(white);
    }

    /// <summary>The largest evidence of the moves that <see cref="Along"/> gives.</summary>
    public double Evidence(ReadOnlySpan<float> moves)
    {
        var most = double.NegativeInfinity;
        for (var k = 0; k < directions.Length; k++) most = Math.Max(most, directions[k].EvidenceOf(moves[k]));
        return most;
    }

    /// <summary>The known fault that a unit's move says most for, and how much; null where no known fault has a direction.</summary>
    /// <param name="white">Whitened residual, shape [rows].</param>
    public (FaultDirection? Direction, double Sigma, double Evidence) Nearest(ReadOnlySpan<double> white)
    {
        var nearest = (Direction: (FaultDirection?)null, Sigma: 0.0, Evidence: double.NegativeInfinity);
        foreach (var direction in directions)
        {
            var sigma = direction.Along(white);
            var evidence = direction.EvidenceOf(sigma);
            if (evidence > nearest.Evidence) nearest = (direction, sigma, evidence);
        }

        return nearest;
    }

    /// <summary>The move from which a fault's own evidence is beyond a limit; of a fault with two signs the smaller; null where it has no direction.</summary>
    public double? SigmaAt(FaultHypothesis fault, double evidence) => directions.Where(d => d.Fault == fault).Select(d => (double?)d.SigmaAt(evidence)).Min();
}
