using System.CommandLine;
using Roadproof.App.Definitions;
using Roadproof.App.Frame;
using Roadproof.Engineering.Checks;
using Roadproof.Engineering.Quantities;
using Spectre.Console;

namespace Roadproof.App.Checks;

/// <summary>The volume under test, and whether the leak test reads a known leak right, from two runs without and with it.</summary>
public static class CalibrateLeak
{
    public sealed record Answer(double VolumeM3, double VolumeStandardUncertaintyM3, double ReadCm3PerMin, double ReadStandardUncertaintyCm3PerMin, double En, bool Agrees, string Method, IReadOnlyList<string> Warnings);

    public static Command Command()
    {
        Argument<string> without = new("without") { Description = "A run without the known leak, as CSV." };
        Argument<string> with = new("with") { Description = "A run on the same part with it, as CSV." };
        Option<string> product = FindProduct.Option();
        Option<double> flow = new("--known-leak-cm3-min") { Required = true, Description = "The known leak at the test pressure, cm³/min at 101 325 Pa and 20 °C." };
        Option<double> uncertainty = new("--known-leak-u-cm3-min") { Required = true, Description = "Its standard uncertainty by its certificate, cm³/min." };
        return CommandLine.Verb("calibrate-leak", "Volume calibration and master leak check from two runs, without and with a known leak.",
            "checks calibrate-leak without.csv with.csv --product af-85 --known-leak-cm3-min 5 --known-leak-u-cm3-min 0.05",
            [without, with, product, flow, uncertainty, JudgeLeak.Volume, JudgeLeak.Pressure, JudgeLeak.Atmosphere, JudgeLeak.From, JudgeLeak.To], (input, face, _) =>
            {
                var test = JudgeLeak.TestOf(input.GetValue(CommandLine.DefinitionsOption)!, input.GetValue(product)!, input);
                var a = Run(input.GetValue(without)!, input.GetValue(with)!, new(new(input.GetValue(flow), input.GetValue(uncertainty))), test);
                return Task.FromResult(face.Say(a, console =>
                {
                    console.Write(Tables.Of("", ">value", ">u", "unit")
                        .Row("volume under test", Tables.Figure(1e6 * a.VolumeM3, 1), Tables.Figure(1e6 * a.VolumeStandardUncertaintyM3, 1), "cm³")
                        .Row("known leak as read", Tables.Figure(a.ReadCm3PerMin), Tables.Figure(a.ReadStandardUncertaintyCm3PerMin), "cm³/min")
                        .Row("E_n", Tables.Figure(a.En), "", ""));
                    console.WriteLine(a.Agrees ? "The test reads the known leak right." : "The test does not read the known leak right: check volume, hoses, and where it leaks itself.");
                    foreach (var w in a.Warnings) console.WriteLine(w);
                }, a.Agrees ? Exit.Done : Exit.No));
            });
    }

    public static Answer Run(string withoutFile, string withFile, MasterLeak master, LeakTest test)
    {
        if (!(master.Cm3PerMin is { Value: > 0, StandardUncertainty: >= 0 }))
            throw new InputException(new InputError("--known-leak-cm3-min", 0, "", FormattableString.Invariant($"{master.Cm3PerMin.Value} ± {master.Cm3PerMin.StandardUncertainty}"), "a flow above 0 and an uncertainty of 0 or more, cm³/min"));
        var runs = JudgeCheck.ReadAll([withoutFile, withFile], (name, stream) => LeakReadings.From(LeakCurveFile.Read(name, stream, test.AtmospherePa), test));
        var (without, with) = (runs[0], runs[1]);
        var volume = VolumeCalibration.VolumeM3(without, with, master, test.Reference);
        var (read, en) = VolumeCalibration.Check(without, with, master, test);
        List<string> warnings = [.. NotSettled(without, withoutFile), .. NotSettled(with, withFile)];
        return new(volume.Value, volume.StandardUncertainty, read.Value, read.StandardUncertainty, en, Math.Abs(en) <= VolumeCalibration.AgreesWithin && warnings.Count == 0, LeakVerdict.Method, warnings);
    }

    static IEnumerable<string> NotSettled(LeakReadings run, string file)
    {
        if (!run.Settled) yield return $"{file} had not settled: do not use these figures.";
    }
}
