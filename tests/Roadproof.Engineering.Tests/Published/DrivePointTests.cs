using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Tests.Fixtures;
using static Roadproof.Tests.Shared.MidDrive;

namespace Roadproof.Engineering.Tests.Published;

/// <summary>
/// Operating points of two invented units against a table that another implementation printed (Python, own code, field weakening by a grid of 400 steps;
/// the table was read, its script was run again). Tolerance: 1 % or half the last printed digit, whichever is wider.
/// The equations themselves: checks 10-6, 10-7, 10-11 (standard equations, recomputed).
/// </summary>
public sealed class DrivePointTests
{
    // torque, rpm, rotor rpm, output, bus power, efficiency %, phase A, bus A, phase V by Vdc/√3, copper, iron, friction, gears, inverter.
    // Winding 80 °C, magnets 60 °C, stiff nominal bus.
    [Theory]
    [InlineData(31.8, 75, 2713, 250, 303, 82.4, 12.7, 6.32, 0.58, 16.5, 6.2, 3.1, 20.3, 7.4)]
    [InlineData(10.0, 90, 3256, 94, 124, 76.0, 4.5, 2.58, 0.65, 2.0, 8.1, 3.9, 11.8, 3.9)]
    [InlineData(50.0, 60, 2171, 314, 395, 79.6, 19.7, 8.23, 0.50, 39.5, 4.5, 2.3, 23.2, 11.1)]
    [InlineData(85.0, 70, 2533, 623, 811, 76.8, 33.7, 16.90, 0.65, 115.7, 5.6, 2.8, 43.4, 20.7)]
    [InlineData(45.0, 110, 3980, 518, 617, 84.0, 17.9, 12.86, 0.86, 32.6, 11.0, 5.1, 40.2, 10.1)]
    public void The_mid_drive_unit_runs_as_printed(
        double torqueNm, double rpm, double rotorRpm, double outputW, double busW, double efficiencyPercent, double phaseA, double busA, double voltageShare,
        double copperW, double ironW, double frictionW, double gearsW, double inverterW) =>
        RunsAsPrinted(Unit, torqueNm, rpm, rotorRpm, outputW, busW, efficiencyPercent, phaseA, busA, voltageShare, copperW, ironW, frictionW, gearsW, inverterW);

    [Theory]
    [InlineData(12.57, 190, 883, 250, 300, 83.5, 11.6, 8.32, 0.83, 16.1, 5.3, 4.6, 17.7, 5.9)]
    [InlineData(5.0, 190, 883, 99, 126, 78.8, 5.0, 3.51, 0.79, 3.0, 5.3, 4.6, 10.6, 3.3)]
    [InlineData(25.0, 120, 558, 314, 411, 76.4, 22.5, 11.42, 0.59, 61.0, 2.9, 2.7, 18.2, 12.2)]
    [InlineData(40.0, 80, 372, 335, 541, 62.0, 36.5, 15.02, 0.49, 160.2, 1.8, 1.7, 18.0, 23.8)]
    [InlineData(20.0, 170, 790, 356, 435, 81.8, 18.1, 12.09, 0.78, 39.3, 4.6, 4.0, 21.9, 9.3)]
    public void The_geared_hub_runs_as_printed(
        double torqueNm, double rpm, double rotorRpm, double outputW, double busW, double efficiencyPercent, double phaseA, double busA, double voltageShare,
        double copperW, double ironW, double frictionW, double gearsW, double inverterW) =>
        RunsAsPrinted(GearedHub.Unit, torqueNm, rpm, rotorRpm, outputW, busW, efficiencyPercent, phaseA, busA, voltageShare, copperW, ironW, frictionW, gearsW, inverterW);

    static void RunsAsPrinted(
        DriveUnit unit, double torqueNm, double rpm, double rotorRpm, double outputW, double busW, double efficiencyPercent, double phaseA, double busA, double voltageShare,
        double copperW, double ironW, double frictionW, double gearsW, double inverterW)
    {
        var point = Hot(unit, torqueNm, rpm);
        Assert.True(point.Reachable, point.Reason);
        Assert.False(point.FieldWeakening);
        Printed(rotorRpm, point.RotorSpeedRadPerS / RadPerSPerRpm, 0);
        Printed(outputW, point.ShaftPowerW, 0);
        Printed(busW, point.BusPowerW, 0);
        Printed(efficiencyPercent, point.Efficiency * 100, 1);
        Printed(phaseA, point.PhaseCurrentPeakA, 1);
        Printed(busA, point.BusCurrentA, 2);
        Printed(voltageShare, point.PhaseVoltageV / (unit.Supply.NominalV / Math.Sqrt(3)), 2);
        Printed(copperW, point.Losses.CopperW, 1);
        Printed(ironW, point.Losses.IronW, 1);
        Printed(frictionW, point.Losses.FrictionW, 1);
        Printed(gearsW, point.Losses.GearsW, 1);
        Printed(inverterW, point.Losses.InverterW, 1);
    }

