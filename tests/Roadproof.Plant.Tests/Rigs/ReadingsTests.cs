using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Formats;
using Roadproof.Engineering.LoadTest;
using Roadproof.Engineering.Signals;
using Roadproof.Plant.Rigs;

namespace Roadproof.Plant.Tests.Rigs;

/// <summary>What the readings find in a simulated run against what was put in: two ways that share no code. Noise is that of the gauges; gains and zeros are left out.</summary>
public sealed class ReadingsTests
{
    static readonly Deviation Unit = new() { RotorOffsetRad = 0.06, CurrentGainFactor = 1.01, FluxFactor = 0.98, ResistanceFactor = 1.03, TorqueSensorZeroNm = 0.4 };
    static readonly GeneratedRun Run = RunGenerator.Run(Fixtures.Plan, Unit, RigErrors.None, new() { UnitSeed = 21, AmbientC = 23, UnitStartC = 23 });
    static readonly LoadTestReadings Readings = Read(Run);

    [Fact]
    public void Every_load_point_is_found_and_true_within_its_uncertainty()
    {
        Assert.Empty(Readings.Warnings);
        foreach (var truth in Run.Truth.Points.Where(p => p.Point != "rest"))
        {
            var reading = Assert.IsType<PointReading>(Readings.At(truth.Point));
            True(truth.DriveTorqueNm, reading.DriveTorqueNm, 0.02);
            True(truth.BusPowerW, reading.BusPowerW, 0.001 * truth.BusPowerW + 0.05); // the window is cut to whole turns while the unit warms
            True(truth.OutputRadPerS, reading.OutputSpeedRadPerS, 0.003);
        }
    }

    [Fact]
    public void Phases_are_those_of_the_rotor_turned_by_the_offset()
    {
        foreach (var truth in Run.Truth.Points)
        {
            if (Readings.At(truth.Point)?.Phase is not { } phase) continue;
            var (sin, cos) = Math.SinCos(Unit.RotorOffsetRad);
            True(truth.IdA * cos + truth.IqA * sin, phase.IdA, 0.005);
            True(truth.IqA * cos - truth.IdA * sin, phase.IqA, 0.005);
            True(truth.VdV * cos + truth.VqV * sin, phase.VdV, 0.005);
            True(truth.VqV * cos - truth.VdV * sin, phase.VqV, 0.005);
        }
    }

    [Fact]
    public void The_units_resistance_flux_and_offset_are_found()
    {
        var points = Readings.Points.Where(p => p.Phase is not null).ToList();
        var truth = points.ConvertAll(p => Run.Truth.Points.Single(t => t.Point == p.Point.Id));
        var fit = MachineIdentification.Fit(
            [.. points.Select(p => new SteadyElectricalPoint(p.Phase!.IdA.Value, p.Phase.IqA.Value, p.Phase.VdV.Value, p.Phase.VqV.Value, p.Phase.ElectricalSpeedRadPerS, p.Phase.IqA.StandardUncertainty, p.Phase.VqV.StandardUncertainty))],
            Fixtures.Unit.Motor, truth.ConvertAll(t => t.WindingC), truth.ConvertAll(t => t.MagnetC));

        Assert.Equal(1.03, fit.Resistance20Ohm / 0.055, 0.003);
        Assert.Equal(0.98, fit.Flux20Wb / 7.74e-3, 0.0003);
        Assert.Equal(0.06, fit.RotorOffsetRad, 0.0003);
    }

    [Fact]
    public void Function_tests_are_read_as_the_controller_does_them()
    {
        var (f, unit) = (Readings.Functions, Run.Truth.Unit);

        Assert.Equal(unit.StopDelayS + 0.0475, f.StopResponseS.Value, 0.01); // 0.05 s to nothing, a twentieth left; the crank takes 0.03 s to stop
        Assert.Equal(unit.BrakeDelayS + 0.0475, f.BrakeResponseS.Value, 0.01);
        Assert.Equal(unit.WalkReleaseDelayS + 0.0475, f.WalkReleaseS.Value, 0.02); // a weak torque goes under in the noise a little sooner
        Assert.Equal(unit.CutOffMps * 3.6, f.CutOffSpeedKmPerH.Value, 0.1);
        Assert.Equal(unit.WalkMps * 3.6, f.WalkSpeedKmPerH.Value, 0.08);
        Assert.Equal(1000 * unit.QuiescentA, f.QuiescentCurrentMilliA.Value, 7.0);
        Assert.Equal(35 / 1.01, f.PhaseCurrentLimitA.Value, 0.1); // both limits act on what the controller reads
        Assert.Equal(17.5 / 1.01, f.BusCurrentLimitA.Value, 0.05);
    }

    [Fact]
    public void A_blow_of_a_tooth_stands_out_and_nothing_else_moves()
    {
        var struck = Read(RunGenerator.Run(Fixtures.Plan, Unit with { ToothBlowMPerS2 = 2 }, RigErrors.None, new() { UnitSeed = 21, AmbientC = 23, UnitStartC = 23 }));
        var (sound, loud) = (Readings.ToothImpulse!, struck.ToothImpulse!);

        var expected = ToothImpulse.LnWithBlow(sound.LnImpulsiveness.Value, 2, loud.DriveTorqueNm, sound.BackgroundRmsMPerS2, 2.5 / loud.WheelTurns, 83, loud.WheelTurns, 25_600);
        Assert.Equal(expected, loud.LnImpulsiveness.Value, 0.3); // the blow's place within a tooth and its own scatter
        Assert.True(loud.LnImpulsiveness.Value - sound.LnImpulsiveness.Value > 10 * sound.LnImpulsiveness.StandardUncertainty);
        Assert.Equal(Readings.Orders!.Mesh[0].Value, struck.Orders!.Mesh[0].Value, 0.02);
        Assert.Equal(Readings.Orders.Ripple6Nm.Value, struck.Orders.Ripple6Nm.Value, 1e-9);
    }

    static LoadTestReadings Read(GeneratedRun run) => LoadTestReadings.From(new(CaptureHeader.Unknown, [run.Slow, run.Fast, run.Vibration]), Fixtures.Plan);

    static void True(double truth, Reading reading, double model) =>
        Assert.InRange(reading.Value, truth - 4.5 * reading.StandardUncertainty - model, truth + 4.5 * reading.StandardUncertainty + model);
}
