using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Formats;
using Roadproof.Engineering.LoadTest;
using Roadproof.Plant.Rigs;

namespace Roadproof.Plant.Tests.Rigs;

/// <summary>The readings, which know nothing of the simulation, find in a noisy run what truly happened. With the rig errors drawn; limits ±5 % are common practice, no source.</summary>
public sealed class ReadingsOfRunTests
{
    static readonly RigErrors Rig = RigErrors.Draw(Fixtures.Plan.Gauges, 7);
    static readonly GeneratedRun Run = RunGenerator.Run(Fixtures.Plan, Deviation.None, Rig, new() { UnitSeed = 5, AmbientC = 22, UnitStartC = 24 });
    static readonly LoadTestReadings Readings = LoadTestReadings.From(new Capture(CaptureHeader.Unknown, [Run.Slow, Run.Fast, Run.Vibration]), Fixtures.Plan);

    [Fact]
    public void Every_load_point_is_found_without_a_warning()
    {
        Assert.Equal(Fixtures.Plan.Cycle.Points.Select(p => p.Id), Readings.Points.Select(p => p.Point.Id));
        Assert.Empty(Readings.Warnings);
    }

    [Theory]
    [InlineData("10-90"), InlineData("31.8-75"), InlineData("50-60"), InlineData("85-60"), InlineData("85-30"), InlineData("45-100")]
    public void Torque_power_and_current_are_the_true_ones_within_the_rigs_errors(string point)
    {
        var (read, truth) = (Readings.At(point)!, Run.Point(point));
        // Gain errors of 0.15 % and 0.2 %, zeros, the wheel's and the crank's turns that a window cuts: 0.5 % and a tenth of a newton metre cover them.
        Assert.Equal(truth.DriveTorqueNm, read.DriveTorqueNm.Value, 0.005 * truth.DriveTorqueNm + 0.1);
        Assert.Equal(truth.BusPowerW, read.BusPowerW.Value, 0.004 * truth.BusPowerW + 0.5);
        Assert.Equal(truth.IqA, read.Phase!.CurrentPeakA.Value, 0.006 * truth.IqA + 0.05);
        Assert.Equal(truth.VqV, read.Phase.VqV.Value, 0.004 * truth.VqV);
        Assert.Equal(truth.VdV, read.Phase.VdV.Value, 0.02);
    }

    [Fact]
    public void Both_current_limits_are_read_although_they_do_not_hold_at_the_same_time()
    {
        Assert.Equal(35, Readings.Functions.PhaseCurrentLimitA.Value, 0.3);
        Assert.Equal(17.5, Readings.Functions.BusCurrentLimitA.Value, 0.1);
    }

    [Fact]
    public void Function_tests_read_what_the_unit_was_drawn_with()
    {
        var (f, unit) = (Readings.Functions, Run.Truth.Unit);
        // The torque falls evenly over 0.05 s; the crank takes 0.03 s to stand still, and that is where its clock starts.
        Assert.Equal(unit.StopDelayS + 0.05, f.StopResponseS.Value, 0.012);
        Assert.Equal(unit.BrakeDelayS + 0.05, f.BrakeResponseS.Value, 0.006);
        Assert.Equal(unit.WalkReleaseDelayS + 0.05, f.WalkReleaseS.Value, 0.006);
        Assert.Equal(unit.CutOffMps * 3.6, f.CutOffSpeedKmPerH.Value, 0.1);
        Assert.Equal(unit.WalkMps * 3.6, f.WalkSpeedKmPerH.Value, 0.05);
        Assert.Equal(1000 * unit.QuiescentA, f.QuiescentCurrentMilliA.Value, 12.0);
        // Zero as drawn (0) and 0.02 N·m for each kelvin that the shell is above 20 °C.
        Assert.Equal(0.02 * (Run.Point("rest").HousingC - 20), f.TorqueSensorZeroNm.Value, 0.01);
    }
}
