using System.CommandLine;
using Roadproof.App.Definitions;
using Roadproof.App.Frame;
using Roadproof.Engineering.Checks;
using Roadproof.Engineering.Judging;
using Roadproof.Engineering.Signals;

namespace Roadproof.App.Checks;

/// <summary>Judges a grease dose, weighed or read from the dispenser's pressure.</summary>
public static class JudgeGrease
{
    /// <summary>Common practice, no source.</summary>
    const double DoseShare = 0.1;

    public sealed record Answer(RunVerdict Verdict, IReadOnlyList<CheckFeature> Features, string Reading, string Method, IReadOnlyList<string> Warnings);

    public static Command Command()
    {
        Argument<string> file = new("file") { Description = "Weighings or one shot's pressure over time, as CSV." };
        Option<string> product = FindProduct.Option();
        var limit = FeatureLimits.Option(GreaseVerdict.Ids);
        Option<double> scale = new("--scale-u-g") { DefaultValueFactory = _ => 0.02, Description = "Standard uncertainty of one reading of the scale, g." };
        Option<double?> flow = new("--flow-g-s") { Description = "What the dispenser gives at nominal pressure by weighed shots, g/s." };
        Option<double> flowU = new("--flow-u-share") { DefaultValueFactory = _ => 0.03, Description = "Its standard uncertainty, as a share." };
        Option<double> nominal = new("--nominal-pressure-pa") { DefaultValueFactory = _ => 2e6, Description = "Pressure that the flow was weighed at, Pa." };
        Option<double> index = new("--flow-index") { DefaultValueFactory = _ => 0.4, Description = "Exponent of the grease's power law; 1 is an oil." };
        return CommandLine.Verb("grease", "Judges a grease dose, weighed or read from the dispenser's pressure.", "checks judge grease weighings.csv --product af-85",
            [file, product, limit, scale, flow, flowU, nominal, index], (input, face, _) =>
            {
                var (folder, id) = (input.GetValue(CommandLine.DefinitionsOption)!, input.GetValue(product)!);
                var grams = FindProduct.LoadTest(folder, id).Unit.GearDrag.GreaseMassKg * 1e3;
                var limits = new Dictionary<string, FeatureWindow>(StringComparer.Ordinal)
                {
                    [GreaseVerdict.Dose] = RouteReading.Window(folder, id, "grease-mass", "g") ?? new((1 - DoseShare) * grams, (1 + DoseShare) * grams, "product ± 10 %; common practice, no source"),
                };
                foreach (var (feature, window) in FeatureLimits.Read(input.GetValue(limit), GreaseVerdict.Ids)) limits[feature] = window;
                var test = new GreaseTest
                {
                    Limits = limits,
                    ScaleUncertaintyG = Options.Least0(input, scale),
                    FlowGPerS = Options.Above0(input, flow) is { } f ? new Reading(f, f * Options.Least0(input, flowU)) : null,
                    NominalPa = Options.Above0(input, nominal),
                    FlowIndex = Options.Above0(input, index),
                };
                var a = Run(input.GetValue(file)!, test);
                return Task.FromResult(face.Say(a, console => JudgeCheck.Print(console, a.Verdict, a.Features, a.Reading), JudgeCheck.ExitOf(a.Verdict)));
            });
    }

    public static Answer Run(string file, GreaseTest test)
    {
        var (weighings, shot) = JudgeCheck.ReadAll([file], GreaseFile.Read)[0];
        var v = weighings is not null ? GreaseVerdict.Judge(weighings, test) : GreaseVerdict.Judge(shot!, test);
        return new(v.Verdict, v.Features, string.Join(' ', v.Reading), weighings is not null ? "Difference of two weighings; docs/methods/grease.md." : "Calibrated flow times ∫(p/p₀)^(1/n) dt; docs/methods/grease.md.", []);
    }
}
