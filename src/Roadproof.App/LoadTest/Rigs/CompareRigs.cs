using System.CommandLine;
using Roadproof.App.Frame;
using Roadproof.App.Lots;
using Roadproof.Engineering.LoadTest.Rigs;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.ReadModel;
using Spectre.Console;

namespace Roadproof.App.LoadTest.Rigs;

/// <summary>Says how far apart rigs read: the same reference units, and the ordinary units that each was given.</summary>
public static class CompareRigs
{
    public sealed record Answer(IReadOnlyList<DifferenceAnswer> Differences, IReadOnlyList<LikeUnitsAnswer> LikeUnits, IReadOnlyList<RetestAnswer> Retests, string Method, IReadOnlyList<string> Warnings);

    /// <param name="Pair">The two rigs; the difference is the second less the first.</param>
    /// <param name="RigSd">Standard deviation between all rigs of the product; null where they share fewer than two references.</param>
    /// <param name="Differs">Beyond chance although all pairs and characteristics were looked at.</param>
    /// <param name="Weight">Whether it is large enough to matter, which rig is wrong, and what follows.</param>
    public sealed record DifferenceAnswer(string Product, IReadOnlyList<string> Pair, string Id, string Name, string Unit, double Difference, Interval Interval, int References, bool Differs, RigWeight Weight, double? RigSd);

    /// <param name="Difference">The second rig less the first, lots allowed for.</param>
    /// <param name="Units">First runs on each of the two.</param>
    /// <param name="Differs">Beyond chance although all pairs and characteristics were looked at.</param>
    public sealed record LikeUnitsAnswer(string Product, IReadOnlyList<string> Pair, string Id, string Name, string Unit, double Difference, Interval Interval, IReadOnlyList<int> Units, bool Differs, RigWeight Weight);

    /// <param name="Share">Of all units that ran there first, those that passed only when tried again; null without runs.</param>
    public sealed record RetestAnswer(string Product, string Rig, int FirstRuns, int NotPassed, int PassedOnRetest, double? Share, Interval? Interval);

    const string Method = "paired differences over the references that both rigs ran since each was put right, scatter of a run from the definitions; between rigs by analysis of variance; a difference matters that is surely more than a tenth of the half width of the expectation limit, all pairs and characteristics allowed for (Sidak); ordinary units: first runs since both rigs were put right, robust difference (Huber) with the lots of every part that may move a reading allowed for; shares by Wilson's score";

    public static void Map(IEndpointRouteBuilder app) =>
        app.MapGet("/api/v1/rigs/compare", (ComparedRigs compared) => Run(compared.Views())).WithSummary("How far apart rigs read the same reference units and the ordinary units that each was given, with intervals, and how many passed only on retest");

    public static Answer Run(IReadOnlyList<RigComparisonView> views)
    {
        var differences = views.SelectMany(v => v.Pairs.Select(p => new DifferenceAnswer(v.Product, [p.First, p.Second], p.Id, p.Name, p.Unit, p.Difference, p.Interval, p.References, p.Differs, p.Weight, v.RigSd.GetValueOrDefault(p.Id))))
            .OrderBy(d => d.Weight.Matters).ThenByDescending(d => Math.Abs(d.Difference) / (d.Weight.Margin ?? (d.Interval.Upper - d.Interval.Lower))).ToList();
        var like = views.SelectMany(v => v.LikeUnits.Select(p => new LikeUnitsAnswer(v.Product, [p.Of.First, p.Of.Second], p.Id, p.Name, p.Unit, p.Of.Difference, p.Of.Interval, [p.Of.UnitsOfFirst, p.Of.UnitsOfSecond], p.Of.Differs, p.Weight)))
            .OrderBy(d => d.Weight.Matters).ThenByDescending(d => Math.Abs(d.Difference) / (d.Weight.Margin ?? (d.Interval.Upper - d.Interval.Lower))).ToList();
        var retests = views.SelectMany(v => v.Retests.Select(r => new RetestAnswer(v.Product, r.Rig, r.FirstRuns, r.NotPassed, r.PassedOnRetest, r.FirstRuns > 0 ? (double)r.PassedOnRetest / r.FirstRuns : null, r.Interval))).ToList();
        return new(differences, like, retests, Method,
        [
            .. differences.Count == 0 ? ["Cannot tell by references: no two rigs have run the same sound one since they were put right."] : (string[])[],
            .. views.SelectMany(v => v.Untold.Select(Untold)),
        ]);
    }

    public static Command Command() => CommandLine.Verb("compare", "Says how far apart rigs read the same reference units and the ordinary units that each was given.", "rigs compare --data plant", [], (input, face, _) =>
        Task.FromResult(LotCommand.Asking(input, line =>
        {
            var a = Run(new ComparedRigs(line).Views());
            return face.Say(a, console => Print(console, a), a.Differences.Count + a.LikeUnits.Count == 0 ? Exit.CannotTell : Exit.Done);
        })));

    internal static string Untold(UntoldPair p) => $"{p.First} and {p.Second}: cannot tell by ordinary units; {Figure.Count(p.UnitsOfFirst)} and {Figure.Count(p.UnitsOfSecond)} since both were put right, at least {LikeUnits.Fewest} each of lots that went to both are needed.";

    static void Print(IAnsiConsole console, Answer a)
    {
        var table = Tables.Of("by", "rigs", "characteristic", ">difference", ">from", ">to", "unit", "what it comes to");
        foreach (var d in a.Differences)
            table.Row("references", $"{d.Pair[1]} less {d.Pair[0]}", d.Name, Number(d.Difference), Number(d.Interval.Lower), Number(d.Interval.Upper), d.Unit, d.Differs || d.Weight.Matters == Matters.CannotTell ? d.Weight.Sentence() : "");
        foreach (var d in a.LikeUnits)
            table.Row("units", $"{d.Pair[1]} less {d.Pair[0]}", d.Name, Number(d.Difference), Number(d.Interval.Lower), Number(d.Interval.Upper), d.Unit, d.Differs || d.Weight.Matters == Matters.CannotTell ? d.Weight.Sentence() : "");
        console.Write(table);
        var retests = Tables.Of("rig", ">first runs", ">not passed", ">passed only on retest", ">share, %", ">from", ">to");
        foreach (var r in a.Retests)
            retests.Row(r.Rig, Figure.Count(r.FirstRuns), Figure.Count(r.NotPassed), Figure.Count(r.PassedOnRetest), Percent(r.Share), Percent(r.Interval?.Lower), Percent(r.Interval?.Upper));
        console.Write(retests);
        foreach (var w in a.Warnings) console.WriteLine(w);
    }

    static string Percent(double? share) => share is { } s ? Tables.Figure(100 * s, 1) : "";

    static string Number(double value) => value.ToString("G3", CultureInfo.InvariantCulture);
}
