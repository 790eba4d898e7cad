using System.CommandLine;
using Roadproof.App.Frame;
using Roadproof.App.Lots;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.ReadModel;
using Spectre.Console;

namespace Roadproof.App.LoadTest.Rigs;

/// <summary>Says how far apart rigs read the same reference units.</summary>
public static class CompareRigs
{
    public sealed record Answer(IReadOnlyList<DifferenceAnswer> Differences, string Method, IReadOnlyList<string> Warnings);

    /// <param name="Pair">The two rigs; the difference is the second less the first.</param>
    /// <param name="RigSd">Standard deviation between all rigs of the product; null where they share fewer than two references.</param>
    /// <param name="Differs">The interval holds no zero.</param>
    public sealed record DifferenceAnswer(string Product, IReadOnlyList<string> Pair, string Id, string Name, string Unit, double Difference, Interval Interval, int References, bool Differs, double? RigSd);

    const string Method = "paired differences over the references that both rigs ran since each was put right, scatter of a run from the definitions; between rigs by analysis of variance";

    public static void Map(IEndpointRouteBuilder app) =>
        app.MapGet("/api/v1/rigs/compare", (OpenLine line) => Run(line)).WithSummary("How far apart rigs read the same reference units, with intervals");

    public static Answer Run(OpenLine line)
    {
        var plant = line.Plant;
        var views = line.Ask(c => RigQuery.Compare(c, plant));
        var differences = views.SelectMany(v => v.Pairs.Select(p => new DifferenceAnswer(v.Product, [p.First, p.Second], p.Id, p.Name, p.Unit, p.Difference, p.Interval, p.References, p.Differs, v.RigSd.GetValueOrDefault(p.Id))))
            .OrderByDescending(d => Math.Abs(d.Difference) / (d.Interval.Upper - d.Interval.Lower)).ToList();
        return new(differences, Method, differences.Count == 0 ? ["Cannot tell: no two rigs have run the same sound reference since they were put right."] : []);
    }

    public static Command Command() => CommandLine.Verb("compare", "Says how far apart rigs read the same reference units.", "rigs compare --data plant", [], (input, face, _) =>
        LotCommand.WithLine(input, line =>
        {
            var a = Run(line);
            return Task.FromResult(face.Say(a, console => Print(console, a), a.Differences.Count == 0 ? Exit.CannotTell : Exit.Done));
        }));

    static void Print(IAnsiConsole console, Answer a)
    {
        var table = Tables.Of("rigs", "characteristic", ">difference", ">from", ">to", "unit", "");
        foreach (var d in a.Differences)
            table.Row($"{d.Pair[1]} less {d.Pair[0]}", d.Name, Number(d.Difference), Number(d.Interval.Lower), Number(d.Interval.Upper), d.Unit, d.Differs ? "differ" : "");
        console.Write(table);
        foreach (var w in a.Warnings) console.WriteLine(w);
    }

    static string Number(double value) => value.ToString("G3", CultureInfo.InvariantCulture);
}
