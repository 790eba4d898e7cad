using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Statistics;

namespace Roadproof.Engineering.LoadTest;

/// <summary>The directions in which known faults move a unit's readings together: a small move along one of them says more than the same distance anywhere.</summary>
/// <remarks>
/// Each direction is the fault's own signature from the model at its typical size, whitened by the covariance of sound units and of unit length. The move along it is the
/// best linear test for that fault (Neyman-Pearson lemma for a shifted normal, textbook), in standard deviations of a sound unit. What no known fault explains is left to
/// the distance. See <c>docs/decisions/0005-two-kinds-of-limit.md</c>.
/// </remarks>
sealed class FaultDirections
{
    // A signature that moves nothing here (a sensor's zero) has no direction.
    const double LeastMoved = 0.5;

    /// <summary>Standard deviations out at which it is decided whether a fault is found.</summary>
    const double Deciding = 3;

    readonly (FaultHypothesis Fault, double[] White)[] directions;

    public FaultDirections(ExpectationSpread spread, int[] rows, Whitening whitening)
    {
        var none = spread.Model.At(Deviation.None);
        directions =
        [
            .. from h in spread.Model.Faults
               let white = Signature(h)
               let length = Math.Sqrt(Whitening.Dot(white, white))
               where length > LeastMoved
               select (h, white.Select(w => w / length).ToArray()),
        ];

        // A large fault is found in any direction: the direction is that of the size at which it just lies as far out as a limit does.
        double[] Signature(FaultHypothesis h)
        {
            var (size, white) = (h.Typical, Moved(h.Typical));
            for (var halved = 0; halved < 6 && Math.Sqrt(Whitening.Dot(white, white)) > 2 * Deciding; halved++) white = Moved(size /= 2);
            return white;

            double[] Moved(double x)
            {
                var with = spread.Model.At(h.At(x));
                return whitening.Whiten([.. rows.Select(i => with[i] - none[i])]);
            }
        }
    }

    /// <summary>How many faults have a direction here.</summary>
    public int Count => directions.Length;

    /// <summary>The move along each, with its sign, in standard deviations of a sound unit.</summary>
    public void Along(ReadOnlySpan<double> white, Span<double> moves)
    {
        for (var k = 0; k < directions.Length; k++) moves[k] = Whitening.Dot(directions[k].White, white);
    }

    /// <summary>The largest of the moves that <see cref="Along"/> gives; 0 or more where a fault moves one way only.</summary>
    public float Farthest(ReadOnlySpan<float> moves)
    {
        var farthest = 0f;
        for (var k = 0; k < directions.Length; k++) farthest = Math.Max(farthest, directions[k].Fault.EitherSign ? Math.Abs(moves[k]) : moves[k]);
        return farthest;
    }

    /// <summary>The known fault along which a unit has moved farthest, and how far in standard deviations of a sound unit; 0 or more where a fault moves one way only.</summary>
    /// <param name="white">Whitened residual, shape [rows].</param>
    public (FaultHypothesis? Fault, double Sigma) Farthest(ReadOnlySpan<double> white)
    {
        var farthest = (Fault: (FaultHypothesis?)null, Sigma: 0.0);
        foreach (var (fault, direction) in directions)
        {
            var along = Whitening.Dot(direction, white);
            if (fault.EitherSign) along = Math.Abs(along);
            if (along > farthest.Sigma) farthest = (fault, along);
        }

        return farthest;
    }
}
