using MathNet.Numerics.LinearAlgebra;
using Roadproof.Engineering.Drive;

namespace Roadproof.Engineering.LoadTest;

/// <summary>One steady point of the electrical machine in the frame of the reported rotor angle, with the standard uncertainties of its currents and voltages.</summary>
public sealed record SteadyElectricalPoint(
    double IdA, double IqA, double VdV, double VqV, double ElectricalSpeedRadPerS, double CurrentUncertaintyA, double VoltageUncertaintyV);

/// <summary>The unit's own winding resistance, flux linkage and rotor offset, from the voltages and currents of its steady points.</summary>
/// <param name="Resistance20Ohm">Phase resistance at 20 °C.</param>
/// <param name="Flux20Wb">Peak flux linkage with the magnets at 20 °C.</param>
/// <param name="RotorOffsetRad">Reported minus true electrical angle.</param>
/// <param name="Covariance">Of the three in this order, shape [3, 3]; from the points' stated uncertainties alone.</param>
/// <param name="ResidualRmsV">Root mean square of what the fit leaves of the voltages.</param>
/// <remarks>
/// In the true frame v_d = R·i_d − ω·L_q·i_q and v_q = R·i_q + ω·(L_d·i_d + ψ'), ψ' = ψ·(1 − k·(i_q/limit)²) with the drawing's saturation k. A pair seen from an angle that is δ too large is turned back by δ, so the fit turns the
/// currents forward, computes the voltages, turns them back and compares. Weighted Gauss-Newton; the currents' uncertainty counts through the voltages it makes.
/// Inductances are those of the drawing: an error of 1 % of L_q moves the offset by at most about 0.3° electrical (85 N·m alone; <c>MachineIdentificationTests</c>). Needs at least two points of different current;
/// resistance and flux part company through the speeds and currents being different.
/// Source: the machine equations as in any text on permanent-magnet machines; least squares with covariance (JᵀWJ)⁻¹.
/// </remarks>
public sealed record MachineIdentification(double Resistance20Ohm, double Flux20Wb, double RotorOffsetRad, double[,] Covariance, double ResidualRmsV)
{
    const int MostSteps = 50;

    /// <param name="windingC">Winding temperature at each point.</param>
    /// <param name="magnetC">Magnet temperature at each point.</param>
    /// <exception cref="ArgumentException">Fewer than two points, or points so alike that the three cannot be told apart.</exception>
    public static MachineIdentification Fit(IReadOnlyList<SteadyElectricalPoint> points, Motor motor, IReadOnlyList<double> windingC, IReadOnlyList<double> magnetC)
    {
        if (points.Count < 2) throw new ArgumentException("Resistance, flux and offset need at least two steady points.", nameof(points));

        double[] x = [motor.PhaseResistance20Ohm, motor.FluxLinkage20Wb, 0];
        var residuals = Vector<double>.Build.Dense(2 * points.Count);
        var jacobian = Matrix<double>.Build.Dense(2 * points.Count, 3);
        for (var step = 0; step < MostSteps; step++)
        {
            Linearise(points, motor, windingC, magnetC, x, residuals, jacobian);
            var qr = jacobian.QR();
            if (Singular(qr.R)) throw new ArgumentException("The steady points are too alike to tell resistance, flux and offset apart.", nameof(points));
            var move = qr.Solve(residuals);
            for (var k = 0; k < 3; k++) x[k] += move[k];
            if (Math.Abs(move[0]) <= 1e-13 * Math.Abs(x[0]) && Math.Abs(move[1]) <= 1e-13 * Math.Abs(x[1]) && Math.Abs(move[2]) <= 1e-14) break;
        }

        Linearise(points, motor, windingC, magnetC, x, residuals, jacobian);
        var covariance = (jacobian.Transpose() * jacobian).Inverse().ToArray();
        return new(x[0], x[1], x[2], covariance, ResidualRms(points, motor, windingC, magnetC, x));
    }

