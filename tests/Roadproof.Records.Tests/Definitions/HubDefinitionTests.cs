using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Definitions;

namespace Roadproof.Records.Tests.Definitions;

/// <summary>A product without a crank: what its definition may leave out, and what it may not ask for.</summary>
public sealed class HubDefinitionTests
{
    const string Hub = "products/af-40.yaml", MidDrive = "products/af-85.yaml";

    [Fact]
    public void A_hub_motor_is_defined_without_crank_torque_sensor_and_their_gauges()
    {
        var plan = HubFolder.Plan;
        Assert.True(plan.Unit.SitsInWheel);
        Assert.Null(plan.Unit.TorqueSensor);
        Assert.Equal(0, plan.Cycle.CrankTorqueNm);
        Assert.DoesNotContain(plan.Gauges.Gauges, g => g.Channel.StartsWith("crank", StringComparison.Ordinal));
        Assert.Equal((HeldMember.Carrier, 3), (plan.Unit.Gears[0].Held, plan.Unit.Gears[0].Planets));
        Assert.Equal(79.0 / 17, plan.Unit.Ratio, 12);
    }

    public static TheoryData<string, string, string> Slips => new()
    {
        { "      - { kind: brake,", "      - { kind: stop-pedalling, holdS: 3, eventAtS: 1.5 }\n      - { kind: brake,", "found stop-pedalling for a unit without crankSide, expected function tests that need no crank. The rig turns its shell, nobody pedals." },
        { "    id: hub-92\n", "    id: hub-92\n    crankTorqueNm: 8\n", "found 8, expected no crankTorqueNm for a unit without crankSide. The rig turns its shell, nobody pedals." },
        { "holdS: 5, eventAtS: 1 }", "holdS: 5, eventAtS: 1, outputRpm: 30 }", "found 30, expected no outputRpm at walk-assist. Its speed is the test itself." },
        { "holdS: 5, eventAtS: 0.5 }", "holdS: 5, eventAtS: 0.5, outputRpm: 150 }", "found 150, expected no outputRpm at cut-off. Its speed is the test itself." },
        { "planets: 3, ", "", "found planetTeeth without planets, expected both, or neither for a plain pair." },
        { "planetTeeth: 31, planets: 3, wheelTeeth: 79, held: carrier", "wheelTeeth: 79, held: ring", "found held: ring for a plain pair, expected planetTeeth and planets beside held: ring. Only between planets does a ring stand still and the carrier drive on." },
        { "planetTeeth: 31", "planetTeeth: 28", "found 28, expected about 31 planetTeeth, which fit between sun and ring." },
        { "{ id: quiescent-current, name: Quiescent current, unit: mA, upper: 60,", "{ id: torque-sensor-zero, name: Zero, unit: N·m, upper: 1,", "found 'torque-sensor-zero', expected a characteristic that this load test computes." },
        { "    - { channel: wheel_speed_rad_s, gainShare: 0.001, zero: 0, noiseRms: 0.02 }\n", "", "found no gauge for channel wheel_speed_rad_s, expected a gauge for wheel_speed_rad_s, which judging needs." },
    };

    [Theory]
    [MemberData(nameof(Slips))]
    public void What_does_not_fit_such_a_unit_is_told(string from, string to, string sentence) =>
        Assert.EndsWith(": " + sentence, Assert.Single(Errors(DemoFolder.Edited(HubFolder.Files, (Hub, from, to)))).ToString(), StringComparison.Ordinal);

    [Fact]
    public void A_unit_with_a_crank_needs_the_gauges_of_its_crank_and_a_scatter_of_its_sensor()
    {
        var errors = Errors(DemoFolder.With(
            (MidDrive, "    - { channel: crank_torque_nm, gainShare: 0.002, zero: 0.02, noiseRms: 0.2 }\n", ""), (MidDrive, "    torqueSensorZeroNm: 0.6\n", "")));
        Assert.Equal(2, errors.Count);
        Assert.Contains(errors, e => e.ToString().EndsWith("found no gauge for channel crank_torque_nm, expected a gauge for crank_torque_nm, which judging needs.", StringComparison.Ordinal));
        Assert.Contains(errors, e => e.ToString().EndsWith("expected torqueSensorZeroNm above 0 for a unit with a torqueSensor.", StringComparison.Ordinal));
    }

    // What the sensor would need besides is told with it.
    [Fact]
    public void A_torque_sensor_sits_on_a_crank() => Assert.Contains(
        Errors(DemoFolder.Edited(HubFolder.Files, (Hub, "    massKg: 2.8\n", "    massKg: 2.8\n    torqueSensor: { rangeNm: 120, noiseRmsNm: 0.1, nonlinearityShareOfRange: 0.015, zeroDriftNmPerK: 0.02 }\n"))),
        e => e.ToString() == "products/af-40.yaml:14:19: found a torqueSensor without crankSide, expected crankSide beside it, or neither. It reads the crank's torque.");

    static IReadOnlyList<InputError> Errors(IEnumerable<(string Name, string Text)> files) =>
        Assert.Throws<InputException>(() => DefinitionFolder.Read(files)).Errors;
}
