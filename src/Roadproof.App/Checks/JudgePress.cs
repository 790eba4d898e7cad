using System.CommandLine;
using Roadproof.App.Frame;
using Roadproof.Engineering.Checks;
using Roadproof.Engineering.Judging;
using Roadproof.Engineering.Quantities;

namespace Roadproof.App.Checks;

/// <summary>Judges the force over distance of a press-in.</summary>
public static class JudgePress
{
    public sealed record Answer(RunVerdict Verdict, IReadOnlyList<CheckFeature> Features, string Reading, string Method, IReadOnlyList<string> Warnings);

    public static Command Command()
    {
        Argument<string> file = new("file") { Description = "Force over distance as CSV, one stroke." };
        Option<string?> product = new("--product") { Description = "Product whose route has the reading that --reading names." };
        Option<string?> route = new("--reading") { Description = "Reading of the route, in N, whose limits the largest force takes, and where it is judged from its curve everything else." };
        var limit = FeatureLimits.Option(PressVerdict.Ids);
        Option<string[]> band = new("--band") { Description = "FROM..TO=LOWER..UPPER: between two distances (mm) the force stays between two edges (N)." };
        Option<double?> forceU = new("--force-u-share") { Description = "Standard uncertainty of the force gauge, as a share; the reading's, else 0.005." };
        Option<double?> distanceU = new("--distance-u-mm") { Description = "Standard uncertainty of the distance, mm; the reading's, else 0.01." };
        return CommandLine.Verb("press", "Judges the force over distance of a press-in, and says what its pattern is the sign of.",
            "checks judge press stroke.csv --limit seat=9.9..10.1 --limit press-force=800..1400 --band 5..7=400..900", [file, product, route, limit, band, forceU, distanceU], (input, face, _) =>
            {
                var planned = new PressTest();
                var limits = FeatureLimits.Read(input.GetValue(limit), PressVerdict.Ids);
                if (input.GetValue(route) is { } reading)
                {
                    var id = input.GetValue(product) ?? throw new InputException(new InputError(product.Name, 0, "", "nothing", "the product whose route has the reading"));
                    var folder = input.GetValue(CommandLine.DefinitionsOption)!;
                    if (RouteReading.Find(folder, id, r => r.Id == reading && r.Press is not null) is { } found) planned = found.Press!.Test(found);
                    else limits.TryAdd(PressVerdict.BlockForce, RouteReading.Needed(folder, id, reading, "N"));
                    foreach (var (feature, window) in planned.Limits) limits.TryAdd(feature, window);
                }

                var test = new PressTest
                {
                    Limits = limits,
                    Windows = [.. planned.Windows, .. (input.GetValue(band) ?? []).Select(Band)],
                    ForceGainShare = Options.Least0(input, forceU) ?? planned.ForceGainShare,
                    DistanceUncertaintyM = Options.Least0(input, distanceU) / 1e3 ?? planned.DistanceUncertaintyM,
                };
                var a = Run(input.GetValue(file)!, test);
                return Task.FromResult(face.Say(a, console => JudgeCheck.Print(console, a.Verdict, a.Features, a.Reading), JudgeCheck.ExitOf(a.Verdict)));
            });
    }

    public static Answer Run(string file, PressTest test)
    {
        var v = PressVerdict.Judge(JudgeCheck.ReadAll([file], PressCurveFile.Read)[0], test);
        IReadOnlyList<string> warnings = v.Features.Any(f => f.Verdict is not null) ? [] : ["No limit was given: nothing was judged."];
        return new(v.Verdict, v.Features, string.Join(' ', v.Reading), PressVerdict.Method, warnings);
    }

    static PressWindow Band(string words)
    {
        var parts = words.Split('=');
        return parts.Length == 2 && FeatureLimits.Edges(parts[0]) is { Lower: { } from, Upper: { } to } && FeatureLimits.Edges(parts[1]) is { } force
            ? new(parts[0], from / 1e3, to / 1e3, force.Lower, force.Upper)
            : throw new InputException(new InputError("--band", 0, "", $"'{words}'", "FROM..TO=LOWER..UPPER such as 5..7=400..900, mm and N"));
    }
}
