using System.CommandLine;
using Roadproof.App.Definitions;
using Roadproof.App.Frame;
using Roadproof.Engineering.Drive;
using Spectre.Console;

namespace Roadproof.App.Drive;

/// <summary>What one operating point of a drive unit asks for, and whether it can be reached.</summary>
public static class SolvePoint
{
    public sealed record Answer(
        double PhaseCurrentPeakA, double IdA, double IqA, double BusVoltageV, double BusCurrentA, double BusPowerW, double ShaftPowerW, double Efficiency,
        LossesAnswer LossesW, bool FieldWeakening, bool Reachable, string Reason, string Method, IReadOnlyList<string> Warnings);

    public sealed record LossesAnswer(double Copper, double Iron, double Friction, double Inverter, double Gears);

    public static Command Command()
    {
        Option<string> product = FindProduct.Option();
        Option<double> torque = new("--torque-nm") { Required = true, Description = "Torque at the unit's output, N·m." };
        Option<double> speed = new("--speed-rad-s") { Required = true, Description = "Speed of the unit's output, rad/s." };
        Option<double> winding = new("--winding-c") { DefaultValueFactory = _ => 20, Description = "Winding temperature, °C." };
        Option<double> magnet = new("--magnet-c") { DefaultValueFactory = _ => 20, Description = "Magnet temperature, °C." };
        Option<double?> bus = new("--bus-v") { Description = "Supply voltage, V; the product's nominal voltage by default." };
        Option<double> source = new("--source-ohm") { Description = "Resistance of battery and cable, Ω." };
        return CommandLine.Verb("point", "Currents, losses and efficiency at a torque and speed of the output.", "drive point --product af-85 --torque-nm 31.8 --speed-rad-s 7.854",
            [product, torque, speed, winding, magnet, bus, source], (input, face, _) =>
            {
                var unit = FindProduct.LoadTest(input.GetValue(CommandLine.DefinitionsOption)!, input.GetValue(product)!).Unit;
                var a = Run(unit, new(input.GetValue(torque), input.GetValue(speed))
                {
                    WindingC = input.GetValue(winding),
                    MagnetC = input.GetValue(magnet),
                    BusV = input.GetValue(bus),
                    SourceOhm = input.GetValue(source),
                });
                return Task.FromResult(face.Say(a, console => Print(console, a), a.Reachable ? Exit.Done : Exit.No));
            });
    }

    public static Answer Run(DriveUnit unit, PointRequest request)
    {
        var p = OperatingPoints.Solve(unit, Deviation.None, request);
        return new(p.PhaseCurrentPeakA, p.IdA, p.IqA, p.BusVoltageV, p.BusCurrentA, p.BusPowerW, p.ShaftPowerW, p.Efficiency,
            new(p.Losses.CopperW, p.Losses.IronW, p.Losses.FrictionW, p.Losses.InverterW, p.Losses.GearsW), p.FieldWeakening, p.Reachable, p.Reason,
            "Steady dq equations of a permanent-magnet machine inside voltage and current limits, constant mesh efficiency; docs/methods/drive.md.", []);
    }

    static void Print(IAnsiConsole console, Answer a)
    {
        console.Write(Tables.Of("", ">value", "unit")
            .Row("phase current, peak", Tables.Figure(a.PhaseCurrentPeakA), "A").Row("d current", Tables.Figure(a.IdA), "A").Row("q current", Tables.Figure(a.IqA), "A")
            .Row("bus voltage", Tables.Figure(a.BusVoltageV), "V").Row("bus current", Tables.Figure(a.BusCurrentA), "A").Row("power in", Tables.Figure(a.BusPowerW, 1), "W")
            .Row("power out", Tables.Figure(a.ShaftPowerW, 1), "W").Row("efficiency", Tables.Figure(100 * a.Efficiency, 1), "%")
            .Row("copper loss", Tables.Figure(a.LossesW.Copper, 1), "W").Row("iron loss", Tables.Figure(a.LossesW.Iron, 1), "W").Row("motor friction", Tables.Figure(a.LossesW.Friction, 1), "W")
            .Row("gear loss", Tables.Figure(a.LossesW.Gears, 1), "W").Row("inverter loss", Tables.Figure(a.LossesW.Inverter, 1), "W"));
        console.WriteLine(a.Reachable ? a.FieldWeakening ? "Reached with field weakening." : "Reached." : $"Not reachable: {a.Reason}");
    }
}
