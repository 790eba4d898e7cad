using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Statistics;

namespace Roadproof.Plant.Rigs;

/// <summary>Acceleration of the shell: shaft, mesh and electrical orders with their sidebands, broadband noise of bearings, and the ring of a damaged tooth. Amplitudes are invented.</summary>
sealed class ShellVibration
{
    const double RingDecayS = 0.8e-3, RingHz = 6200, QuotedAtNm = 50, QuotedAtRpm = 60;
    const double BroadbandHz = 4000, BroadbandDamping = 0.25;

    /// <summary>Order per rotor turn, phase, amplitude at 50 N·m and 60 rpm at the output; it grows with the speed, and its load share with the torque.</summary>
    readonly record struct Order(double PerTurn, double Turns, double QuotedMPerS2, double LoadShare);

    readonly Order[] _orders;
    readonly double _strikesPerTurn, _quotedRadPerS, _blowMPerS2, _broadband, _stepS, _a1, _a2, _b;
    readonly double _ringReal, _ringImaginary;
    readonly SeededNoise _noise, _strikes;
    double _y1, _y2, _blowReal, _blowImaginary, _meetings = double.NaN;

    public ShellVibration(DriveUnit unit, Deviation deviation, UnitCharacter character, RunConditions conditions, double stepS)
    {
        _stepS = stepS;
        _noise = conditions.NoiseOfRun("bearing noise");
        _strikes = conditions.NoiseOfRun("tooth strikes");
        _orders = OrdersOf(unit, character, conditions);
        // Several planets strike one bad tooth of the ring in turn, evenly spaced.
        _strikesPerTurn = unit.Gears[0].WheelTurnsPerTurn * unit.Gears[0].MeetingsPerWheelTurn;
        _quotedRadPerS = QuotedAtRpm * ReferenceConditions.RadPerSPerRpm * unit.Ratio;
        _blowMPerS2 = deviation.ToothBlowMPerS2;
        _broadband = 0.45 * character.BroadbandFactor;

        // Two-pole resonator, scaled to unit variance: broadband noise that leans to the ringing of bearing rings.
        var pole = Math.Exp(-BroadbandDamping * Math.Tau * BroadbandHz * stepS);
        _a1 = 2 * pole * Math.Cos(Math.Tau * BroadbandHz * stepS);
        _a2 = -pole * pole;
        _b = Math.Sqrt((1 + _a2) * ((1 - _a2) * (1 - _a2) - _a1 * _a1) / (1 - _a2));

        var decay = Math.Exp(-stepS / RingDecayS);
        (_ringReal, _ringImaginary) = (decay * Math.Cos(Math.Tau * RingHz * stepS), decay * Math.Sin(Math.Tau * RingHz * stepS));
    }

    /// <summary>A pause without samples: the wheel has turned on unseen.</summary>
    public void Skip() => (_meetings, _blowReal, _blowImaginary) = (double.NaN, 0, 0);

    /// <summary>The acceleration at each step's middle, m/s².</summary>
    /// <param name="rotorTurns">Rotor angle at the middle of the first step, and how far it turns in a step.</param>
    public void Fill(Span<double> accelerationMPerS2, double rotorTurns, double turnsPerStep, double rotorRadPerS, double driveTorqueNm)
    {
        var speed = rotorRadPerS / _quotedRadPerS;
        var load = driveTorqueNm / QuotedAtNm;
        Span<double> amplitude = stackalloc double[_orders.Length];
        for (var i = 0; i < _orders.Length; i++) amplitude[i] = _orders[i].QuotedMPerS2 * speed * (1 - _orders[i].LoadShare + _orders[i].LoadShare * load);
        var broadband = _broadband * Math.Sqrt(speed);

        for (var step = 0; step < accelerationMPerS2.Length; step++)
        {
            var turns = rotorTurns + step * turnsPerStep;
            var a = 0.0;
            for (var i = 0; i < amplitude.Length; i++) a += amplitude[i] * Sine.OfTurns(_orders[i].PerTurn * turns + _orders[i].Turns);

            var y = _a1 * _y1 + _a2 * _y2 + _b * _noise.Normal();
            (_y2, _y1) = (_y1, y);
            accelerationMPerS2[step] = a + broadband * y + (_blowMPerS2 > 0 ? Blow(turns, turnsPerStep, load) : 0);
        }
    }

    /// <summary>Size · exp(−t/0.8 ms) · sin(2π·6200·t), anew each time the damaged tooth of the stage-1 wheel meets the pinion or a planet; t runs from that moment, not from a sample.</summary>
    double Blow(double rotorTurns, double turnsPerStep, double load)
    {
        var meetings = rotorTurns * _strikesPerTurn;
        (_blowReal, _blowImaginary) = (_blowReal * _ringReal - _blowImaginary * _ringImaginary, _blowReal * _ringImaginary + _blowImaginary * _ringReal);
        if (Math.Floor(meetings) > Math.Floor(_meetings))
        {
            var sinceS = (meetings - Math.Floor(meetings)) / (turnsPerStep * _strikesPerTurn) * _stepS;
            var size = _blowMPerS2 * load * (1 + 0.05 * _strikes.Normal()) * Math.Exp(-sinceS / RingDecayS);
            _blowReal += size * Math.Cos(Math.Tau * RingHz * sinceS);
            _blowImaginary += size * Math.Sin(Math.Tau * RingHz * sinceS);
        }

        _meetings = meetings;
        return _blowImaginary;
    }

    static Order[] OrdersOf(DriveUnit unit, UnitCharacter character, RunConditions conditions)
    {
        var phases = new SeededNoise(conditions.UnitSeed, "vibration phases");
        // The unit is clamped anew for each run: what reaches the sensor changes by a few per cent.
        var run = conditions.NoiseOfRun("clamping");
        Order Of(double perTurn, double quotedMPerS2, double loadShare) => new(perTurn, phases.Share(), quotedMPerS2 * Math.Exp(0.03 * run.NormalWithinThree()), loadShare);

        var electrical = unit.Motor.PolePairs;
        var mesh1 = unit.Gears[0].MeshesPerTurn;
        var wheel = unit.Gears[0].WheelTurnsPerTurn;
        var orders = new List<Order>
        {
            Of(1, 0.25 * character.RotorFactor, 0),
            Of(2, 0.08 * character.RotorFactor, 0),
            Of(mesh1, 1.2 * character.Mesh1Factor, 0.8),
            Of(mesh1 - wheel, 0.18 * character.WheelSidebandFactor, 0.8),
            Of(mesh1 + wheel, 0.18 * character.WheelSidebandFactor, 0.8),
            Of(mesh1 - 1, 0.10 * character.PinionSidebandFactor, 0.8),
            Of(mesh1 + 1, 0.10 * character.PinionSidebandFactor, 0.8),
            Of(2 * mesh1, 0.35 * character.Mesh1Factor, 0.8),
            Of(6 * electrical, 0.40 * character.ElectricalFactor, 0.9),
            Of(Cogging(unit.Motor), 0.15 * character.ElectricalFactor, 0),
        };
        if (unit.Gears.Count > 1) orders.Insert(3, Of(unit.Gears[1].MeshesPerTurn / unit.Gears[0].Ratio, 0.5 * character.Mesh2Factor, 0.8));
        return [.. orders];
    }

    public static int Cogging(Motor motor)
    {
        var (a, b) = (motor.Slots, 2 * motor.PolePairs);
        while (b > 0) (a, b) = (b, a % b);
        return motor.Slots / a * 2 * motor.PolePairs;
    }
}
