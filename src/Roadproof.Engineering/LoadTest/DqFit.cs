using MathNet.Numerics.LinearAlgebra;
using Roadproof.Engineering.Drive;

namespace Roadproof.Engineering.LoadTest;

/// <summary>A unit's own resistance, flux and angle error, from the means of its fast windows.</summary>
/// <param name="Resistance20Ohm">Phase resistance at 20 °C, Ω.</param>
/// <param name="Flux20Wb">Flux linkage at 20 °C and no current, Wb.</param>
/// <param name="OffsetRad">Stored less true rotor angle, rad electrical.</param>
sealed record DqFit(double Resistance20Ohm, double Flux20Wb, double OffsetRad)
{
    /// <summary>Means at one load point with the temperatures of that window.</summary>
    public readonly record struct Point(FastMeans Means, double WindingC, double MagnetC);

    /// <summary>Least squares of the steady dq voltages over all points; inductances, temperature coefficients and the shape of saturation are the drawing's.</summary>
    /// <remarks>Gauss-Newton from the drawing; quadratic near the end, five steps at most for a sound unit. Source: standard dq equations (textbook).</remarks>
    public static DqFit Of(Motor motor, ReadOnlySpan<Point> points)
    {
        var x = Vector<double>.Build.Dense([1, 1, 0]);
        for (var step = 0; step < 30; step++)
        {
            var normal = Matrix<double>.Build.Dense(3, 3);
            var right = Vector<double>.Build.Dense(3);
            foreach (var point in points) Accumulate(motor, point, x, normal, right);
            var change = normal.Cholesky().Solve(right);
            x += change;
            if (change.L2Norm() < 1e-13) break;
        }

        return new(x[0] * motor.PhaseResistance20Ohm, x[1] * motor.FluxLinkage20Wb, x[2]);
    }

    static void Accumulate(Motor motor, in Point point, Vector<double> x, Matrix<double> normal, Vector<double> right)
    {
        var means = point.Means;
        var (sin, cos) = Math.SinCos(x[2]);
        var (idA, iqA) = (means.IdA * cos - means.IqA * sin, means.IdA * sin + means.IqA * cos);
        var resistanceOhm = motor.PhaseResistanceOhm(point.WindingC);
        var share = Math.Min(1, Math.Abs(iqA) / motor.PhaseCurrentLimitPeakA);
        var emfV = means.ElectricalRadPerS * motor.FluxLinkageWb(point.MagnetC) * (1 - motor.SaturationAtCurrentLimit * share * share);

        // In the reported frame resistance acts on the reported currents whatever the offset; only flux and inductance turn with it.
        var reactiveD = -means.ElectricalRadPerS * motor.InductanceQH * iqA;
        var reactiveQ = means.ElectricalRadPerS * motor.InductanceDH * idA + emfV * x[1];
        var leftD = means.VdV - (resistanceOhm * x[0] * means.IdA + reactiveD * cos + reactiveQ * sin);
        var leftQ = means.VqV - (resistanceOhm * x[0] * means.IqA - reactiveD * sin + reactiveQ * cos);

        // Turning the frame turns the reactive voltages and, through the true currents, changes them; saturation's own turn is second order.
        var (turnD, turnQ) = (-means.ElectricalRadPerS * motor.InductanceQH * idA, -means.ElectricalRadPerS * motor.InductanceDH * iqA);
        Add([resistanceOhm * means.IdA, emfV * sin, -reactiveD * sin + reactiveQ * cos + turnD * cos + turnQ * sin], leftD);
        Add([resistanceOhm * means.IqA, emfV * cos, -reactiveD * cos - reactiveQ * sin - turnD * sin + turnQ * cos], leftQ);

        void Add(ReadOnlySpan<double> slope, double left)
        {
            for (var i = 0; i < 3; i++)
            {
                right[i] += slope[i] * left;
                for (var j = 0; j < 3; j++) normal[i, j] += slope[i] * slope[j];
            }
        }
    }
}