    // The same points from the other implementation with all its digits, where no rounding hides a wrong term.
    [Theory]
    [InlineData(31.8, 75, 12.70468, 303.19843, 15.95064)]
    [InlineData(85, 70, 33.69212, 811.38442, 18.11521)]
    [InlineData(45, 110, 17.88639, 617.28509, 23.86545)]
    [InlineData(20, 128, 8.35964, 326.99299, 25.97106)]
    public void Agrees_with_the_other_implementation_to_its_digits(double torqueNm, double rpm, double phaseA, double busW, double phaseV)
    {
        var point = Hot(Unit, torqueNm, rpm);
        Assert.Equal(phaseA, point.PhaseCurrentPeakA, 1e-5);
        Assert.Equal(busW, point.BusPowerW, 1e-5);
        Assert.Equal(phaseV, point.PhaseVoltageV, 1e-5);
    }

    [Fact]
    public void Full_torque_from_cold_takes_32_ampere_at_80_percent()
    {
        var point = OperatingPoints.Solve(Unit, Deviation.None, new(85, 70 * RadPerSPerRpm));
        Printed(79.9, point.Efficiency * 100, 1);
        Printed(32.2, point.PhaseCurrentPeakA, 1);
        Assert.True(point.Reachable);
    }

    [Fact]
    public void Full_torque_from_a_soft_battery_is_beyond_the_bus_limit_and_says_so()
    {
        var point = OperatingPoints.Solve(Unit, Deviation.None, new(85, 70 * RadPerSPerRpm) { WindingC = 80, MagnetC = 60, SourceOhm = 0.11 });
        Assert.Equal(DriveLimits.BusCurrent, point.Beyond);
        Assert.Equal("needs 17.6 A from the bus, the limit is 17.5 A", point.Reason);
        Assert.Equal(48 - 0.11 * point.BusCurrentA, point.BusVoltageV, 1e-9);
    }

    [Theory]
    [InlineData(48, 129), InlineData(39, 105), InlineData(54.6, 146)]
    public void The_mid_drive_unit_turns_free_as_fast_as_printed(double busV, double rpm) =>
        Printed(rpm, Envelope.NoLoadSpeedRadPerS(Unit, Deviation.None, busV) / RadPerSPerRpm, 0);

    [Theory]
    [InlineData(36, 224), InlineData(30, 186), InlineData(42, 261)]
    public void The_geared_hub_turns_free_as_fast_as_printed(double busV, double rpm) =>
        Printed(rpm, Envelope.NoLoadSpeedRadPerS(GearedHub.Unit, Deviation.None, busV) / RadPerSPerRpm, 0);

    [Fact]
    public void No_load_takes_the_printed_power()
    {
        var mid = NoLoad(Unit, 75, Deviation.None);
        Printed(17.2, mid.BusPowerW, 1);
        Printed(0.357, mid.BusCurrentA, 3);
        Printed(6.7, mid.Losses.IronW, 1);
        Printed(3.1, mid.Losses.FrictionW, 1);
        Printed(4.6, mid.Losses.GearsW, 1);
        Printed(2.7, mid.Losses.InverterW, 1);

        var hub = NoLoad(GearedHub.Unit, 190, Deviation.None);
        Printed(18.4, hub.BusPowerW, 1);
        Printed(0.512, hub.BusCurrentA, 3);
        Printed(5.8, hub.Losses.IronW, 1);
        Printed(4.6, hub.Losses.FrictionW, 1);
        Printed(5.9, hub.Losses.GearsW, 1);
        Printed(2.1, hub.Losses.InverterW, 1);
    }

    // The printed stall keeps the cold magnets' iron drag when hot; ours weakens it with the flux: 0.06 N·m at 80 °C, inside the 1 %.
    [Fact]
    public void Stalls_at_the_printed_torque()
    {
        Printed(92.8, Envelope.StallTorqueNm(Unit, Deviation.None, 20), 1);
        Printed(86.6, Envelope.StallTorqueNm(Unit, Deviation.None, 80), 1);
        Printed(47.8, Envelope.StallTorqueNm(GearedHub.Unit, Deviation.None, 20), 1);
        Printed(44.6, Envelope.StallTorqueNm(GearedHub.Unit, Deviation.None, 80), 1);
    }

