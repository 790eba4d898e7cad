using System.CommandLine;
using Roadproof.App.Definitions;
using Roadproof.App.Frame;
using Roadproof.Engineering.LoadTest;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.ReadModel;
using Spectre.Console;

namespace Roadproof.App.LoadTest;

/// <summary>Tries the diagnosis of a product's load test on drawn units whose faults are known: which cause it names first for which.</summary>
public static class TryDiagnosis
{
    public sealed record Line(string Fault, string Name, string Unit, double Size, bool LimitedSize, int Units, int Right, Interval RightShare, IReadOnlyList<NamedFirst> Named);

    public sealed record Answer(IReadOnlyList<Line> Faults, IReadOnlyList<PairTrialRow> Pairs, string Method, IReadOnlyList<string> Warnings);

    const string Method = "diagnosis-trial/1: units drawn by the full model with scattered parts, rig, noise and temperature errors, each fault at twice the size that nine of ten units are stopped for; "
        + "right where the fault was named first, or one that the line says it cannot be told from; 95 % intervals by Wilson's score";

    public static Command Command()
    {
        Option<string> product = FindProduct.Option();
        Option<int> units = new("--units") { Description = "Units drawn for each fault.", DefaultValueFactory = _ => 1000 };
        Option<ulong> seed = new("--seed") { Description = "The same seed draws the same units.", DefaultValueFactory = _ => 1 };
        Option<bool> pairs = new("--pairs") { Description = "Also two faults at once, a tenth of the units for each pair." };
        return CommandLine.Verb("confusion", "Which cause the diagnosis names first in units whose fault is known: its confusion matrix.",
            "loadtest confusion --product af-85 --units 1000 --pairs", [product, units, seed, pairs], (input, face, _) =>
            {
                var count = input.GetValue(units);
                if (count is < 10 or > 100_000) throw new InputException(new InputError("--units", 0, "", count.ToString(CultureInfo.InvariantCulture), "10 to 100000 units"));
                var plan = FindProduct.LoadTest(input.GetValue(CommandLine.DefinitionsOption)!, input.GetValue(product)!);
                var a = Run(plan, count, input.GetValue(seed), input.GetValue(pairs));
                return Task.FromResult(face.Say(a, console => Print(console, a), Exit.Done));
            });
    }

    public static Answer Run(LoadTestPlan plan, int units, ulong seed, bool pairs)
    {
        var judge = new LoadTestJudge(plan);
        var faults = judge.TryDiagnosis(units, seed);
        return new([.. faults.Select(Of)], pairs ? judge.TryDiagnosisOfTwo(units / 10, seed) : [], Method,
            [.. faults.Where(f => f.LimitedSize).Select(f => $"{f.Name}: twice the smallest size found is more than there can be or the model carries; drawn at {f.Size.ToString("G3", CultureInfo.InvariantCulture)} {f.Unit}.")]);
    }

    static Line Of(DiagnosisTrialRow row)
    {
        var (lower, upper) = Figures.ShareInterval(row.Right, row.Units);
        return new(row.Fault, row.Name, row.Unit, row.Size, row.LimitedSize, row.Units, row.Right, new(lower, upper, 0.95), row.Named);
    }

    static void Print(IAnsiConsole console, Answer a)
    {
        var table = Tables.Of("fault", ">size", "unit", ">right", ">95 %", "named first");
        foreach (var f in a.Faults)
            table.Row(f.Fault, f.Size.ToString("G3", CultureInfo.InvariantCulture), f.Unit, Share((double)f.Right / f.Units), $"{Share(f.RightShare.Lower)} to {Share(f.RightShare.Upper)}", Named(f.Named, f.Units));
        console.Write(table);
        if (a.Pairs.Count > 0)
        {
            var two = Tables.Of("two at once", "", ">both", ">one of them", "named first");
            foreach (var p in a.Pairs) two.Row(p.First, p.Second, Share((double)p.Both / p.Units), Share((double)p.One / p.Units), Named(p.Named, p.Units));
            console.Write(two);
        }

        foreach (var w in a.Warnings) console.WriteLine(w);
    }

    static string Named(IReadOnlyList<NamedFirst> named, int units) => string.Join(", ", named.Take(4).Select(n => $"{n.Fault} {Share((double)n.Units / units)}"));

    static string Share(double share) => share.ToString("P1", CultureInfo.InvariantCulture);
}
