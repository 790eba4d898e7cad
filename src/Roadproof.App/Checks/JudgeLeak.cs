using System.CommandLine;
using Roadproof.App.Definitions;
using Roadproof.App.Frame;
using Roadproof.Engineering.Checks;
using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Judging;

namespace Roadproof.App.Checks;

/// <summary>Judges the pressure decay of a sealed unit.</summary>
public static class JudgeLeak
{
    public sealed record Answer(RunVerdict Verdict, IReadOnlyList<CheckFeature> Features, string Reading, string Method, IReadOnlyList<string> Warnings);

    public const string Method = "Ideal gas: straight lines through pressure and temperature of the settled stretch, flow at 101 325 Pa and 20 °C; docs/methods/leak.md.";

    public static readonly Option<double?> Volume = new("--volume-cm3") { Description = "Volume under test with hoses and tester, cm³; the product's free volume." };
    public static readonly Option<double?> Pressure = new("--test-pressure-pa") { Description = "Test pressure above the atmosphere, Pa, below zero for a vacuum; the product's." };
    public static readonly Option<double?> Atmosphere = new("--atmosphere-pa") { Description = "Atmosphere at the test, Pa; 101325." };
    public static readonly Option<double?> From = new("--from-s") { Description = "Where measuring begins, s; searched in the curve." };
    public static readonly Option<double?> To = new("--to-s") { Description = "Where measuring ends, s; the last row." };

    public static Command Command()
    {
        Argument<string> file = new("file") { Description = "The hold of pressure as CSV." };
        Option<string> product = FindProduct.Option();
        Option<string?> reference = new("--reference") { Description = "Hold of a tight volume beside the part, as CSV: the thermometer of the gas." };
        Option<double?> limit = new("--limit-cm3-min") { Description = "Largest leak, cm³/min; that of the route's reading 'leak', else the product's." };
        Option<double?> volumeU = new("--volume-u-cm3") { Description = "Standard uncertainty of the volume, cm³; 0." };
        Option<double?> step = new("--pressure-step-pa") { Description = "Smallest step that the gauge shows, Pa; 0." };
        Option<double?> least = new("--least-s") { Description = "Shortest settled stretch that is judged, s; 5." };
        return CommandLine.Verb("leak", "Judges the pressure decay of a sealed unit, and tells what temperature explains of it.", "checks judge leak hold.csv --product af-85",
            [file, product, reference, limit, Volume, volumeU, Pressure, Atmosphere, step, From, To, least], (input, face, _) =>
            {
                var (folder, id) = (input.GetValue(CommandLine.DefinitionsOption)!, input.GetValue(product)!);
                var test = TestOf(FindProduct.LoadTest(folder, id).Unit.Seal, input);
                test = test with
                {
                    Limit = Options.Above0(input, limit) is { } typed ? new(null, typed, "command line") : RouteReading.Window(folder, id, "leak", LeakVerdict.Cm3PerMin) ?? test.Limit,
                    VolumeUncertaintyM3 = (Options.Least0(input, volumeU) ?? 0) / 1e6,
                    PressureStepPa = Options.Least0(input, step) ?? 0,
                    LeastS = Options.Above0(input, least) ?? 5,
                };
                var a = Run(input.GetValue(file)!, input.GetValue(reference), test);
                return Task.FromResult(face.Say(a, console => JudgeCheck.Print(console, a.Verdict, a.Features, a.Reading), JudgeCheck.ExitOf(a.Verdict)));
            });
    }

    public static Answer Run(string file, string? reference, LeakTest test)
    {
        var curves = JudgeCheck.ReadAll(reference is null ? [file] : [file, reference], (name, stream) => LeakCurveFile.Read(name, stream, test.AtmospherePa));
        var v = LeakVerdict.Judge(reference is null ? curves[0] : ReferenceVolume.AsThermometer(curves[0], curves[1]), test);
        return new(v.Verdict, v.Features, string.Join(' ', v.Reading), Method, []);
    }

    /// <summary>The product's seal, where the command line does not say otherwise.</summary>
    public static LeakTest TestOf(Seal seal, ParseResult input) => new()
    {
        VolumeM3 = Options.Above0(input, Volume) / 1e6 ?? seal.FreeVolumeM3,
        TestPressurePa = input.GetValue(Pressure) ?? seal.TestPressurePa,
        AtmospherePa = Options.Above0(input, Atmosphere) ?? LeakRate.StandardPressurePa,
        Limit = new(null, seal.LeakLimitM3PerS * LeakRate.Cm3PerMinPerM3PerS, "product"),
        FromS = input.GetValue(From),
        ToS = input.GetValue(To),
    };
}
