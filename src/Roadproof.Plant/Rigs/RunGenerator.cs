using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Formats;
using Roadproof.Engineering.LoadTest;

namespace Roadproof.Plant.Rigs;

/// <summary>A load-test run as a rig would record it, integrated in time from the unit's physics.</summary>
/// <remarks>
/// Another way than the one that judges: nothing here uses the operating-point solver or the readings. Every sample is a pure function of plan, deviation, rig errors and conditions.
/// Three clocks: current loop and vibration 25,600 Hz, controller and rotor 1,600 Hz, heat and slow channels 200 Hz. Equations, invented sizes and limits of use: <c>docs/methods/simulated-rig.md</c>.
/// </remarks>
public static class RunGenerator
{
    public const double CurrentLoopHz = 25_600, ControllerHz = 1_600, SlowHz = 200;

    /// <summary>Resistance of the rig's line supply and its cable, Ω.</summary>
    public const double SupplyOhm = 0.01;

    /// <summary>The crank torque sensor's zero stands as set at this shell temperature, °C.</summary>
    const double ZeroSetC = 20;

    /// <exception cref="ArgumentException">A channel has no gauge, or a function test does not fit into its hold.</exception>
    public static GeneratedRun Run(LoadTestPlan plan, Deviation unit, RigErrors rig, RunConditions conditions) =>
        new RunInTime(plan, unit, rig, conditions).Run();

    sealed class RunInTime
    {
        const int StepsPerUpdate = (int)(CurrentLoopHz / ControllerHz);
        const int UpdatesPerRow = (int)(ControllerHz / SlowHz);
        const double StepS = 1 / CurrentLoopHz, UpdateS = 1 / ControllerHz, RowS = 1 / SlowHz;

        readonly LoadTestPlan _plan;
        readonly Deviation _deviation;
        readonly RunConditions _conditions;
        readonly UnitCharacter _character;
        readonly Programme _programme;
        readonly DriveController _controller;
        readonly MotorInTime _motor;
        readonly Driveline _driveline;
        readonly HeatFlow _heat;
        readonly TorqueRipple _ripple;
        readonly ShellVibration _shell;
        readonly Windows _windows;
        readonly SlowTable _slow;
        readonly FastTable _fast;
        readonly Instrument _vibration;
        readonly double[] _vibrationTimeS;
        readonly PointMeans _points;
        readonly SpeedHold _speedHold;
        readonly int _rows;

        readonly double[] _idA = new double[StepsPerUpdate], _iqA = new double[StepsPerUpdate], _vdV = new double[StepsPerUpdate], _vqV = new double[StepsPerUpdate],
            _torqueNm = new double[StepsPerUpdate], _accelerationMPerS2 = new double[StepsPerUpdate];

        double _busV, _busA, _iqAskedA, _outputRadPerS, _crankTurns, _sensedWindingC;
        int _vibrationRows;

        public RunInTime(LoadTestPlan plan, Deviation deviation, RigErrors rig, RunConditions conditions)
        {
            (_plan, _deviation, _conditions) = (plan, deviation, conditions);
            _rows = (int)Math.Round(plan.Cycle.DurationS * SlowHz);
            _character = UnitCharacter.Draw(conditions.UnitSeed);
            _programme = new(plan, _character);
            _controller = new(plan.Unit, deviation, _character, plan.WheelRadiusM, UpdateS, conditions.StartsByItself);
            _motor = new(plan.Unit, deviation, StepS);
            _driveline = new(plan.Unit, deviation, _character.SettlingFactor * plan.Unit.GearDrag.SettledAfter(conditions.IdleH));
            _heat = new(plan.Unit.Thermal, conditions.UnitStartC, conditions.AmbientC);
            _ripple = new(plan.Unit, _character, conditions.UnitSeed);
            _shell = new(plan.Unit, deviation, _character, conditions, StepS);
            _windows = new(plan.Cycle);
            _points = new(plan.Cycle);
            _speedHold = new(conditions);

            var inUnit = RigErrors.OfUnit(plan.Gauges, conditions.UnitSeed);
            _slow = new(_rows, plan, rig, inUnit, conditions);
            _fast = new(_windows.Updates * StepsPerUpdate / 2, plan, deviation, _ripple, rig, inUnit, conditions);
            _vibration = new("vibration_m_s2", "vibration", _windows.Updates * StepsPerUpdate, plan, rig, inUnit, conditions);
            _vibrationTimeS = new double[_windows.Updates * StepsPerUpdate];

            _busV = plan.Unit.Supply.NominalV;
            _sensedWindingC = conditions.UnitStartC;
        }

