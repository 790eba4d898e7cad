using System.CommandLine;
using Roadproof.App.Frame;
using Roadproof.Engineering.Judging;
using Roadproof.Engineering.Quantities;
using Spectre.Console;

namespace Roadproof.App.Judging;

/// <summary>What a retest lets through: how often a unit passes that truly lies a distance beyond its limit, and one as far within.</summary>
public static class ComputeRetest
{
    public sealed record Answer(double PassIfBad, double PassIfGood, string Method, IReadOnlyList<string> Warnings);

    public static Command Command()
    {
        Option<double> distance = new("--distance-u") { Required = true, Description = "Distance of the true value from the limit, in standard uncertainties of one reading." };
        Option<string> scheme = new("--scheme") { Required = true, Description = "single, free, two-of-two or mean." };
        Option<double> share = new("--redrawn-share") { DefaultValueFactory = _ => 1, Description = "Share of the uncertainty's variance that a retest draws anew; the rest, such as the rig's own error, comes again." };
        Option<double> guard = new("--guard-factor") { Description = "Guard band in standard uncertainties." };
        Option<int> retests = new("--retests") { DefaultValueFactory = _ => 1, Description = "How often a test that failed is tried again." };
        return CommandLine.Verb("retest", "How often a bad unit and a good one pass by a retest scheme.", "judge retest --distance-u 0.5 --scheme two-of-two --redrawn-share 0.2",
            [distance, scheme, share, guard, retests], (input, face, _) =>
            {
                var a = Run(input.GetValue(distance), input.GetValue(scheme)!, input.GetValue(share), input.GetValue(guard), input.GetValue(retests));
                return Task.FromResult(face.Say(a, console =>
                {
                    console.Write(Tables.Of("a unit truly", ">passes")
                        .Row("as far beyond the limit", a.PassIfBad.ToString("P1", CultureInfo.InvariantCulture))
                        .Row("as far within", a.PassIfGood.ToString("P1", CultureInfo.InvariantCulture)));
                    console.WriteLine(a.Method);
                    foreach (var w in a.Warnings) console.WriteLine(w);
                }));
            });
    }

    /// <exception cref="InputException">A scheme that is none, or numbers that cannot be.</exception>
    public static Answer Run(double distanceU, string scheme, double redrawnShare, double guardFactor, int retests)
    {
        if (Schemes.FirstOrDefault(s => s.Word == scheme) is not { Word: not null } known)
            throw new InputException([new("judge retest", 0, "--scheme", $"'{scheme}'", $"one of {string.Join(", ", Schemes.Select(s => s.Word))}")]);
        var risk = RetestRisk.Of(distanceU, known.Scheme, redrawnShare, guardFactor, retests);
        var warnings = new List<string>();
        if (known.Scheme == RetestScheme.Free) warnings.Add("A plain second chance launders: no route here may ask for it.");
        if (known.Scheme != RetestScheme.Single && redrawnShare < 1) warnings.Add("On another rig its own error is drawn anew as well: the redrawn share is larger there.");
        return new(risk.PassIfBad, risk.PassIfGood, "Normal readings about the true value, counted from the first test on; what is not drawn anew is common to all tests. Computed by integration, docs/methods/judging.md.", warnings);
    }

    static readonly (string Word, RetestScheme Scheme)[] Schemes = [("single", RetestScheme.Single), ("free", RetestScheme.Free), ("two-of-two", RetestScheme.TwoOfTwo), ("mean", RetestScheme.Mean)];
}