    /// <summary>Residuals over their uncertainties, and how the computed voltages over theirs move with R20, ψ20 and δ.</summary>
    static void Linearise(
        IReadOnlyList<SteadyElectricalPoint> points, Motor motor, IReadOnlyList<double> windingC, IReadOnlyList<double> magnetC, double[] x, Vector<double> residuals, Matrix<double> jacobian)
    {
        var (sin, cos) = Math.SinCos(x[2]);
        for (var i = 0; i < points.Count; i++)
        {
            var p = points[i];
            var w = p.ElectricalSpeedRadPerS;
            var (heat, warm) = (1 + motor.ResistancePerK * (windingC[i] - 20), 1 + motor.FluxPerK * (magnetC[i] - 20));
            var (ohm, wb) = (x[0] * heat, x[1] * warm);
            var (vd, vq) = Seen(p, ohm, wb, sin, cos, motor);
            var (unsaturated, unsaturatedSlope) = Unsaturated(p.IdA * sin + p.IqA * cos, motor);

            // Resistance acts alike in both frames; the flux's voltage is seen turned.
            double[] dR = [p.IdA * heat, p.IqA * heat];
            double[] dFlux = [w * warm * unsaturated * sin, w * warm * unsaturated * cos];
            var (id, iq) = (p.IdA * cos - p.IqA * sin, p.IdA * sin + p.IqA * cos);
            var (emfD, emfQ) = (-w * motor.InductanceQH * iq, w * (motor.InductanceDH * id + wb * unsaturated));
            var (slopeD, slopeQ) = (-w * motor.InductanceQH * id, w * (wb * unsaturatedSlope * id - motor.InductanceDH * iq)); // of the emf when the currents turn
            double[] dOffset = [-emfD * sin + emfQ * cos + slopeD * cos + slopeQ * sin, -emfQ * sin - emfD * cos + slopeQ * cos - slopeD * sin];

            // In the true frame ∂v/∂i = [R, −ω·Lq; ω·Ld, R]: what the currents' uncertainty makes of the two voltages hangs together.
            var (reactD, reactQ) = (w * motor.InductanceDH, w * motor.InductanceQH);
            var (uv2, ui2) = (Square(p.VoltageUncertaintyV), Square(p.CurrentUncertaintyA));
            var whitening = new Whitening(uv2 + ui2 * (ohm * ohm + reactQ * reactQ), ui2 * ohm * (reactD - reactQ), uv2 + ui2 * (ohm * ohm + reactD * reactD));
            (residuals[2 * i], residuals[2 * i + 1]) = whitening.Of(Forward(p.VdV - vd, p.VqV - vq));
            (jacobian[2 * i, 0], jacobian[2 * i + 1, 0]) = whitening.Of(Forward(dR[0], dR[1]));
            (jacobian[2 * i, 1], jacobian[2 * i + 1, 1]) = whitening.Of(Forward(dFlux[0], dFlux[1]));
            (jacobian[2 * i, 2], jacobian[2 * i + 1, 2]) = whitening.Of(Forward(dOffset[0], dOffset[1]));
        }

        (double D, double Q) Forward(double d, double q) => (d * cos - q * sin, d * sin + q * cos);
    }

    /// <summary>Voltages in the reported frame: currents turned forward by the offset, the machine's equations, voltages turned back.</summary>
    static (double VdV, double VqV) Seen(SteadyElectricalPoint p, double ohm, double wb, double sin, double cos, Motor motor)
    {
        var (id, iq) = (p.IdA * cos - p.IqA * sin, p.IdA * sin + p.IqA * cos);
        var vd = ohm * id - p.ElectricalSpeedRadPerS * motor.InductanceQH * iq;
        var vq = ohm * iq + p.ElectricalSpeedRadPerS * (motor.InductanceDH * id + wb * Unsaturated(iq, motor).Share);
        return (vd * cos + vq * sin, vq * cos - vd * sin);
    }

    /// <summary>Share of the flux that saturation leaves at a q current, and its slope.</summary>
    static (double Share, double PerA) Unsaturated(double iqA, Motor motor)
    {
        var bend = motor.SaturationAtCurrentLimit / Square(motor.PhaseCurrentLimitPeakA);
        return (1 - bend * iqA * iqA, -2 * bend * iqA);
    }

    static double ResidualRms(IReadOnlyList<SteadyElectricalPoint> points, Motor motor, IReadOnlyList<double> windingC, IReadOnlyList<double> magnetC, double[] x)
    {
        var (sin, cos) = Math.SinCos(x[2]);
        var sum = 0.0;
        for (var i = 0; i < points.Count; i++)
        {
            var (vd, vq) = Seen(points[i], x[0] * (1 + motor.ResistancePerK * (windingC[i] - 20)), x[1] * (1 + motor.FluxPerK * (magnetC[i] - 20)), sin, cos, motor);
            sum += Square(points[i].VdV - vd) + Square(points[i].VqV - vq);
        }

        return Math.Sqrt(sum / (2 * points.Count));
    }

    /// <summary>Turns a pair with the given variances and covariance into two independent ones of variance 1; pairs without uncertainty stay as they are.</summary>
    readonly struct Whitening
    {
        readonly double first, across, second;

        public Whitening(double varianceD, double covariance, double varianceQ)
        {
            // The Cholesky factor of the 2 × 2 covariance.
            first = varianceD > 0 ? Math.Sqrt(varianceD) : 1;
            across = covariance / first;
            second = varianceQ > 0 ? Math.Sqrt(varianceQ - across * across) : 1;
        }

        public (double, double) Of((double D, double Q) pair)
        {
            var d = pair.D / first;
            return (d, (pair.Q - across * d) / second);
        }
    }

    /// <summary>After scaling every column to length one: a diagonal entry near nothing means one column is made of the others.</summary>
    static bool Singular(Matrix<double> r) => Enumerable.Range(0, 3).Any(k => Math.Abs(r[k, k]) <= 1e-9 * r.Column(k).L2Norm());

    static double Square(double x) => x * x;
}
