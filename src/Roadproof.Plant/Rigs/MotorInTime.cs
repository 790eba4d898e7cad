using Roadproof.Engineering.Drive;

namespace Roadproof.Plant.Rigs;

/// <summary>The motor and the controller's current loop, integrated in time in the true rotor frame.</summary>
/// <remarks>
/// Ld·did/dt = vd − R·id + ωe·Lq·iq, Lq·diq/dt = vq − R·iq − ωe·(Ld·id + ψ); torque 1.5·p·iq·(ψ + (Ld − Lq)·id). Saturation lowers ψ by k·(iq/limit)², in the voltage as well as in
/// the torque: otherwise power would vanish. The controller (PI with decoupling at 400 Hz) sees the currents times its gain error in a frame turned by its angle error, and its voltage
/// ends at the modulator's limit. Midpoint rule; the voltage stands still over a step.
/// </remarks>
sealed class MotorInTime
{
    const double LoopRadPerS = 2 * Math.PI * 400;

    readonly double _stepS, _ldH, _lqH, _polePairs, _nominalFluxWb, _saturationPerA2, _currentGain, _cosine, _sine, _kpD, _kpQ, _ki;
    double _idA, _iqA, _sumD, _sumQ;

    public MotorInTime(DriveUnit unit, Deviation deviation, double stepS)
    {
        var motor = unit.Motor;
        _stepS = stepS;
        (_ldH, _lqH, _polePairs) = (motor.InductanceDH, motor.InductanceQH, motor.PolePairs);
        _nominalFluxWb = motor.FluxLinkage20Wb;
        _saturationPerA2 = motor.SaturationAtCurrentLimit / (motor.PhaseCurrentLimitPeakA * motor.PhaseCurrentLimitPeakA);
        _currentGain = deviation.CurrentGainFactor;
        (_sine, _cosine) = Math.SinCos(deviation.RotorOffsetRad);
        (_kpD, _kpQ) = (LoopRadPerS * _ldH, LoopRadPerS * _lqH);
        _ki = LoopRadPerS * motor.PhaseResistance20Ohm * stepS;
    }

    /// <summary>Means over the last <see cref="Run"/>.</summary>
    public double TorqueNm { get; private set; }
    public double TerminalW { get; private set; }
    public double CurrentSquaredA2 { get; private set; }
    public double CurrentA { get; private set; }
    public double VoltageV { get; private set; }

    /// <summary>Runs as many steps as the spans are long and leaves each step's mid currents, its voltages and torque there.</summary>
    /// <param name="iqFromA">The q current asked for at the start, in the controller's frame and reading; it moves evenly to <paramref name="iqToA"/>.</param>
    public void Run(
        double iqFromA, double iqToA, double idA, double rotorFromRadPerS, double rotorToRadPerS, double resistanceOhm, double fluxWb, double usableV,
        Span<double> idsA, Span<double> iqsA, Span<double> vdsV, Span<double> vqsV, Span<double> torquesNm)
    {
        var steps = idsA.Length;
        var (id, iq, sumD, sumQ) = (_idA, _iqA, _sumD, _sumQ);
        var (c, s, gain) = (_cosine, _sine, _currentGain);
        var (perLd, perLq, halfS) = (_stepS / _ldH, _stepS / _lqH, 0.5);
        var torqueFactor = 1.5 * _polePairs;
        var saliencyH = _ldH - _lqH;
        var usable2 = usableV * usableV;
        double torqueSum = 0, powerSum = 0, squareSum = 0;

        for (var step = 0; step < steps; step++)
        {
            var share = (step + 0.5) / steps;
            var we = _polePairs * (rotorFromRadPerS + share * (rotorToRadPerS - rotorFromRadPerS));

            var readD = gain * (c * id + s * iq);
            var readQ = gain * (c * iq - s * id);
            var errorD = idA - readD;
            var errorQ = iqFromA + share * (iqToA - iqFromA) - readQ;
            var ud = _kpD * errorD + sumD - we * _lqH * readQ;
            var uq = _kpQ * errorQ + sumQ + we * (_ldH * readD + _nominalFluxWb);
            var u2 = ud * ud + uq * uq;
            if (u2 > usable2)
            {
                var scale = usableV / Math.Sqrt(u2);
                ud *= scale;
                uq *= scale;
            }
            else
            {
                sumD += _ki * errorD;
                sumQ += _ki * errorQ;
            }

            var vd = c * ud - s * uq;
            var vq = c * uq + s * ud;

            var flux = fluxWb * (1 - _saturationPerA2 * iq * iq);
            var midD = id + halfS * perLd * (vd - resistanceOhm * id + we * _lqH * iq);
            var midQ = iq + halfS * perLq * (vq - resistanceOhm * iq - we * (_ldH * id + flux));
            flux = fluxWb * (1 - _saturationPerA2 * midQ * midQ);
            id += perLd * (vd - resistanceOhm * midD + we * _lqH * midQ);
            iq += perLq * (vq - resistanceOhm * midQ - we * (_ldH * midD + flux));

            var torqueNm = torqueFactor * midQ * (flux + saliencyH * midD);
            idsA[step] = midD;
            iqsA[step] = midQ;
            vdsV[step] = vd;
            vqsV[step] = vq;
            torquesNm[step] = torqueNm;
            torqueSum += torqueNm;
            powerSum += vd * midD + vq * midQ;
            squareSum += midD * midD + midQ * midQ;
        }

        (_idA, _iqA, _sumD, _sumQ) = (id, iq, sumD, sumQ);
        TorqueNm = torqueSum / steps;
        TerminalW = 1.5 * powerSum / steps;
        CurrentSquaredA2 = squareSum / steps;
        CurrentA = Math.Sqrt(CurrentSquaredA2);
        VoltageV = Math.Sqrt(vdsV[steps - 1] * vdsV[steps - 1] + vqsV[steps - 1] * vqsV[steps - 1]);
    }
}
