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
        Option<string?> route = new("--reading") { Description = "Reading of the route, in N, whose limits the largest force takes." };
        var limit = FeatureLimits.Option(PressVerdict.Ids);
        Option<string[]> band = new("--band") { Description = "FROM..TO=LOWER..UPPER: between two distances (mm) the force stays between two edges (N)." };
        Option<double> forceU = new("--force-u-share") { DefaultValueFactory = _ => 0.005, Description = "Standard uncertainty of the force gauge, as a share." };
        Option<double> distanceU = new("--distance-u-mm") { DefaultValueFactory = _ => 0.01, Description = "Standard uncertainty of the distance, mm." };
        return CommandLine.Verb("press", "Judges the force over distance of a press-in, and says what its pattern is the sign of.",
            "checks judge press stroke.csv --limit seat=9.9..10.1 --limit press-force=800..1400 --band 5..7=400..900", [file, product, route, limit, band, forceU, distanceU], (input, face, _) =>
            {
                var limits = FeatureLimits.Read(input.GetValue(limit), PressVerdict.Ids);
                if (input.GetValue(route) is { } reading)
                {
                    var id = input.GetValue(product) ?? throw new InputException(new InputError(product.Name, 0, "", "nothing", "the product whose route has the reading"));
                    limits.TryAdd(PressVerdict.BlockForce, RouteReading.Needed(input.GetValue(CommandLine.DefinitionsOption)!, id, reading, "N"));
                }

                var test = new PressTest
                {
                    Limits = limits,
                    Windows = [.. (input.GetValue(band) ?? []).Select(Band)],
                    ForceGainShare = Options.Least0(input, forceU),
                    DistanceUncertaintyM = Options.Least0(input, distanceU) / 1e3,
                };
                var a = Run(input.GetValue(file)!, test);
                return Task.FromResult(face.Say(a, console => JudgeCheck.Print(console, a.Verdict, a.Features, a.Reading), JudgeCheck.ExitOf(a.Verdict)));
            });
    }

    public static Answer Run(string file, PressTest test)
    {
        var v = PressVerdict.Judge(JudgeCheck.ReadAll([file], PressCurveFile.Read)[0], test);
        IReadOnlyList<string> warnings = v.Features.Any(f => f.Verdict is not null) ? [] : ["No limit was given: nothing was judged."];
        return new(v.Verdict, v.Features, string.Join(' ', v.Reading), "A line of the press force and one of the seat, noise from second differences; docs/methods/press.md.", warnings);
    }

    static PressWindow Band(string words)
    {
        var parts = words.Split('=');
        return parts.Length == 2 && FeatureLimits.Edges(parts[0]) is { Lower: { } from, Upper: { } to } && FeatureLimits.Edges(parts[1]) is { } force
            ? new(parts[0], from / 1e3, to / 1e3, force.Lower, force.Upper)
            : throw new InputException(new InputError("--band", 0, "", $"'{words}'", "FROM..TO=LOWER..UPPER such as 5..7=400..900, mm and N"));
    }
}
