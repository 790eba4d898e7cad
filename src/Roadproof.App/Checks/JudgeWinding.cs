using System.CommandLine;
using Roadproof.App.Definitions;
using Roadproof.App.Frame;
using Roadproof.Engineering.Checks;
using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Judging;
using Roadproof.Engineering.Quantities;

namespace Roadproof.App.Checks;

/// <summary>Judges a winding: readings by pair, an insulation curve, or a surge beside its master.</summary>
public static class JudgeWinding
{
    const string CommonPractice = "common practice, no source";

    public sealed record Answer(RunVerdict Verdict, IReadOnlyList<CheckFeature> Features, string Reading, string Method, IReadOnlyList<string> Warnings);

    public static Command Command()
    {
        Argument<string> file = new("file") { Description = "Readings by pair, insulation over time, or a surge with its master, as CSV." };
        Option<string> product = FindProduct.Option();
        var limit = FeatureLimits.Option(WindingVerdict.Ids);
        Option<string> connection = new("--connection") { DefaultValueFactory = _ => "star", Description = "star or delta." };
        Option<double> lead = new("--lead-ohm") { Description = "Leads and contacts of two-wire measuring, Ω; 0 for four wires." };
        Option<double> leadU = new("--lead-u-ohm") { Description = "Their standard uncertainty, the same for all pairs, Ω; 0." };
        Option<double> contact = new("--contact-u-ohm") { Description = "Scatter of a contact from pair to pair, Ω; 0." };
        Option<double> temperature = new("--temperature-u-k") { DefaultValueFactory = _ => 0.5, Description = "Standard uncertainty of the winding's temperature, K." };
        Option<bool> rotor = new("--rotor-in") { Description = "The rotor was in: inductances by pair follow its place." };
        return CommandLine.Verb("winding", "Judges a winding: resistances, inductances, insulation, temperature sensor, answer to a surge. Insulation and surge tests are for instructed people at guarded stations.",
            "checks judge winding readings.csv --product af-85", [file, product, limit, connection, lead, leadU, contact, temperature, rotor], (input, face, _) =>
            {
                var motor = FindProduct.LoadTest(input.GetValue(CommandLine.DefinitionsOption)!, input.GetValue(product)!).Unit.Motor;
                var limits = LimitsOf(motor);
                foreach (var (id, window) in FeatureLimits.Read(input.GetValue(limit), WindingVerdict.Ids)) limits[id] = window;
                var test = new WindingTest
                {
                    Limits = limits,
                    Connection = Enum.TryParse<WindingConnection>(input.GetValue(connection), ignoreCase: true, out var c) && !char.IsDigit(input.GetValue(connection)![0])
                        ? c : throw new InputException(new InputError("--connection", 0, "", $"'{input.GetValue(connection)}'", "star or delta")),
                    LeadOhm = new(Options.Least0(input, lead), Options.Least0(input, leadU)),
                    ContactOhm = Options.Least0(input, contact),
                    TemperatureK = Options.Least0(input, temperature),
                    RotorSaliency = input.GetValue(rotor) ? (motor.InductanceQH - motor.InductanceDH) / (motor.InductanceQH + motor.InductanceDH) : null,
                };
                var a = Run(input.GetValue(file)!, test);
                return Task.FromResult(face.Say(a, console => JudgeCheck.Print(console, a.Verdict, a.Features, a.Reading), JudgeCheck.ExitOf(a.Verdict)));
            });
    }

    public static Answer Run(string file, WindingTest test)
    {
        var (readings, insulation, surge) = JudgeCheck.ReadAll([file], WindingFile.Read)[0];
        var v = readings is not null ? WindingVerdict.Judge(readings, test) : insulation is not null ? WindingVerdict.Judge(insulation, test) : WindingVerdict.Judge(surge!, test);
        return new(v.Verdict, v.Features, string.Join(' ', v.Reading), "Copper by (235 + ϑ), Kirchhoff's laws, damped wave by least squares; docs/methods/winding.md.", []);
    }

    /// <summary>The product's resistance, and what is usual elsewhere.</summary>
    static Dictionary<string, FeatureWindow> LimitsOf(Motor motor)
    {
        var pairMilliohm = 2e3 * motor.PhaseResistance20Ohm;
        return new(StringComparer.Ordinal)
        {
            [WindingVerdict.Resistance] = new(0.97 * pairMilliohm, 1.03 * pairMilliohm, $"product ± 3 %; {CommonPractice}"),
            [WindingVerdict.ResistanceImbalance] = new(null, 1, CommonPractice),
            [WindingVerdict.InductanceImbalance] = new(null, 2, CommonPractice),
            [WindingVerdict.InsulationOhm] = new(100, null, CommonPractice),
            [WindingVerdict.SensorDeviation] = new(-2, 2, CommonPractice),
            [WindingVerdict.SurgeArea] = new(null, 10, CommonPractice),
        };
    }
}
