using System.CommandLine;
using Roadproof.App.Definitions;
using Roadproof.App.Frame;
using Roadproof.Engineering.Judging;
using Roadproof.Engineering.LoadTest;
using Roadproof.Engineering.Quantities;
using Spectre.Console;

namespace Roadproof.App.LoadTest;

/// <summary>Judges a capture from files, with the same code that judges the line's own.</summary>
public static class JudgeCapture
{
    public sealed record Answer(
        RunVerdict Verdict, IReadOnlyList<RequirementReading> Requirements, IReadOnlyList<ExpectationReading> Expectations, double Distance, double DistanceLimit, double SigmaLimit, FaultLikeness? NearestFault,
        IReadOnlyList<DiagnosisLine> Diagnosis, IReadOnlyList<SteadyPoint> Windows, IReadOnlyList<string> NotRead, IReadOnlyList<string> Silent, string Method, IReadOnlyList<string> Warnings);

    public static Command Command()
    {
        Argument<string[]> files = new("file") { Arity = ArgumentArity.OneOrMore, Description = "All capture files of one run (Parquet, CSV)." };
        Option<string> product = FindProduct.Option();
        return CommandLine.Verb("judge", "Judges one run of a load test: requirements, expectations, and what is most likely wrong.",
            "loadtest judge slow.parquet fast.parquet vibration.parquet --product af-85", [files, product], (input, face, _) =>
            {
                var plan = FindProduct.LoadTest(input.GetValue(CommandLine.DefinitionsOption)!, input.GetValue(product)!);
                var a = Run(input.GetValue(files)!, plan);
                return Task.FromResult(face.Say(a, console => Print(console, a), a.Verdict switch { RunVerdict.Pass => Exit.Done, RunVerdict.Fail => Exit.No, _ => Exit.CannotTell }));
            });
    }

    /// <exception cref="InputException">The files are no capture of a load test, or cannot be judged.</exception>
    public static Answer Run(IReadOnlyList<string> files, LoadTestPlan plan)
    {
        // Read first: what is no capture is said at once, a judge takes a second to make.
        var capture = CaptureFiles.Read(files);
        var v = new LoadTestJudge(plan).Judge(capture);
        return new(v.Verdict, [.. v.Requirements.OrderByDescending(r => r.Safety)], v.Expectations, v.Distance, v.DistanceLimit, v.SigmaLimit, v.NearestFault, v.Diagnosis, v.Windows, v.NotRead, v.Silent, v.Method, v.Warnings);
    }

    static void Print(IAnsiConsole console, Answer a)
    {
        console.WriteLine(a.Verdict switch { RunVerdict.Pass => "Pass.", RunVerdict.Fail => "Fail.", _ when a.NotRead.Count + a.Silent.Count > 0 => "Hold: the run does not tell all that it must.", _ => "Hold: something is undecided or unusual." });
        if (a.NotRead.Count > 0) console.WriteLine($"Not read, and a unit cannot pass without it: {string.Join(", ", a.NotRead)}.");
        foreach (var sentence in a.Silent) console.WriteLine(sentence);
        // Safety functions first, in a table of their own.
        foreach (var group in a.Requirements.GroupBy(r => r.Safety).OrderByDescending(g => g.Key))
        {
            var requirements = Tables.Of(group.Key ? "safety function" : "requirement", ">value", "unit", ">from", ">to", ">u", "verdict", ">conforms");
            foreach (var r in group) requirements.Row(r.Name, Number(r.Value), r.Unit, Number(r.Lower), Number(r.Upper), Number(r.StandardUncertainty), r.Verdict.ToString().ToLowerInvariant(), r.ConformanceProbability.ToString("P1", CultureInfo.InvariantCulture));
            console.Write(requirements);
        }

        var expectations = Tables.Of("expectation", ">value", "unit", ">expected", ">sd", ">sigma", "");
        foreach (var e in a.Expectations.OrderByDescending(e => Math.Abs(e.Sigma)))
            expectations.Row(e.Name, Number(e.Value), e.Unit, Number(e.Expected), Number(e.StandardDeviation), e.Sigma.ToString("+0.0;-0.0", CultureInfo.InvariantCulture), e.Verdict == Verdict.Unusual ? "unusual" : "");
        console.Write(expectations);
        console.WriteLine($"Joint distance {Number(a.Distance)}, sound units stay below {Number(a.DistanceLimit)}; single readings below {Number(a.SigmaLimit)} sigma.");

        if (a.NearestFault is { } like) console.WriteLine($"Nearest to a known fault: {like.Name}, {Number(like.Sigma)} sigma along it; sound units stay below {Number(like.Limit)}.");

        if (a.Diagnosis.Count > 0)
        {
            var causes = Tables.Of("most likely", ">probability", ">size", "unit", "cannot be told from", "look first");
            foreach (var d in a.Diagnosis.Take(5))
                causes.Row(d.Name, d.Probability.ToString("P0", CultureInfo.InvariantCulture), d.With is { } w ? $"{Number(d.Magnitude)}; {Number(w.Magnitude)}" : Number(d.Magnitude), d.With is { } second ? $"{d.Unit}; {second.Unit}" : d.Unit, string.Join(", ", d.InseparableFrom), d.LookFirst);
            console.Write(causes);
        }

        foreach (var w in a.Warnings) console.WriteLine(w);
    }

    static string Number(double? value) => value?.ToString("G4", CultureInfo.InvariantCulture) ?? "";
}