    [Fact]
    public void Has_the_printed_ratio_mesh_and_constants()
    {
        Assert.Equal(36.179, Unit.Ratio, 3);
        Assert.Equal(0.941, Unit.MeshEfficiency, 3);
        Assert.Equal(4.647, GearedHub.Unit.Ratio, 3);
        Assert.Equal(0.0813, DqEquations.TorqueNm(7, Unit.Motor.FluxLinkage20Wb, 0, 0, 0, 1), 4);
        Assert.Equal(0.2730, DqEquations.TorqueNm(10, GearedHub.Unit.Motor.FluxLinkage20Wb, 0, 0, 0, 1), 4);
    }

    // Check 10-7: p = 5, ψ = 0.02 Wb, Ld = 100 µH, Lq = 150 µH, id = −10 A, iq = 40 A, R = 0.05 Ω, 3000 1/min. Standard equations, recomputed.
    [Fact]
    public void The_dq_equations_give_the_worked_example_and_its_power_balance()
    {
        const double rotorRadPerS = 3000 * RadPerSPerRpm;
        var torqueNm = DqEquations.TorqueNm(5, 0.02, 100e-6, 150e-6, -10, 40);
        var vdV = DqEquations.DirectV(0.05, 150e-6, 5 * rotorRadPerS, -10, 40);
        var vqV = DqEquations.QuadratureV(0.05, 100e-6, 0.02, 5 * rotorRadPerS, -10, 40);
        Assert.Equal(6.150000, torqueNm, 6);
        Assert.Equal(-9.924778, vdV, 6);
        Assert.Equal(31.845130, vqV, 6);
        Assert.Equal(2059.579482, 1.5 * (vdV * -10 + vqV * 40), 6);
        Assert.Equal(1932.079482, torqueNm * rotorRadPerS, 6);
    }

    // Check 10-6: what a motor makes in volts per rad/s it gives in N·m per ampere; from e·i = T·ω, recomputed. Here in dq: 1.5·e·iq = T·ω.
    [Fact]
    public void Torque_constant_and_voltage_constant_are_one()
    {
        const double rotorRadPerS = 1000 * RadPerSPerRpm;
        var voltsPerRadPerS = DqEquations.QuadratureV(0, 0, 0.02, 5 * rotorRadPerS, 0, 0) / rotorRadPerS;
        Assert.Equal(0.1, voltsPerRadPerS, 12);
        Assert.Equal(1.5 * voltsPerRadPerS, DqEquations.TorqueNm(5, 0.02, 0, 0, 0, 1), 12);
    }

    // Check 10-11 (coefficient from memory, arithmetic recomputed) and the copper ratio of IEC 60028's 0.00393 (from memory).
    [Fact]
    public void Magnets_weaken_and_copper_resists_with_heat()
    {
        var motor = Unit.Motor with { FluxLinkage20Wb = 1.25, FluxPerK = -0.0012 };
        Assert.Equal(1.13, motor.FluxLinkageWb(100), 12);
        Assert.Equal(0.055 * (1 + 0.00393 * 80), motor.PhaseResistanceOhm(100), 12);
    }

    // A point beyond base speed, by another way: torque by bisection over iq, voltage as a length of two phasors, d current by walking out in
    // 0.1 mA steps until the voltage fits. No Newton, no closed form.
    [Theory]
    [InlineData(10, 135), InlineData(20, 140), InlineData(5, 150)]
    public void Weakens_the_field_as_a_slow_walk_does(double torqueNm, double rpm)
    {
        var motor = Unit.Motor;
        var point = Hot(Unit, torqueNm, rpm);
        Assert.True(point.FieldWeakening);
        Assert.True(point.Reachable, point.Reason);

        var rotorRadPerS = rpm * RadPerSPerRpm * (83.0 / 12 * 68 / 13);
        var electrical = 7 * rotorRadPerS;
        var flux = 7.74e-3 * (1 - 0.0011 * 40);
        var resistance = 0.055 * (1 + 0.00393 * 60);
        var f = electrical / (2 * Math.PI);
        var iron = (0.012 * f + 3e-5 * f * f) * Math.Pow(1 - 0.0011 * 40, 2) / rotorRadPerS;
        var airGapNm = torqueNm / (83.0 / 12 * 68 / 13 * 0.965 * 0.975) + iron + 0.008 + 0.012 + 2.5e-5 * rotorRadPerS;
        const double usableV = 0.95 * 48 / 1.7320508075688772;

        var idA = 0.0;
        while (VoltageV(idA, IqA(idA)) > usableV) idA -= 1e-4;
        Assert.Equal(idA, point.IdA, 2e-4);
        Assert.Equal(IqA(idA), point.IqA, 1e-4);

        double IqA(double id)
        {
            var (low, high) = (0.0, 35.0);
            for (var i = 0; i < 60; i++)
            {
                var middle = (low + high) / 2;
                var nm = 10.5 * (flux * (1 - 0.03 * middle * middle / 1225) - 25e-6 * id) * middle;
                (low, high) = nm < airGapNm ? (middle, high) : (low, middle);
            }

            return low;
        }

        double VoltageV(double id, double iq) => Math.Sqrt(
            Math.Pow(resistance * id - electrical * 135e-6 * iq, 2) + Math.Pow(resistance * iq + electrical * (110e-6 * id + flux), 2));
    }

