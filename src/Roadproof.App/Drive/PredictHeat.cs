using System.CommandLine;
using Roadproof.App.Definitions;
using Roadproof.App.Frame;
using Roadproof.Engineering.Drive;
using Spectre.Console;

namespace Roadproof.App.Drive;

/// <summary>How warm a drive unit gets at a steady load, and when it has to hold back.</summary>
public static class PredictHeat
{
    public sealed record Answer(double WindingC, double MagnetC, double ControllerC, double ShellC, double? TimeToDeratingS, string Method, IReadOnlyList<string> Warnings);

    public static Command Command()
    {
        Option<string> product = FindProduct.Option();
        Option<double> torque = new("--torque-nm") { Required = true, Description = "Torque at the unit's output, N·m." };
        Option<double> speed = new("--speed-rad-s") { Required = true, Description = "Speed of the unit's output, rad/s." };
        Option<double> time = new("--for-s") { Required = true, Description = "How long the load lasts, s." };
        Option<double> ambient = new("--ambient-c") { DefaultValueFactory = _ => 25, Description = "Air temperature, °C; the unit starts at it." };
        Option<double> air = new("--air-mps") { Description = "Air speed over the shell, m/s." };
        return CommandLine.Verb("heat", "Temperatures after a time at a steady load, and the time until derating starts.",
            "drive heat --product af-85 --torque-nm 85 --speed-rad-s 7.33 --for-s 90", [product, torque, speed, time, ambient, air], (input, face, _) =>
            {
                var unit = FindProduct.LoadTest(input.GetValue(CommandLine.DefinitionsOption)!, input.GetValue(product)!).Unit;
                var a = Run(unit, input.GetValue(torque), input.GetValue(speed), input.GetValue(time), input.GetValue(ambient), input.GetValue(air));
                return Task.FromResult(face.Say(a, console =>
                {
                    console.Write(Tables.Of("", ">°C").Row("winding", Tables.Figure(a.WindingC, 1)).Row("magnets", Tables.Figure(a.MagnetC, 1))
                        .Row("controller", Tables.Figure(a.ControllerC, 1)).Row("shell", Tables.Figure(a.ShellC, 1)));
                    console.WriteLine(a.TimeToDeratingS is { } t ? $"Derating starts after {Tables.Figure(t, 0)} s." : "Derating does not start at this load within a day.");
                    foreach (var w in a.Warnings) console.WriteLine(w);
                }));
            });
    }

    public static Answer Run(DriveUnit unit, double torqueNm, double speedRadPerS, double forS, double ambientC, double airMps)
    {
        var r = HeatUp.Run(unit, Deviation.None, torqueNm, speedRadPerS, forS, ambientC, airMps);
        var warnings = new List<string>();
        if (r.HeldBackFromS is { } from) warnings.Add($"From {Tables.Figure(from, 0)} s on the unit {r.HeldBackReason}");
        return new(r.End.WindingC, r.End.RotorC, r.End.ControllerC, r.End.HousingC, r.TimeToDeratingS,
            "Five lumped heat nodes with losses that follow the temperatures; docs/methods/drive.md. An estimate, never a permission.", warnings);
    }
}