        public GeneratedRun Run()
        {
            double busJ = 0, outputJ = 0;
            var total = default(Heat);
            for (var row = 0; row < _rows; row++)
            {
                var made = RunRow(row, ref busJ, ref outputJ);
                _heat.Step(RowS, made);
                _sensedWindingC += (_heat.WindingC - _sensedWindingC) * RowS / 0.5;
                total = new(total.Copper + made.Copper, total.Iron + made.Iron, total.Friction + made.Friction, total.Gears + made.Gears, total.Inverter + made.Inverter);
            }

            var rotatingJ = 0.5 * _plan.Unit.Motor.RotorInertiaKgM2 * _driveline.RotorRadPerS * _driveline.RotorRadPerS;
            var energy = new EnergyTruth(busJ, outputJ, total.Copper, total.Iron, total.Friction, total.Gears, total.Inverter, rotatingJ, _heat.StoredJ, _heat.ToAirJ);
            var vibration = new CaptureTable("vibration", _vibrationTimeS,
                new Dictionary<string, float[]>(StringComparer.Ordinal) { [_vibration.Channel] = _vibration.Readings });
            return new(_slow.Table(), _fast.Table(), vibration, new(_points.Means(), energy, _character));
        }

        /// <summary>Five milliseconds: the controller's updates, and the row that the slow instruments keep of them.</summary>
        Heat RunRow(int row, ref double busJ, ref double outputJ)
        {
            var resistanceOhm = Resistance(_heat.WindingC);
            var fluxShare = _deviation.FluxFactor * (1 + _plan.Unit.Motor.FluxPerK * (_heat.RotorC - 20));
            var made = default(Heat);
            double busV = 0, busA = 0, rotorRadPerS = 0, crankNm = 0, driveNm = 0, currentA = 0;
            var demand = default(Demand);
            var turnsBefore = _driveline.RotorTurns;

            for (var update = 0; update < UpdatesPerRow; update++)
            {
                var index = row * UpdatesPerRow + update;
                var step = RunUpdate(index, resistanceOhm, fluxShare);
                made = new(made.Copper + step.Heat.Copper, made.Iron + step.Heat.Iron, made.Friction + step.Heat.Friction, made.Gears + step.Heat.Gears, made.Inverter + step.Heat.Inverter);
                busJ += _busV * _busA * UpdateS;
                outputJ += step.DriveNm * step.OutputRadPerS * UpdateS;
                busV += _busV / UpdatesPerRow;
                busA += _busA / UpdatesPerRow;
                rotorRadPerS += step.RotorRadPerS / UpdatesPerRow;
                crankNm += step.CrankNm / UpdatesPerRow;
                driveNm += step.DriveNm / UpdatesPerRow;
                currentA += step.CurrentA / UpdatesPerRow;
                if (update == UpdatesPerRow / 2) demand = step.Demand with { OutputRadPerS = step.OutputRadPerS };
                _points.Add(index, step, _busV, _busA, _idA, _iqA, _vdV, _vqV, _heat);
            }

            var turns = _driveline.RotorTurns - turnsBefore;
            var outputNm = driveNm + crankNm + _ripple.MeanNm(turnsBefore + 0.5 * turns, turns, driveNm);
            _slow.Add((row + 0.5) * RowS, busV, busA, rotorRadPerS, crankNm, outputNm, demand, _sensedWindingC, _heat.ControllerC, _heat.HousingC, _conditions.AmbientC,
                currentA * _deviation.CurrentGainFactor, ReportedTorqueNm(crankNm));
            return made;
        }

