namespace Roadproof.App.Tests.Commands;

/// <summary>
/// The drive commands through their door. Printed values: the invented mid-drive set's table, made by another implementation (read); its conditions are winding 80 °C,
/// magnets 60 °C, stiff nominal bus. That powers add up is energy's own law.
/// </summary>
public sealed class DriveCommandTests
{
    const double RpmToRadPerS = Math.Tau / 60;

    // torque, rpm, output W, bus W, efficiency %, phase A peak, bus A, copper, iron, friction, gears, inverter; half a last digit or 1 %.
    [Theory]
    [InlineData(31.8, 75, 250, 303, 82.4, 12.7, 6.32, 16.5, 6.2, 3.1, 20.3, 7.4)]
    [InlineData(50.0, 60, 314, 395, 79.6, 19.7, 8.23, 39.5, 4.5, 2.3, 23.2, 11.1)]
    [InlineData(45.0, 110, 518, 617, 84.0, 17.9, 12.86, 32.6, 11.0, 5.1, 40.2, 10.1)]
    public async Task A_point_is_as_printed(
        double torqueNm, double rpm, double outW, double busW, double percent, double phaseA, double busA, double copperW, double ironW, double frictionW, double gearsW, double inverterW)
    {
        var said = await Typed.Line(FormattableString.Invariant($"drive point --product af-85 --torque-nm {torqueNm} --speed-rad-s {rpm * RpmToRadPerS} --winding-c 80 --magnet-c 60 --json"));
        Assert.Equal(0, said.Exit);
        said.HasFields("phaseCurrentPeakA", "idA", "iqA", "busCurrentA", "busPowerW", "shaftPowerW", "efficiency", "lossesW", "fieldWeakening", "reachable", "reason");
        Near(outW, said.Number("shaftPowerW"), 0.5);
        Near(busW, said.Number("busPowerW"), 0.5);
        Near(percent, 100 * said.Number("efficiency"), 0.05);
        Near(phaseA, said.Number("phaseCurrentPeakA"), 0.05);
        Near(busA, said.Number("busCurrentA"), 0.005);
        var losses = said.Json.GetProperty("lossesW");
        Near(copperW, losses.GetProperty("copper").GetDouble(), 0.05);
        Near(ironW, losses.GetProperty("iron").GetDouble(), 0.05);
        Near(frictionW, losses.GetProperty("friction").GetDouble(), 0.05);
        Near(gearsW, losses.GetProperty("gears").GetDouble(), 0.05);
        Near(inverterW, losses.GetProperty("inverter").GetDouble(), 0.05);
        Assert.True(said.Json.GetProperty("reachable").GetBoolean());
        Assert.Equal("", said.Error);
    }

    // The geared hub's table, made and read alike. torque, rpm, output W, bus W, efficiency %, phase A peak, bus A, copper, iron, friction, gears, inverter.
    [Theory]
    [InlineData(12.56, 190, 250, 300, 83.5, 11.6, 8.32, 16.1, 5.3, 4.6, 17.7, 5.9)]
    [InlineData(5.0, 190, 99, 126, 78.8, 5.0, 3.51, 3.0, 5.3, 4.6, 10.6, 3.3)]
    [InlineData(25.0, 120, 314, 411, 76.4, 22.5, 11.42, 61.0, 2.9, 2.7, 18.2, 12.2)]
    [InlineData(40.0, 80, 335, 541, 62.0, 36.5, 15.02, 160.2, 1.8, 1.7, 18.0, 23.8)]
    [InlineData(20.0, 170, 356, 435, 81.8, 18.1, 12.09, 39.3, 4.6, 4.0, 21.9, 9.3)]
    public async Task A_point_of_a_hub_motor_is_as_printed(
        double torqueNm, double rpm, double outW, double busW, double percent, double phaseA, double busA, double copperW, double ironW, double frictionW, double gearsW, double inverterW)
    {
        var said = await Typed.Words("drive", "point", "--product", "af-40", "--torque-nm", Invariant(torqueNm), "--speed-rad-s", Invariant(rpm * RpmToRadPerS), "--winding-c", "80", "--magnet-c", "60", "--json");
        Assert.Equal(0, said.Exit);
        Near(outW, said.Number("shaftPowerW"), 0.5);
        Near(busW, said.Number("busPowerW"), 0.5);
        Near(percent, 100 * said.Number("efficiency"), 0.05);
        Near(phaseA, said.Number("phaseCurrentPeakA"), 0.05);
        Near(busA, said.Number("busCurrentA"), 0.005);
        var losses = said.Json.GetProperty("lossesW");
        foreach (var (name, watts) in new[] { ("copper", copperW), ("iron", ironW), ("friction", frictionW), ("gears", gearsW), ("inverter", inverterW) })
            Near(watts, losses.GetProperty(name).GetDouble(), 0.05);
    }

