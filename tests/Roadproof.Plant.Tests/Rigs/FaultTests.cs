using Roadproof.Engineering.Drive;

namespace Roadproof.Plant.Tests.Rigs;

/// <summary>
/// What each fault moves. Percentages: printed by another implementation of a model of steady points (read); they are quoted at equal torque, here the rig asks open loop, so torque or power moves.
/// Others are closed forms written beside them.
/// </summary>
public sealed class FaultTests
{
    static double Change(Deviation unit, string point, Func<Plant.Rigs.PointTruth, double> of) => of(Runs.Exact(unit).Point(point)) / of(Runs.Exact().Point(point)) - 1;

    [Fact]
    public void Dry_bearing_moves_no_load_power_by_17_per_cent()
    {
        var unit = new Deviation { AddedMotorDragNm = 0.010 };
        Assert.Equal(0.169, Change(unit, "no-load-75", p => p.BusPowerW), 0.004);
        // The same current drives less: 0.010 N·m × ratio × mesh efficiency, and the rotor that rubs is some tenths of a kelvin warmer.
        Assert.Equal(-0.010 * Fixtures.Unit.Ratio * 0.965 * 0.975, Runs.Exact(unit).Point("50-60").DriveTorqueNm - Runs.Exact().Point("50-60").DriveTorqueNm, 0.03);
    }

    [Fact]
    public void Stiff_grease_moves_no_load_power_by_22_per_cent() => Assert.Equal(0.219, Change(new() { GearDragFactor = 1.8 }, "no-load-75", p => p.BusPowerW), 0.004);

    [Fact]
    public void Missing_grease_looks_better_without_load_and_worse_at_full_torque()
    {
        var unit = new Deviation { GearDragFactor = 0.6, MeshFactor = 0.985 };
        Assert.Equal(-0.110, Change(unit, "no-load-75", p => p.BusPowerW), 0.004);
        Assert.True(Change(unit, "85-60", p => p.DriveTorqueNm) < -0.010);
    }

    [Fact]
    public void Weak_flux_lowers_no_load_power_by_2_per_cent_and_torque_by_3()
    {
        var unit = new Deviation { FluxFactor = 0.97 };
        Assert.Equal(-0.023, Change(unit, "no-load-75", p => p.BusPowerW), 0.002);
        Assert.Equal(-0.031, Change(unit, "31.8-75", p => p.DriveTorqueNm), 0.002);
    }

    [Fact]
    public void Bad_crimp_adds_its_copper_loss_and_nothing_without_load()
    {
        var unit = new Deviation { AddedResistanceOhm = 0.010 };
        var (with, without) = (Runs.Exact(unit).Point("85-60"), Runs.Exact().Point("85-60"));
        // The hotter winding adds a little more: up to 3 K of 1.5·I²·R.
        Assert.Equal(1.5 * with.IqA * with.IqA * 0.010, with.BusPowerW - without.BusPowerW, 1.0);
        Assert.Equal(0, Change(unit, "no-load-75", p => p.BusPowerW), 0.001);
    }

    [Fact]
    public void Rotor_offset_turns_current_out_of_the_torque_axis()
    {
        var unit = new Deviation { RotorOffsetRad = 20 * Math.PI / 180 };
        var run = Runs.Exact(unit);
        var p = run.Point("50-60");
        var peakA = Math.Sqrt(p.IdA * p.IdA + p.IqA * p.IqA);
        Assert.Equal(-Math.Sin(20 * Math.PI / 180), p.IdA / peakA, 0.001);
        Assert.Equal(Math.Cos(20 * Math.PI / 180), p.IqA / peakA, 0.001);

        // In the controller's own frame nothing is amiss: no d current.
        var (d, q) = run.Fast.InReportedFrame("phase_current_u_a", "phase_current_v_a", "phase_current_w_a", run.Fast.Window("50-60"));
        Assert.Equal(0, d, 0.01);
        Assert.Equal(peakA, q, 0.01);

        // The voltage betrays it: at low current the back-EMF leans by the offset in that frame, less 0.6° for the inductance's share.
        var (vd, vq) = run.Fast.InReportedFrame("phase_voltage_u_v", "phase_voltage_v_v", "phase_voltage_w_v", run.Fast.Window("no-load-75"));
        Assert.Equal(20, Math.Atan2(vd, vq) * 180 / Math.PI, 1.0);
    }

    [Fact]
    public void Current_gain_lowers_true_current_at_every_point_but_not_the_reported_one()
    {
        var run = Runs.Exact(new() { CurrentGainFactor = 1.02 });
        foreach (var point in new[] { "31.8-75", "50-60", "85-60" })
        {
            var (true_, asDrawn) = (run.Point(point).IqA, Runs.Exact().Point(point).IqA);
            Assert.Equal(1 / 1.02, true_ / asDrawn, 0.001);
            Assert.Equal(1.02 * true_, run.Slow.Mean("reported_phase_current_a", run.Slow.Window(point)), 0.01 * true_ * 0.1);
        }
    }

    [Fact]
    public void Torque_sensor_zero_is_read_at_rest() => Assert.Equal(2.5,
        Runs.Exact(new() { TorqueSensorZeroNm = 2.5 }).Slow.Mean("reported_torque_nm", 86, 89) - Runs.Exact().Slow.Mean("reported_torque_nm", 86, 89), 1e-4);

    [Fact]
    public void A_damaged_tooth_rings_once_per_turn_of_its_wheel()
    {
        const double blow = 20;
        var (with, without) = (Runs.Exact(new() { ToothBlowMPerS2 = blow }).Vibration, Runs.Exact().Vibration);
        var rows = with.Window("50-60");
        var (from, count) = rows.GetOffsetAndLength(with.TimeS.Length);
        var difference = Enumerable.Range(from, count).Select(i => with.Channels["vibration_m_s2"][i] - without.Channels["vibration_m_s2"][i]).ToArray();

        // The largest value of blow·exp(−t/0.8 ms)·sin(2π·6200·t) lies just before a quarter period: 95 % of the blow; samples 39 µs apart may miss it.
        var largest = difference.Max();
        Assert.InRange(largest, 0.6 * blow, 1.15 * blow);

        // Strikes: where the difference comes back after silence. A wheel turn at 60 rpm lasts 13/68 s.
        var strikes = Enumerable.Range(200, count - 200).Where(i => Math.Abs(difference[i]) > 0.05 * blow
            && Enumerable.Range(i - 200, 200).All(j => Math.Abs(difference[j]) <= 0.05 * blow)).ToArray();
        Assert.Equal(3 / (13.0 / 68), strikes.Length, 1.01);
        foreach (var (a, b) in strikes.Zip(strikes.Skip(1))) Assert.Equal(13.0 / 68, (b - a) / 25_600.0, 5e-4);
    }
}