        Update RunUpdate(int index, double resistanceOhm, double fluxShare)
        {
            var timeS = index * UpdateS;
            var demand = _programme.At(timeS);
            var hold = _speedHold.Factor(timeS + UpdateS);
            var outputToRadPerS = demand.OutputRadPerS * hold;
            var outputRadPerS = 0.5 * (_outputRadPerS + outputToRadPerS);
            demand = demand with { CrankRadPerS = demand.CrankRadPerS * hold, WheelRadPerS = _plan.Unit.SitsInWheel ? outputRadPerS : demand.WheelRadPerS };
            var usableV = _plan.Unit.Inverter.UsableVoltageShare * _busV / Math.Sqrt(3);
            var asked = _controller.Ask(demand, _driveline.RotorRadPerS, _busA, _motor.VoltageV, usableV, _sensedWindingC);

            var turnsFrom = _driveline.RotorTurns;
            var rotorFromRadPerS = _driveline.RotorRadPerS;
            var rotorToRadPerS = _driveline.NextRotorRadPerS(_motor.TorqueNm, _outputRadPerS, outputToRadPerS, UpdateS);
            _motor.Run(_iqAskedA, asked.IqA, asked.IdA, rotorFromRadPerS, rotorToRadPerS, resistanceOhm, fluxShare * _plan.Unit.Motor.FluxLinkage20Wb, usableV,
                _idA, _iqA, _vdV, _vqV, _torqueNm);
            _driveline.Turn(rotorToRadPerS, fluxShare, _heat.HousingC, UpdateS);

            var rotorRadPerS = 0.5 * (rotorFromRadPerS + rotorToRadPerS);
            var driveNm = _driveline.DriveTorqueNm(_motor.TorqueNm);
            _crankTurns += demand.CrankRadPerS * UpdateS / Math.Tau;
            var crankNm = demand.CrankTorqueNm * (1 + _plan.Cycle.CrankPulsationShare * Sine.CosineOfTurns(2 * _crankTurns));

            var inverterW = InverterW();
            var terminalW = asked.Awake ? _motor.TerminalW + inverterW : _plan.Unit.Supply.NominalV * _character.QuiescentA;
            TakeFromBus(terminalW);

            var heat = new Heat(
                1.5 * resistanceOhm * _motor.CurrentSquaredA2 * UpdateS,
                _driveline.IronNm * rotorRadPerS * UpdateS,
                _driveline.FrictionNm * rotorRadPerS * UpdateS,
                (_driveline.GearDragNm * rotorRadPerS + driveNm * (1 / (_plan.Unit.MeshEfficiency * _deviation.MeshFactor) - 1) * outputRadPerS) * UpdateS,
                (asked.Awake ? inverterW : terminalW) * UpdateS);

            if (_windows.Holds(index)) Record(timeS, turnsFrom, (_driveline.RotorTurns - turnsFrom) / StepsPerUpdate, rotorRadPerS, driveNm, crankNm, inverterW);
            else _shell.Skip();

            (_outputRadPerS, _iqAskedA) = (outputToRadPerS, asked.IqA);
            return new(demand, outputRadPerS, rotorRadPerS, driveNm, crankNm, _motor.CurrentA, heat);
        }

        void Record(double timeS, double turnsFrom, double turnsPerStep, double rotorRadPerS, double driveNm, double crankNm, double inverterW)
        {
            _shell.Fill(_accelerationMPerS2, turnsFrom + 0.5 * turnsPerStep, turnsPerStep, rotorRadPerS, driveNm);
            for (var step = 0; step < StepsPerUpdate; step++)
            {
                var atS = timeS + (step + 0.5) * StepS;
                _vibrationTimeS[_vibrationRows++] = atS;
                _vibration.Read(_accelerationMPerS2[step]);
                if (step % 2 == 1) continue;
                var busA = (1.5 * (_vdV[step] * _idA[step] + _vqV[step] * _iqA[step]) + inverterW) / _busV;
                _fast.Add(atS, turnsFrom + (step + 0.5) * turnsPerStep, _idA[step], _iqA[step], _vdV[step], _vqV[step], busA, _driveline.DriveTorqueNm(_torqueNm[step]), crankNm);
            }
        }

        double Resistance(double windingC) =>
            _plan.Unit.Motor.PhaseResistance20Ohm * _deviation.ResistanceFactor * (1 + _plan.Unit.Motor.ResistancePerK * (windingC - 20)) + _deviation.AddedResistanceOhm;

        double InverterW()
        {
            var inverter = _plan.Unit.Inverter;
            return inverter.StandingLossW + 1.5 * inverter.OnResistanceOhm * _motor.CurrentSquaredA2 + inverter.SwitchingLossWPerVA * _busV * _motor.CurrentA;
        }

