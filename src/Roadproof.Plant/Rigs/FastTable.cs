using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Formats;
using Roadproof.Engineering.LoadTest;

namespace Roadproof.Plant.Rigs;

/// <summary>The 12,800 Hz table, inside the windows only.</summary>
sealed class FastTable
{
    // The controller's angle comes from a 14-bit encoder.
    const double AngleStepTurns = 1.0 / (1 << 14);
    static readonly double HalfRoot3 = Math.Sqrt(3) / 2;

    readonly double[] _timeS;
    readonly int _polePairs;
    readonly double _offsetTurns;
    readonly TorqueRipple _ripple;
    readonly Instrument _iu, _iv, _iw, _vu, _vv, _vw, _busA, _angle, _outputTorque;
    int _rows;

    public FastTable(int rows, LoadTestPlan plan, Deviation deviation, TorqueRipple ripple, RigErrors rig, RigErrors unit, RunConditions conditions)
    {
        Instrument Of(string channel, bool told = false) => new(channel, "fast", rows, plan, rig, unit, conditions, told);
        _timeS = new double[rows];
        _polePairs = plan.Unit.Motor.PolePairs;
        _offsetTurns = deviation.RotorOffsetRad / _polePairs / Math.Tau;
        _ripple = ripple;
        (_iu, _iv, _iw) = (Of("phase_current_u_a"), Of("phase_current_v_a"), Of("phase_current_w_a"));
        (_vu, _vv, _vw) = (Of("phase_voltage_u_v"), Of("phase_voltage_v_v"), Of("phase_voltage_w_v"));
        _busA = Of("bus_current_a");
        _angle = Of("motor_angle_rad", told: true);
        _outputTorque = Of("output_torque_nm");
    }

    public void Add(double timeS, double rotorTurns, double idA, double iqA, double vdV, double vqV, double busA, double driveNm, double crankNm)
    {
        _timeS[_rows++] = timeS;
        var electricalTurns = rotorTurns * _polePairs;
        var sine = Sine.OfTurns(electricalTurns);
        var cosine = Sine.CosineOfTurns(electricalTurns);
        Phases(_iu, _iv, _iw, idA, iqA, cosine, sine);
        Phases(_vu, _vv, _vw, vdV, vqV, cosine, sine);
        _busA.Read(busA);
        var told = rotorTurns + _offsetTurns;
        told -= Math.Floor(told);
        _angle.Read(Math.Round(told / AngleStepTurns) % (1 << 14) * AngleStepTurns * Math.Tau);
        _outputTorque.Read(driveNm + crankNm + _ripple.AtNm(rotorTurns, driveNm));
    }

    /// <summary>Phase u = d·cos θe − q·sin θe; v lags by a third of a turn, w leads by one.</summary>
    static void Phases(Instrument u, Instrument v, Instrument w, double d, double q, double cosine, double sine)
    {
        var first = d * cosine - q * sine;
        var beta = d * sine + q * cosine;
        u.Read(first);
        v.Read(-0.5 * first + HalfRoot3 * beta);
        w.Read(-0.5 * first - HalfRoot3 * beta);
    }

    public CaptureTable Table() => new("fast", _timeS,
        new[] { _iu, _iv, _iw, _vu, _vv, _vw, _busA, _angle, _outputTorque }.ToDictionary(i => i.Channel, i => i.Readings, StringComparer.Ordinal));
}
