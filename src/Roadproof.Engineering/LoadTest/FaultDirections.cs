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

    readonly (FaultHypothesis Fault, double[] White)[] directions;

    public FaultDirections(ExpectationSpread spread, int[] rows, Whitening whitening)
    {
        var none = spread.Model.At(Deviation.None);
        directions =
        [
            .. from h in spread.Model.Faults
               let with = spread.Model.At(h.At(h.Typical))
               let white = whitening.Whiten([.. rows.Select(i => with[i] - none[i])])
               let length = Math.Sqrt(Whitening.Dot(white, white))
               where length > LeastMoved
               select (h, white.Select(w => w / length).ToArray()),
        ];
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
