using Roadproof.Engineering.Formats;
using Roadproof.Engineering.LoadTest;

namespace Roadproof.Plant.Rigs;

/// <summary>The 200 Hz table: each row is the mean over its 5 ms, stamped at their middle.</summary>
sealed class SlowTable
{
    readonly double[] _timeS;
    readonly Instrument _busV, _busA, _motorSpeed, _outputTorque, _outputSpeed, _wheelSpeed, _winding, _controller, _shell, _ambient, _reportedCurrent, _brake, _walk;

    // What a unit does not have, nobody reads.
    readonly Instrument? _crankTorque, _crankSpeed, _reportedTorque;
    int _rows;

    public SlowTable(int rows, LoadTestPlan plan, RigErrors rig, RigErrors unit, RunConditions conditions)
    {
        Instrument Of(string channel, bool told = false) => new(channel, "slow", rows, plan, rig, unit, conditions, told);
        _timeS = new double[rows];
        _busV = Of("bus_voltage_v");
        _busA = Of("bus_current_a");
        _motorSpeed = Of("motor_speed_rad_s");
        if (plan.Unit.CrankSide is not null) (_crankTorque, _crankSpeed) = (Of("crank_torque_nm"), Of("crank_speed_rad_s"));
        _outputTorque = Of("output_torque_nm");
        _outputSpeed = Of("output_speed_rad_s");
        _wheelSpeed = Of("wheel_speed_rad_s");
        _winding = Of("winding_c");
        _controller = Of("controller_c");
        _shell = Of("shell_c");
        _ambient = Of("ambient_c");
        _reportedCurrent = Of("reported_phase_current_a");
        if (plan.Unit.TorqueSensor is not null) _reportedTorque = Of("reported_torque_nm");
        _brake = Of("brake", told: true);
        _walk = Of("walk_assist", told: true);
    }

    public void Add(
        double timeS, double busV, double busA, double motorRadPerS, double crankNm, double outputNm, in Demand demand,
        double windingC, double controllerC, double shellC, double ambientC, double reportedA, double reportedNm)
    {
        _timeS[_rows++] = timeS;
        _busV.Read(busV);
        _busA.Read(busA);
        _motorSpeed.Read(motorRadPerS);
        _crankTorque?.Read(crankNm);
        _crankSpeed?.Read(demand.CrankRadPerS);
        _outputTorque.Read(outputNm);
        _outputSpeed.Read(demand.OutputRadPerS);
        _wheelSpeed.Read(demand.WheelRadPerS);
        _winding.Read(windingC);
        _controller.Read(controllerC);
        _shell.Read(shellC);
        _ambient.Read(ambientC);
        _reportedCurrent.Read(reportedA);
        _reportedTorque?.Read(reportedNm);
        _brake.Read(demand.Brake ? 1 : 0);
        _walk.Read(demand.WalkAssist ? 1 : 0);
    }

    public CaptureTable Table() => new("slow", _timeS, new Instrument?[]
    {
        _busV, _busA, _motorSpeed, _crankTorque, _crankSpeed, _outputTorque, _outputSpeed, _wheelSpeed,
        _winding, _controller, _shell, _ambient, _reportedCurrent, _reportedTorque, _brake, _walk,
    }.OfType<Instrument>().ToDictionary(i => i.Channel, i => i.Readings, StringComparer.Ordinal));
}