    // 39.86 A and 21.30 A with the other implementation; it leaves reluctance torque out, which is worth 0.4 % here.
    [Fact]
    public void Says_what_a_point_out_of_reach_would_need()
    {
        Assert.Equal("needs 39.9 A peak in a phase, the limit is 35.0 A", Hot(Unit, 100, 30).Reason);

        var fast = Hot(Unit, 60, 135);
        Assert.Equal(DriveLimits.BusCurrent, fast.Beyond);
        Printed(21.30, fast.BusCurrentA, 2);
    }

    // A locked unit on 3 V: 33.6 A at 0.068 Ω is 2.28 V of phase voltage, 0.95·3/√3 is 1.65 V; no d current helps a rotor that stands.
    [Fact]
    public void Says_when_the_voltage_is_too_small() =>
        Assert.StartsWith("needs 2.3 V of phase voltage, the limit is 1.6 V",
            OperatingPoints.Solve(Unit, Deviation.None, new(85, 0) { WindingC = 80, MagnetC = 60, BusV = 3 }).Reason, StringComparison.Ordinal);

    // The most that 48 V behind 1 Ω can give is 48²/4 = 576 W (maximum power theorem, textbook).
    [Fact]
    public void Says_when_the_battery_cannot_give_the_power()
    {
        var point = OperatingPoints.Solve(Unit, Deviation.None, new(85, 70 * RadPerSPerRpm) { WindingC = 80, MagnetC = 60, SourceOhm = 1 });
        Assert.Equal(DriveLimits.SupplyPower, point.Beyond);
        Assert.EndsWith("W from the supply, the limit is 576.0 W", point.Reason, StringComparison.Ordinal);
    }

    [Fact]
    public void Says_which_limit_ends_the_torque()
    {
        var locked = Envelope.MaximumTorque(Unit, Deviation.None, new(0, 0));
        Assert.Equal(DriveLimits.PhaseCurrent, locked.Binding);
        Printed(92.8, locked.TorqueNm, 1);

        var fast = Envelope.MaximumTorque(Unit, Deviation.None, new(0, 110 * RadPerSPerRpm) { WindingC = 80, MagnetC = 60 });
        Assert.Equal(DriveLimits.BusCurrent, fast.Binding);
        Assert.EndsWith("A from the bus, the limit is 17.5 A", fast.Reason, StringComparison.Ordinal);

        // A controller that reads 2 % too much holds back 2 % too early.
        var readsHigh = Envelope.MaximumTorque(Unit, new() { CurrentGainFactor = 1.02 }, new(0, 0));
        Assert.InRange(readsHigh.TorqueNm / locked.TorqueNm, 0.98, 0.985);
    }

    [Fact]
    public void Says_everything_that_is_wrong_with_a_request_at_once()
    {
        var refused = Assert.Throws<InputException>(() => OperatingPoints.Solve(Unit, Deviation.None, new(double.NaN, -1) { BusV = 0, MagnetC = 1000 }));
        Assert.Equal(["torqueNm", "speedRadPerS", "magnetC", "busV"], refused.Errors.Select(error => error.Column));
    }

    internal static OperatingPoint Hot(DriveUnit unit, double torqueNm, double rpm, Deviation? deviation = null) =>
        OperatingPoints.Solve(unit, deviation ?? Deviation.None, new(torqueNm, rpm * RadPerSPerRpm) { WindingC = 80, MagnetC = 60 });

    internal static OperatingPoint NoLoad(DriveUnit unit, double rpm, Deviation deviation) =>
        OperatingPoints.Solve(unit, deviation, new(0, rpm * RadPerSPerRpm) { WindingC = 30, MagnetC = 25 });

    internal static void Printed(double printed, double computed, int digits)
    {
        var tolerance = Math.Max(0.01 * Math.Abs(printed), 0.5 * Math.Pow(10, -digits));
        Assert.True(Math.Abs(computed - printed) <= tolerance * (1 + 1e-9), $"printed {printed}, computed {computed}, tolerance {tolerance}");
    }
}
