using CsCheck;
using Roadproof.Engineering.Drive;

namespace Roadproof.Engineering.Tests.Properties;

/// <summary>What holds at every operating point of every unit near the drawing, whatever the faults.</summary>
public sealed class DrivePointProperties
{
    static readonly Gen<Deviation> AnyDeviation =
        from flux in Gen.Double[0.85, 1.1]
        from resistance in Gen.Double[0.8, 1.4]
        from added in Gen.Double[0, 0.03]
        from drag in Gen.Double[0, 0.04]
        from gearDrag in Gen.Double[0.5, 2]
        from mesh in Gen.Double[0.95, 1]
        from offset in Gen.Double[-0.4, 0.4]
        from gain in Gen.Double[0.95, 1.05]
        select new Deviation
        {
            FluxFactor = flux, ResistanceFactor = resistance, AddedResistanceOhm = added, AddedMotorDragNm = drag,
            GearDragFactor = gearDrag, MeshFactor = mesh, RotorOffsetRad = offset, CurrentGainFactor = gain,
        };

    static readonly Gen<PointRequest> AnyRequest =
        from torqueNm in Gen.Double[-60, 110]
        from speedRadPerS in Gen.OneOf(Gen.Double[0, 18], Gen.Const(0.0))
        from windingC in Gen.Double[-20, 150]
        from magnetC in Gen.Double[-20, 120]
        from busV in Gen.Double[36, 55]
        from sourceOhm in Gen.OneOf(Gen.Const(0.0), Gen.Double[0, 0.3])
        select new PointRequest(torqueNm, speedRadPerS) { WindingC = windingC, MagnetC = magnetC, BusV = busV, SourceOhm = sourceOhm };

    static readonly Gen<PointRequest> Driving = AnyRequest.Select(request => request with { TorqueNm = Math.Abs(request.TorqueNm) });

    static readonly Gen<DriveUnit> AnyUnit =
        from lqH in Gen.Double[80e-6, 200e-6]
        from saturation in Gen.Double[0, 0.12]
        from wheelTeeth in Gen.Int[60, 95]
        select MidDrive.Unit with
        {
            Motor = MidDrive.Unit.Motor with { InductanceQH = lqH, SaturationAtCurrentLimit = saturation },
            Gears = [MidDrive.Unit.Gears[0] with { WheelTeeth = wheelTeeth }, MidDrive.Unit.Gears[1]],
        };

    [Fact]
    public void Energy_closes_at_every_point() =>
        Gen.Select(AnyUnit, AnyDeviation, AnyRequest).Sample((unit, deviation, request) =>
        {
            var point = OperatingPoints.Solve(unit, deviation, request);
            var spentW = point.ShaftPowerW + point.Losses.TotalW;
            Assert.Equal(point.BusPowerW, spentW, 1e-9 * Math.Max(1, point.Losses.TotalW));
            Assert.Equal(point.BusPowerW, point.BusVoltageV * point.BusCurrentA, 1e-9 * Math.Max(1, point.Losses.TotalW));
            Assert.Equal(
                point.ElectromagneticTorqueNm * point.RotorSpeedRadPerS,
                point.ShaftPowerW + point.Losses.IronW + point.Losses.FrictionW + point.Losses.GearsW,
                1e-9 * Math.Max(1, point.Losses.TotalW));
        });

    // Oracle from the motor's terminals, which the solver never looks at: without saturation and offset the power that goes in is
    // copper and air gap, with or without field weakening.
    [Fact]
    public void Terminal_power_is_copper_and_air_gap_where_nothing_saturates() =>
        Gen.Select(AnyUnit, AnyDeviation, AnyRequest).Sample((unit, deviation, request) =>
        {
            unit = unit with { Motor = unit.Motor with { SaturationAtCurrentLimit = 0 } };
            var point = OperatingPoints.Solve(unit, deviation with { RotorOffsetRad = 0 }, request);
            var terminalW = 1.5 * (point.VdV * point.IdA + point.VqV * point.IqA);
            Assert.Equal(point.BusPowerW, terminalW + point.Losses.InverterW, 1e-9 * Math.Max(1, Math.Abs(terminalW)));
        });