    // Printed: rated 250 W, 25 °C, still air: after 10 min winding +15.7 K, controller +10.3, rotor +8.9, housing +8.5 K.
    [Fact]
    public async Task A_hub_motor_warms_as_printed()
    {
        var said = await Typed.Words("drive", "heat", "--product", "af-40", "--torque-nm", Invariant(250 / (190 * RpmToRadPerS)), "--speed-rad-s", Invariant(190 * RpmToRadPerS), "--for-s", "600", "--json");
        Assert.Equal(0, said.Exit);
        Near(15.7, said.Number("windingC") - 25, 0.05);
        Near(10.3, said.Number("controllerC") - 25, 0.05);
        Near(8.9, said.Number("magnetC") - 25, 0.05);
        Near(8.5, said.Number("shellC") - 25, 0.05);
    }

    static string Invariant(double number) => number.ToString("R", System.Globalization.CultureInfo.InvariantCulture);

    [Fact]
    public async Task Powers_add_up_and_a_soft_supply_sags_by_its_current()
    {
        var said = await Typed.Line("drive point --product af-85 --torque-nm 50 --speed-rad-s 6.283 --bus-v 46 --source-ohm 0.11 --json");
        var losses = said.Json.GetProperty("lossesW").EnumerateObject().Sum(p => p.Value.GetDouble());
        Assert.Equal(50 * 6.283, said.Number("shaftPowerW"), 1e-9);
        Assert.Equal(said.Number("busPowerW"), said.Number("shaftPowerW") + losses, 1e-6);
        Assert.Equal(46 - 0.11 * said.Number("busCurrentA"), said.Number("busVoltageV"), 1e-6);
    }

    [Fact]
    public async Task A_point_out_of_reach_says_why_and_ends_with_one()
    {
        var said = await Typed.Line("drive point --product af-85 --torque-nm 300 --speed-rad-s 7 --json");
        Assert.Equal(1, said.Exit);
        Assert.False(said.Json.GetProperty("reachable").GetBoolean());
        Assert.Contains("the limit is 35.0 A", said.Json.GetProperty("reason").GetString(), StringComparison.Ordinal);

        var read = await Typed.Line("drive point --product af-85 --torque-nm 300 --speed-rad-s 7");
        Assert.Equal(1, read.Exit);
        Assert.Contains("Not reachable: needs ", read.Output, StringComparison.Ordinal);
    }

    // Printed: rated 250 W (31.8 N·m at 75 rpm), 25 °C, still air: after 10 min winding +22.3 K, controller +16.0 K, rotor +13.2 K, housing +13.1 K.
    [Fact]
    public async Task Ten_minutes_at_rated_load_warm_as_printed()
    {
        var said = await Typed.Line("drive heat --product af-85 --torque-nm 31.8 --speed-rad-s 7.85398 --for-s 600 --json");
        Assert.Equal(0, said.Exit);
        said.HasFields("windingC", "magnetC", "controllerC", "shellC", "timeToDeratingS");
        Near(22.3, said.Number("windingC") - 25, 0.3);
        Near(16.0, said.Number("controllerC") - 25, 0.3);
        Near(13.2, said.Number("magnetC") - 25, 0.3);
        Near(13.1, said.Number("shellC") - 25, 0.3);
    }

    [Theory]
    [InlineData("point --torque-nm NaN --speed-rad-s 7", "operating point: torqueNm: found NaN")]
    [InlineData("point --torque-nm 1e400 --speed-rad-s 7", "operating point: torqueNm: found Infinity")]
    [InlineData("point --torque-nm 1 --speed-rad-s -7", "speedRadPerS: found -7, expected an output speed of 0 rad/s or more")]
    [InlineData("point --torque-nm 1 --speed-rad-s 7 --bus-v 0 --source-ohm -5 --winding-c -300", "busV: found 0", "sourceOhm: found -5", "windingC: found -300")]
    [InlineData("heat --torque-nm 1 --speed-rad-s 7 --for-s -1", "forS: found -1, expected a time from 0 s")]
    [InlineData("heat --torque-nm 1 --speed-rad-s 7 --for-s 9 --ambient-c NaN --air-mps -3", "ambientC: found NaN", "airMps: found -3")]
    public async Task Numbers_that_cannot_be_are_all_said_at_once(string words, params string[] sentences) =>
        (await Typed.Line($"drive {words} --product af-85 --json")).IsWrong(sentences);

    static void Near(double expected, double found, double digit) => Assert.Equal(expected, found, Math.Max(digit, 0.01 * Math.Abs(expected)));
}
