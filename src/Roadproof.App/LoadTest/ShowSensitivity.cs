using System.CommandLine;
using Roadproof.App.Definitions;
using Roadproof.App.Frame;
using Roadproof.Engineering.LoadTest;
using Roadproof.Records.Definitions;
using Spectre.Console;

namespace Roadproof.App.LoadTest;

/// <summary>What a product's load test can and cannot see.</summary>
public static class ShowSensitivity
{
    public sealed record Answer(IReadOnlyList<FaultSensitivity> Faults, IReadOnlyList<UnseenAnswer> Unseen, double FalseAlarm, string Method, IReadOnlyList<string> Warnings);

    /// <summary>A fault that no load point sees, with what of the route must catch it.</summary>
    public sealed record UnseenAnswer(string Fault, string Name, string Why, string? SeenBy, double FarthestSigma, double Rate, IReadOnlyList<ProcessRecord> Records);

    public const string Method =
        "60 000 seeded units of scattering parts, moved by what the model says the fault does to a run carried to reference; found = stopped by a limit at the present false-alarm rate; smallest found in nine of ten; best = the joint test that finds most over all faults at their usual sizes, and the test for one fault alone (Neyman and Pearson).";

    public static Command Command()
    {
        Option<string> product = FindProduct.Option();
        return CommandLine.Verb("sensitivity", "What a load test can and cannot see: each fault's smallest size that is found, the load point that sees it, and which records must catch the rest.",
            "loadtest sensitivity --product af-85", [product], (input, face, _) =>
            {
                var a = Run(FindProduct.Files(input.GetValue(CommandLine.DefinitionsOption)!), input.GetValue(CommandLine.DefinitionsOption)!, input.GetValue(product)!);
                return Task.FromResult(face.Say(a, console => Print(console, a)));
            });
    }

    static Answer Run(IReadOnlyList<(string Name, string Text)> files, string folder, string product)
    {
        FindProduct.LoadTest(folder, product);
        var revisions = DefinitionFolder.Read(files);
        var revision = revisions.First(r => r.Product.Id == product);
        return Of(new LoadTestJudge(revision.LoadTest), revision, revisions);
    }

    /// <param name="plant">Every revision of the plant: a built part's own route may hold the record.</param>
    public static Answer Of(LoadTestJudge judge, RouteRevision revision, IReadOnlyList<RouteRevision> plant) => new(
        judge.Sensitivity(),
        [.. judge.Unseen().Select(u => new UnseenAnswer(u.Id, u.Name, u.Why, u.SeenBy, u.FarthestSigma, u.Rate, ProcessRecords.Of(u, revision, plant)))],
        revision.LoadTest.FalseAlarm, Method,
        ["Sizes hold for faults that come alone, parts that scatter as their tolerances say, and rigs that are what their gauges say.", "Records are found by the words of their ids and names: whether they would catch the fault is for the plant to prove."]);

    static void Print(IAnsiConsole console, Answer a)
    {
        var table = Tables.Of("fault", ">found from", "unit", ">typical", ">found then", ">best joint test", ">for it alone", ">limit, sigma", "best load point", "seen by");
        foreach (var f in a.Faults)
            table.Row(f.Name, f.SmallestFound is { } s ? G(s) : "never", f.Unit, G(f.Typical), P(f.RateAtTypical), P(f.Best.Together), P(f.Best.Alone), f.LimitSigma is { } limit ? limit.ToString("0.0", CultureInfo.InvariantCulture) : "", f.BestPoint ?? "none", f.SeenBy);
        console.Write(table);
        var unseen = Tables.Of("not seen by any load point", ">found", "record that must catch it");
        foreach (var u in a.Unseen)
            unseen.Row(u.Name, P(u.Rate), u.Records.Count == 0 ? "none on this route" : string.Join("; ", u.Records.Select(r => $"{r.Step}: {r.Name}")));
        console.Write(unseen);
        foreach (var w in a.Warnings) console.WriteLine(w);
    }

    static string P(double rate) => rate.ToString("P1", CultureInfo.InvariantCulture);

    static string G(double value) => value.ToString("G3", CultureInfo.InvariantCulture);
}
