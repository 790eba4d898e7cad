using System.CommandLine;
using Roadproof.App.Frame;
using Roadproof.Engineering.Checks;
using Roadproof.Engineering.Checks.Tightening;
using Roadproof.Engineering.Judging;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Definitions;
using Spectre.Console;

namespace Roadproof.App.Checks;

/// <summary>Judges torque-angle curves: each screw on its own, then the order of the group, what the first screw has lost, and how a hole wears that is used again.</summary>
public static class JudgeTightening
{
    /// <summary>One screw of the answer.</summary>
    public sealed record Screw(string File, RunVerdict Verdict, IReadOnlyList<SeenSign> Signs, string Reading);

    /// <summary>One feature of one file's curve.</summary>
    public sealed record Feature(string File, string Id, string Name, string Unit, double? Value, double? Lower, double? Upper, double? StandardUncertainty, Verdict? Verdict)
    {
        public static Feature Of(string file, CheckFeature f) => new(file, f.Id, f.Name, f.Unit, f.Value, f.Lower, f.Upper, f.StandardUncertainty, f.Verdict);
    }

    public sealed record Answer(
        RunVerdict Verdict, IReadOnlyList<Feature> Features, string Reading, IReadOnlyList<Screw> Screws, IReadOnlyList<string> OutOfOrder, IReadOnlyList<WearTrend> Trends, string Method, IReadOnlyList<string> Warnings);

    /// <summary>How the files belong together.</summary>
    /// <param name="Driven">Screw number of each file; empty where nobody told.</param>
    /// <param name="Pattern">Order that is required; null where none is.</param>
    /// <param name="Uses">How often the hole was used before each file; empty where the files are not of one hole.</param>
    public sealed record Together(IReadOnlyList<int> Driven, TighteningPattern? Pattern, IReadOnlyList<int> Uses);

    public static Command Command()
    {
        Argument<string[]> files = new("file") { Arity = ArgumentArity.OneOrMore, Description = "Torque-angle curves as CSV, in the order of tightening." };
        Option<string?> screws = new("--screws") { Description = "Screw number of each file, such as 1,3,2,4." };
        Option<string?> pattern = new("--pattern") { Description = "Order that is required, such as 1,3,2,4." };
        Option<bool> recheck = new("--recheck") { Description = "The last file is the first screw, checked again after the last." };
        Option<string?> uses = new("--uses") { Description = "The files are of one hole: how often it was used before each, such as 0,1,2." };
        var options = new TighteningOptions();
        return CommandLine.Verb("tightening", "Judges torque-angle curves of screws by their features: torque, angle, run-down, snug point, slope, yield, and what went wrong.",
            "checks judge tightening s1.csv s2.csv --product af-85 --group cover", [files, .. options.All, screws, pattern, recheck, uses], (input, face, _) =>
            {
                var names = input.GetValue(files)!;
                var driven = Numbers(screws, input.GetValue(screws), names.Length);
                var order = Numbers(pattern, input.GetValue(pattern), null);
                if (order.Count > 0 && driven.Count == 0 && !IsGroup(names[0])) throw new InputException(new InputError(screws.Name, 0, "", "nothing", "the screw number of each file, to compare with the pattern"));
                var group = options.Group(input);
                if (order.Count > 0 && group is not null && order.Count != group.Count) throw new InputException(new InputError(pattern.Name, 0, "", Invariant($"{order.Count} screws"), Invariant($"{group.Count}, as group {group.Id} of the route has")));
                if (names.Length == 1 && IsGroup(names[0]))
                {
                    var g = Run(names[0], options.Read(input), group, order, input.GetValue(recheck));
                    return Task.FromResult(face.Say(g, console => Print(console, g), JudgeCheck.ExitOf(g.Verdict)));
                }

                var again = input.GetValue(recheck);
                var together = new Together(driven, order.Count > 0 ? new(order, again) : null, Numbers(uses, input.GetValue(uses), names.Length));
                var a = Run(names, options.Read(input), together, again);
                return Task.FromResult(face.Say(a, console => Print(console, a), JudgeCheck.ExitOf(a.Verdict)));
            });
    }

    /// <exception cref="InputException">Files that are no torque-angle curves, with every fault of every file.</exception>
    public static Answer Run(IReadOnlyList<string> files, TighteningWindow window, Together together, bool recheck)
    {
        if (recheck && files.Count < 2) throw new InputException(new InputError("--recheck", 0, "", "one file", "the first screw's tightening and its check as the last file"));
        var curves = JudgeCheck.ReadAll(files, TighteningCurve.Read);
        var group = TighteningGroup.Judge(curves, recheck, window, together.Driven, together.Pattern);
        return AnswerOf(group, curves[^1].Source, window, together);
    }