        /// <summary>Voltage and current of a supply with a resistance that give this power.</summary>
        void TakeFromBus(double powerW)
        {
            var openV = _plan.Unit.Supply.NominalV;
            _busV = 0.5 * (openV + Math.Sqrt(openV * openV - 4 * SupplyOhm * powerW));
            _busA = powerW / _busV;
        }

        double ReportedTorqueNm(double crankNm)
        {
            if (_plan.Unit.TorqueSensor is not { } sensor) return 0;
            return crankNm + _deviation.TorqueSensorZeroNm + sensor.ZeroDriftNmPerK * (_heat.HousingC - ZeroSetC)
                + _character.TorqueSensorBendNm * Sine.OfTurns(crankNm / sensor.RangeNm);
        }
    }
}

/// <summary>What came of one update of the controller: means over 1/1600 s, heat in J.</summary>
readonly record struct Update(Demand Demand, double OutputRadPerS, double RotorRadPerS, double DriveNm, double CrankNm, double CurrentA, Heat Heat);

/// <summary>How well the rig holds the speed it was asked for: a set-point error for the run and a slow wander, about 0.05 %.</summary>
sealed class SpeedHold
{
    readonly double _offset, _turns1, _turns2;

    public SpeedHold(RunConditions conditions)
    {
        var noise = conditions.NoiseOfRun("speed hold");
        (_offset, _turns1, _turns2) = (2e-4 * noise.NormalWithinThree(), noise.Share(), noise.Share());
    }

    public double Factor(double timeS) => 1 + _offset + 3e-4 * Sine.OfTurns(0.43 * timeS + _turns1) + 1e-4 * Sine.OfTurns(3.1 * timeS + _turns2);
}

/// <summary>When the fast instruments record: counted in updates of the controller.</summary>
sealed class Windows
{
    readonly List<(int From, int To)> _windows = [];
    int _at;

    public Windows(LoadCycle cycle)
    {
        var startS = 0.0;
        foreach (var point in cycle.Points)
        {
            var from = (int)Math.Round((startS + point.WindowFromS) * RunGenerator.ControllerHz);
            var to = from + (int)Math.Round(point.WindowForS * RunGenerator.ControllerHz);
            if (to > from) _windows.Add((from, to));
            startS += point.HoldS;
        }
    }

    public int Updates => _windows.Sum(w => w.To - w.From);

    /// <summary>Asked in the order of time.</summary>
    public bool Holds(int update)
    {
        while (_at < _windows.Count && update >= _windows[_at].To) _at++;
        return _at < _windows.Count && update >= _windows[_at].From;
    }
}

/// <summary>Gathers the true means of the load points.</summary>
sealed class PointMeans
{
    readonly List<(LoadPoint Point, int From, int To)> _parts = [];
    readonly double[][] _sums;
    int _at;

    public PointMeans(LoadCycle cycle)
    {
        var startS = 0.0;
        foreach (var point in cycle.Points)
        {
            var toS = point.WindowForS > 0 ? point.WindowFromS + point.WindowForS : point.HoldS;
            _parts.Add((point, (int)Math.Round((startS + point.WindowFromS) * RunGenerator.ControllerHz), (int)Math.Round((startS + toS) * RunGenerator.ControllerHz)));
            startS += point.HoldS;
        }

        _sums = [.. _parts.Select(_ => new double[13])];
    }

    public void Add(int update, in Update step, double busV, double busA, double[] idA, double[] iqA, double[] vdV, double[] vqV, HeatFlow heat)
    {
        while (_at < _parts.Count && update >= _parts[_at].To) _at++;
        if (_at == _parts.Count || update < _parts[_at].From) return;
        var last = idA.Length - 1;
        ReadOnlySpan<double> values =
        [
            step.DriveNm, busV * busA, busV, step.RotorRadPerS, step.OutputRadPerS, idA[last], iqA[last], vdV[last], vqV[last],
            heat.WindingC, heat.RotorC, heat.ControllerC, heat.HousingC,
        ];
        for (var i = 0; i < values.Length; i++) _sums[_at][i] += values[i] / (_parts[_at].To - _parts[_at].From);
    }

    public IReadOnlyList<PointTruth> Means() =>
    [
        .. _parts.Zip(_sums, (part, m) => new PointTruth(part.Point.Id, m[0], m[1], m[2], m[3], m[4], m[5], m[6], m[7], m[8], m[9], m[10], m[11], m[12])),
    ];
}