    // Closed form: unsaturated and below base speed the current is torque over 1.5·p·ψ.
    [Fact]
    public void Below_base_speed_and_unsaturated_current_is_torque_by_constant() =>
        Gen.Select(AnyDeviation, Gen.Double[0, 85], Gen.Double[0, 7]).Sample((deviation, torqueNm, speedRadPerS) =>
        {
            var unit = MidDrive.Unit with { Motor = MidDrive.Unit.Motor with { SaturationAtCurrentLimit = 0 } };
            var point = OperatingPoints.Solve(unit, deviation, new(torqueNm, speedRadPerS));
            Assert.Equal(0, point.IdA);
            var constant = 1.5 * 7 * 7.74e-3 * deviation.FluxFactor * Math.Cos(deviation.RotorOffsetRad);
            Assert.Equal(point.ElectromagneticTorqueNm / constant, point.IqA, 1e-9 * Math.Max(1, point.IqA));
        });

    // Closed form: round rotor, unsaturated: the smaller root of a square in the d current.
    [Fact]
    public void A_round_unsaturated_rotor_weakens_by_the_root_of_a_square() =>
        Gen.Select(Gen.Double[0, 20], Gen.Double[14, 17]).Sample((torqueNm, speedRadPerS) =>
        {
            var unit = MidDrive.Unit with { Motor = MidDrive.Unit.Motor with { SaturationAtCurrentLimit = 0, InductanceQH = 110e-6 } };
            var point = OperatingPoints.Solve(unit, Deviation.None, new(torqueNm, speedRadPerS));
            if (!point.Reachable || !point.FieldWeakening) return;
            var (w, r, l, psi) = (7 * point.RotorSpeedRadPerS, 0.055, 110e-6, 7.74e-3);
            var iq = point.ElectromagneticTorqueNm / (10.5 * psi);
            var v = 0.95 * 48 / Math.Sqrt(3);
            var a = r * r + w * w * l * l;
            var b = w * l * w * psi; // half the middle term: the R·iq parts cancel
            var c = w * w * l * l * iq * iq + (r * iq + w * psi) * (r * iq + w * psi) - v * v;
            Assert.Equal((-b + Math.Sqrt(b * b - a * c)) / a, point.IdA, 1e-7);
        });

    [Fact]
    public void A_reachable_point_respects_every_limit() =>
        Gen.Select(AnyUnit, AnyDeviation, AnyRequest).Sample((unit, deviation, request) =>
        {
            var point = OperatingPoints.Solve(unit, deviation, request);
            if (!point.Reachable)
            {
                Assert.StartsWith("needs ", point.Reason, StringComparison.Ordinal);
                return;
            }

            Assert.Empty(point.Reason);
            Assert.True(point.PhaseCurrentPeakA * deviation.CurrentGainFactor <= 35 * (1 + 2e-9));
            Assert.True(point.BusCurrentA <= 17.5 * (1 + 2e-9));
            Assert.True(point.PhaseVoltageV <= 0.95 * point.BusVoltageV / Math.Sqrt(3) * (1 + 2e-9));
            Assert.Equal(request.BusV!.Value - request.SourceOhm * point.BusCurrentA, point.BusVoltageV, 1e-9);
        });

    [Fact]
    public void The_field_is_weakened_only_as_far_as_the_voltage_asks() =>
        Gen.Select(AnyUnit, AnyDeviation, AnyRequest).Sample((unit, deviation, request) =>
        {
            var point = OperatingPoints.Solve(unit, deviation, request);
            Assert.True(point.IdA <= 0);
            if (point.FieldWeakening && !point.Beyond.HasFlag(DriveLimits.PhaseVoltage) && !point.Beyond.HasFlag(DriveLimits.SupplyPower))
                Assert.Equal(point.PhaseVoltageLimitV, point.PhaseVoltageV, 1e-8);
        });

