using Roadproof.Engineering.Signals;

namespace Roadproof.Engineering.Checks.Tightening;

/// <summary>What the first screw of a pattern has lost when the last is tight: gasket creep and the pull of its neighbours.</summary>
/// <param name="Residual">Torque at which the screw moves on, N·m; none where the check did not move it.</param>
/// <param name="Loss">Share of the clamping torque (final less prevailing) that is gone.</param>
public sealed record Relaxation(Reading Residual, Reading Loss)
{
    /// <summary>5 to 10 % is what gaskets do, more than 20 % is too much (common practice, no source).</summary>
    public const double UsualLargestLoss = 0.20;

    const int FewestOnASide = 4;

    /// <summary>Beyond the knee the curve is flatter: friction that lets go is softer than a spindle that winds up.</summary>
    const double KneeShare = 0.6;

    /// <param name="first">The screw's own tightening, in the same driver.</param>
    /// <param name="check">Its curve when it is turned on by a few degrees after the last screw.</param>
    public static Relaxation Of(TighteningFeatures first, TighteningCurve check)
    {
        var (angle, torque, _) = DrivenCurve.Of(check);
        var residual = Knee(angle, torque);
        if (double.IsNaN(residual.Value)) return new(Reading.None, Reading.None);

        // Both torques come from one gauge: its error scales both and leaves their ratio.
        var prevailing = double.IsNaN(first.Prevailing.Value) ? 0 : first.Prevailing.Value;
        var clamping = first.FinalTorque.Value - prevailing;
        var u = Math.Sqrt(residual.StandardUncertainty * residual.StandardUncertainty + first.NoiseNm * first.NoiseNm) / clamping;
        return new(residual, new((first.FinalTorque.Value - residual.Value) / clamping, u));
    }

    /// <summary>Where two straight lines, the steep wind-up and the turn after it, fit best together.</summary>
    static Reading Knee(double[] angle, double[] torque)
    {
        var best = (Squares: double.PositiveInfinity, Steep: default(LineFit), Flat: default(LineFit));
        for (var k = FewestOnASide; k <= angle.Length - FewestOnASide; k++)
        {
            var (steep, flat) = (LineFit.Of(angle.AsSpan(..k), torque.AsSpan(..k)), LineFit.Of(angle.AsSpan(k..), torque.AsSpan(k..)));
            if (!(steep.SpreadX > 0 && flat.SpreadX > 0)) continue;
            var squares = steep.Scatter * steep.Scatter * (steep.Samples - 2) + flat.Scatter * flat.Scatter * (flat.Samples - 2);
            if (squares < best.Squares) best = (squares, steep, flat);
        }

        var (s, f) = (best.Steep, best.Flat);
        if (double.IsInfinity(best.Squares) || f.Slope + 2 * f.SlopeUncertainty > KneeShare * s.Slope) return Reading.None;
        var at = s.MeanX + (f.HeightAt(s.MeanX) - s.MeanY) / (s.Slope - f.Slope);
        if (!(at > angle[0] && at < angle[^1])) return Reading.None;
        var (uSteep, uFlat) = (f.Slope * s.HeightUncertaintyAt(at), s.Slope * f.HeightUncertaintyAt(at));
        return new(s.HeightAt(at), Math.Sqrt(uSteep * uSteep + uFlat * uFlat) / (s.Slope - f.Slope));
    }
}
