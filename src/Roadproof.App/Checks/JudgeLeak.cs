using System.CommandLine;
using Roadproof.App.Definitions;
using Roadproof.App.Frame;
using Roadproof.Engineering.Checks;
using Roadproof.Engineering.Judging;

namespace Roadproof.App.Checks;

/// <summary>Judges the pressure decay of a sealed unit.</summary>
public static class JudgeLeak
{
    public sealed record Answer(RunVerdict Verdict, IReadOnlyList<CheckFeature> Features, string Reading, string Method, IReadOnlyList<string> Warnings);

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
                var test = TestOf(folder, id, input);
                test = test with
                {
                    Limit = Options.Above0(input, limit) is { } typed ? new(null, typed, "command line") : test.Limit,
                    VolumeUncertaintyM3 = Options.Least0(input, volumeU) / 1e6 ?? test.VolumeUncertaintyM3,
                    PressureStepPa = Options.Least0(input, step) ?? test.PressureStepPa,
                    LeastS = Options.Above0(input, least) ?? test.LeastS,
                };
                var a = Run(input.GetValue(file)!, input.GetValue(reference), test);
                return Task.FromResult(face.Say(a, console => JudgeCheck.Print(console, a.Verdict, a.Features, a.Reading), JudgeCheck.ExitOf(a.Verdict)));
            });
    }

    public static Answer Run(string file, string? reference, LeakTest test)
    {
        var curves = JudgeCheck.ReadAll(reference is null ? [file] : [file, reference], (name, stream) => LeakCurveFile.Read(name, stream, test.AtmospherePa));
        var v = LeakVerdict.Judge(reference is null ? curves[0] : ReferenceVolume.AsThermometer(curves[0], curves[1]), test);
        return new(v.Verdict, v.Features, string.Join(' ', v.Reading), LeakVerdict.Method, []);
    }

    /// <summary>The reading of the route that is judged from its curve, else the product's seal with the limit of reading 'leak'; where the command line does not say otherwise.</summary>
    public static LeakTest TestOf(string folder, string product, ParseResult input)
    {
        var planned = RouteReading.Find(folder, product, r => r.Leak is not null);
        var seal = planned?.Leak is { VolumeCm3: not null, TestPressurePa: not null } ? null : FindProduct.LoadTest(folder, product).Unit.Seal;
        var test = planned is not null ? planned.Leak!.Test(planned, seal) : new LeakTest
        {
            VolumeM3 = seal!.FreeVolumeM3,
            TestPressurePa = seal.TestPressurePa,
            Limit = RouteReading.Window(folder, product, "leak", LeakVerdict.Cm3PerMin) ?? new(null, seal.LeakLimitM3PerS * LeakRate.Cm3PerMinPerM3PerS, "product"),
        };
        return test with
        {
            VolumeM3 = Options.Above0(input, Volume) / 1e6 ?? test.VolumeM3,
            TestPressurePa = input.GetValue(Pressure) ?? test.TestPressurePa,
            AtmospherePa = Options.Above0(input, Atmosphere) ?? test.AtmospherePa,
            FromS = input.GetValue(From),
            ToS = input.GetValue(To),
        };
    }
}