    // Found by the property above in 100 000 tries: strong saliency and a current far above the limit make a step fly over the crossing.
    [Fact]
    public void A_step_that_flies_over_the_crossing_is_brought_back_to_it()
    {
        var unit = MidDrive.Unit with
        {
            Motor = MidDrive.Unit.Motor with { InductanceQH = 0.00019565030275719845, SaturationAtCurrentLimit = 0.07834634061258354 },
            Gears = [MidDrive.Unit.Gears[0] with { WheelTeeth = 72 }, MidDrive.Unit.Gears[1]],
        };
        var deviation = new Deviation
        {
            FluxFactor = 0.9637254437387079, AddedResistanceOhm = 0.009317064665825808, GearDragFactor = 0.8857142857142857,
            RotorOffsetRad = -0.3688929063346599, CurrentGainFactor = 0.9985203754905398,
        };
        var point = OperatingPoints.Solve(unit, deviation, new(103.7611860884223, 9.238277692153169) { WindingC = 103.74599257687147, MagnetC = 0, BusV = 50 });
        Assert.True(point.FieldWeakening);
        Assert.Equal(point.PhaseVoltageLimitV, point.PhaseVoltageV, 1e-8);
    }

    [Fact]
    public void More_torque_never_needs_less_current() =>
        Gen.Select(AnyUnit, AnyDeviation, Driving, Gen.Double[1, 1.5]).Sample((unit, deviation, request, more) =>
        {
            var less = OperatingPoints.Solve(unit, deviation, request);
            var greater = OperatingPoints.Solve(unit, deviation, request with { TorqueNm = request.TorqueNm * more });
            if (less.Reachable && greater.Reachable)
            {
                Assert.True(greater.PhaseCurrentPeakA >= less.PhaseCurrentPeakA * (1 - 1e-9));
                Assert.True(greater.BusCurrentA >= less.BusCurrentA * (1 - 1e-9));
            }
        });

    [Fact]
    public void What_is_reachable_stays_so_with_less_torque_and_less_speed() =>
        Gen.Select(AnyUnit, AnyDeviation, Driving, Gen.Double[0, 1], Gen.Double[0, 1]).Sample((unit, deviation, request, torqueShare, speedShare) =>
        {
            if (!OperatingPoints.Solve(unit, deviation, request).Reachable) return;
            var easier = request with { TorqueNm = request.TorqueNm * torqueShare, SpeedRadPerS = request.SpeedRadPerS * speedShare };
            var point = OperatingPoints.Solve(unit, deviation, easier);
            Assert.True(point.Reachable, point.Reason);
        });

    [Fact]
    public void The_most_torque_is_reachable_and_a_little_more_is_not() =>
        Gen.Select(AnyUnit, AnyDeviation, Driving).Sample((unit, deviation, conditions) =>
        {
            var most = Envelope.MaximumTorque(unit, deviation, conditions);
            Assert.NotEqual(DriveLimits.None, most.Binding);
            Assert.False(most.More.Reachable);
            Assert.Contains("needs ", most.Reason, StringComparison.Ordinal);
            if (most.TorqueNm > 0) Assert.True(OperatingPoints.Solve(unit, deviation, conditions with { TorqueNm = most.TorqueNm }).Reachable);
            Assert.False(OperatingPoints.Solve(unit, deviation, conditions with { TorqueNm = most.TorqueNm + 1e-6 * (1 + most.TorqueNm) }).Reachable);
        });

    [Fact]
    public void Driven_backwards_through_the_gears_the_output_gives_less_than_it_takes() =>
        Gen.Select(Gen.Double[-60, -1], Gen.Double[1, 12]).Sample((torqueNm, speedRadPerS) =>
        {
            var point = OperatingPoints.Solve(MidDrive.Unit, Deviation.None, new(torqueNm, speedRadPerS));
            var meshNm = point.ElectromagneticTorqueNm - point.RotorDragNm;
            Assert.Equal(torqueNm * MidDrive.Unit.MeshEfficiency / MidDrive.Unit.Ratio, meshNm, 1e-12);
            Assert.True(point.Losses.GearsW > 0);
            Assert.Equal(0, point.Efficiency);
        });
}
