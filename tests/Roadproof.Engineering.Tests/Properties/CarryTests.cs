using CsCheck;
using Roadproof.Engineering.Drive;
using Roadproof.Engineering.LoadTest;

namespace Roadproof.Engineering.Tests.Properties;

public sealed class CarryTests
{
    static readonly Gen<Deviation> Sound = Gen.Double[-3, 3].Array[8].Select(d => new Deviation
    {
        FluxFactor = 1 + d[0] * 0.04 / 3, ResistanceFactor = 1 + d[1] * 0.05 / 3, AddedMotorDragNm = d[2] * 0.004 / 3, GearDragFactor = 1 + d[3] * 0.25 / 3,
        MeshFactor = 1 + d[4] * 0.003, RotorOffsetRad = d[5] * Math.PI / 180, CurrentGainFactor = 1 + d[6] * 0.01 / 3, TorqueSensorZeroNm = d[7] * 0.2,
    });

    // What is left is second order: drags that differ from the drawing warm the magnets a little differently than estimated.
    [Fact]
    public void A_run_at_reference_conditions_reads_what_the_model_expects() =>
        Sound.Sample(unit => Compare(unit, 20, 20, 1.2e-3), iter: 30);

    // A room between 15 and 30 °C, a unit up to 5 K warmer than it. What is left is second order: drags of the unit that differ from the drawing's while it warms.
    [Fact]
    public void Carrying_takes_out_what_room_and_warmth_do() =>
        Gen.Select(Sound, Gen.Double[15, 30], Gen.Double[0, 5]).Sample((unit, ambientC, warmerK) => Compare(unit, ambientC + warmerK, ambientC, 1.2e-3), iter: 30);

    // A rig that holds every load point longer warms the unit more; it once was carried by the holds of the cycle, and its winding read too much of a rise.
    [Fact]
    public void Carrying_takes_out_what_a_rig_holds_longer() =>
        Gen.Select(Sound, Gen.Double[1, 1.3]).Sample((unit, longer) => Compare(unit, 20, 20, 1.2e-3, DemoPlan.Plan with
        {
            Cycle = DemoPlan.Plan.Cycle with { Points = [.. DemoPlan.Plan.Cycle.Points.Select(p => p with { HoldS = longer * p.HoldS, WindowFromS = longer * p.WindowFromS })] },
        }), iter: 30);

    [Fact]
    public void A_running_unit_with_a_right_angle_is_the_drive_model()
    {
        Gen.Select(Sound, Gen.Double[0, 85], Gen.Double[30, 100], Gen.Double[15, 60]).Sample((unit, torqueNm, rpm, windingC) =>
        {
            var straight = unit with { RotorOffsetRad = 0 };
            var request = new PointRequest(torqueNm, rpm * Math.PI / 30) { WindingC = windingC, MagnetC = 30 };
            var point = OperatingPoints.Solve(MidDrive.Unit, straight, request);
            var running = new RunningUnit(MidDrive.Unit, straight, request.SpeedRadPerS, windingC, 30, 48);
            var currentA = running.CurrentForA(torqueNm);
            if (point.FieldWeakening || currentA > 35) return;
            Assert.Equal(point.PhaseCurrentPeakA, currentA, 1e-9);
            Assert.Equal(point.BusPowerW, running.BusPowerW(currentA), 1e-8);
            Assert.Equal(torqueNm, running.DriveTorqueNm(currentA), 1e-9);
        }, iter: 300);
    }

    // The operating-point solver leaves the stray d current of a wrong angle out; at full torque that is worth 1 % of current at 5° and 4 % at 20°, either way.
    [Theory]
    [InlineData(5, 0.01), InlineData(20, 0.04)]
    public void A_wrong_angle_is_worth_little_more_than_its_cosine(double offsetDeg, double share)
    {
        foreach (var sign in (int[])[-1, 1])
        {
            var unit = new Deviation { RotorOffsetRad = sign * offsetDeg * Math.PI / 180 };
            var point = OperatingPoints.Solve(MidDrive.Unit, unit, new(85, 60 * Math.PI / 30) { WindingC = 20, MagnetC = 20 });
            var currentA = new RunningUnit(MidDrive.Unit, unit, 60 * Math.PI / 30, 20, 20, 48).CurrentForA(85);
            Assert.Equal(share, Math.Abs(currentA / point.PhaseCurrentPeakA - 1), 0.35 * share);
        }
    }

    static void Compare(Deviation unit, double startC, double ambientC, double relative, LoadTestPlan? asRun = null)
    {
        var expected = ExpectedReadings.At(DemoPlan.Plan, unit);
        var carried = CarriedReadings.Of(FaultlessRun.Of(asRun ?? DemoPlan.Plan, unit, startC, ambientC), DemoPlan.Plan);
        foreach (var (id, value) in expected)
        {
            var tolerance = id switch { "winding-rise" or "controller-rise" => 0.05, "rotor-offset" => 0.005, "resistance-20" => 0.12, _ => relative * Math.Max(Math.Abs(value), 0.1) };
            Assert.True(Math.Abs(value - carried.Readings[id].Value) <= tolerance, $"{id}: expected {value:G6}, carried {carried.Readings[id].Value:G6}, raw {carried.Readings[id].Raw:G6}, room {ambientC:F1}, unit {startC:F1}");
        }
    }
}