    /// <summary>The curves of a whole group in one file, screw after screw, as a station sends them.</summary>
    /// <exception cref="InputException">The file is no such curves.</exception>
    public static Answer Run(string file, TighteningWindow window, ScrewGroup? group, IReadOnlyList<int> order, bool recheck)
    {
        var screws = JudgeCheck.ReadAll([file], TighteningGroupFile.Read)[0];
        var (numbers, again) = (screws.Select(s => s.Number).ToList(), recheck || group?.Curve is { FirstScrewRecheck: true });
        if (again && screws.Count < 2) throw new InputException(new InputError(file, 0, "screw", "one screw", "the first screw once more after the last"));
        var pattern = order.Count > 0 ? new TighteningPattern(order, again) : group?.Curve?.Pattern(numbers, group.Count);
        return AnswerOf(TighteningGroup.Judge([.. screws.Select(s => s.Curve)], again, window, numbers, pattern), screws[^1].Curve.Source, window, new(numbers, pattern, []));
    }

    static bool IsGroup(string file) => File.Exists(file) && TighteningGroupFile.IsGroup(File.ReadAllBytes(file));

    static Answer AnswerOf(TighteningGroup group, string check, TighteningWindow window, Together together)
    {
        List<Feature> rows = [.. group.Screws.SelectMany(j => j.Features.Select(f => Feature.Of(j.Source, f))), .. group.Recheck.Select(f => Feature.Of(check, f))];
        var trends = together.Uses.Count > 0 ? HoleWear.Of([.. together.Uses.Take(group.Features.Count).Select(u => (double)u)], group.Features) : [];
        return new(group.Verdict, rows, group.Reading, [.. group.Screws.Select(j => new Screw(j.Source, j.Verdict, j.Signs, j.Reading))], group.OutOfOrder, trends, TighteningJudge.Method, Warnings(window));
    }

    static List<string> Warnings(TighteningWindow w)
    {
        var warnings = new List<string>();
        if (w is { FinalTorque: null, FinalAngle: null, RundownAngle: null, Prevailing: null, Slope: null }) warnings.Add("No edge is set: only what the curve looks like was judged.");
        if (w.PrePassed && w.AngleFromNm is null) warnings.Add("Screws that were seated before have no snug point to count from: set --angle-from-nm.");
        return warnings;
    }

    static void Print(IAnsiConsole console, Answer a)
    {
        console.WriteLine($"{JudgeCheck.Spoken(a.Verdict)} {a.Reading}");
        // Of a hole that wears the trend is what was asked for: a table for each use would hide it.
        foreach (var of in a.Features.GroupBy(f => f.File))
        {
            var screw = a.Screws.FirstOrDefault(s => s.File == of.Key);
            if (a.Screws.Count > 1) console.WriteLine(screw is null ? of.Key : $"{of.Key}: {JudgeCheck.Spoken(screw.Verdict)} {screw.Reading}");
            if (a.Trends.Count == 0) console.Write(JudgeCheck.Features(of.Select(f => new CheckFeature(f.Id, f.Name, f.Unit, f.Value, f.Lower, f.Upper, f.StandardUncertainty, f.Verdict))));
        }

        foreach (var line in a.OutOfOrder) console.WriteLine(line);
        if (a.Trends.Count > 0)
        {
            var table = Tables.Of("wear of the hole", ">change a use", "unit", ">from", ">to", ">uses", "");
            foreach (var t in a.Trends) table.Row(t.Name, JudgeCheck.Number(t.PerUse), t.Unit, JudgeCheck.Number(t.Interval?.Lower), JudgeCheck.Number(t.Interval?.Upper), Invariant($"{t.Uses}"), t.Moves ? "moves" : "");
            console.Write(table);
        }

        foreach (var w in a.Warnings) console.WriteLine(w);
    }

    static List<int> Numbers(Option option, string? text, int? count)
    {
        if (text is null) return [];
        var numbers = new List<int>();
        foreach (var word in text.Split(','))
        {
            if (!int.TryParse(word, NumberStyles.None, CultureInfo.InvariantCulture, out var n)) throw new InputException(new InputError(option.Name, 0, "", $"'{word}'", "whole numbers with commas between, such as 1,3,2,4"));
            numbers.Add(n);
        }

        return count is null || numbers.Count == count ? numbers : throw new InputException(new InputError(option.Name, 0, "", Invariant($"{numbers.Count} numbers"), Invariant($"{count}, one for each file")));
    }
}
