using System.CommandLine;
using Roadproof.App.Definitions;
using Roadproof.App.Frame;
using Roadproof.Engineering.Checks;
using Roadproof.Engineering.Checks.Functional;
using Roadproof.Engineering.Judging;
using Roadproof.Engineering.LoadTest;
using Roadproof.Engineering.Quantities;
using Spectre.Console;

namespace Roadproof.App.Checks;

/// <summary>Judges the functional check of an open unit that a servo turns slowly.</summary>
public static class JudgeFunctional
{
    public sealed record Answer(
        RunVerdict Verdict, IReadOnlyList<CheckFeature> Features, IReadOnlyList<ExpectationReading> Expectations, double? Distance, double? DistanceLimit, double? SigmaLimit, string Reading, string Method, IReadOnlyList<string> Warnings);

    public static Command Command()
    {
        Argument<string> file = new("file") { Description = "The capture of slow turning, as CSV." };
        Option<string> product = FindProduct.Option();
        var limit = FeatureLimits.Option(FunctionalVerdict.Units.Keys);
        Option<double> torqueU = new("--torque-u-share") { DefaultValueFactory = _ => 0.005, Description = "Standard uncertainty of the servo's torque, as a share." };
        Option<double> zeroU = new("--torque-zero-u-nm") { DefaultValueFactory = _ => 0.003, Description = "Standard uncertainty of its zero, N·m." };
        Option<double> angleU = new("--angle-u-deg") { DefaultValueFactory = _ => 0.05, Description = "Standard uncertainty of an angle, °." };
        return CommandLine.Verb("functional", "Judges the functional check before the cover: drag both ways, take-up, clutch, sensor zero, phases, messages; against requirements and against sound units. Shafts turn: guards closed, instructed people only.",
            "checks judge functional check.csv --product af-85", [file, product, limit, torqueU, zeroU, angleU], (input, face, _) =>
            {
                var (folder, id) = (input.GetValue(CommandLine.DefinitionsOption)!, input.GetValue(product)!);
                var plan = FindProduct.LoadTest(folder, id);
                if (plan.Unit.CrankSide is null) throw new InputException(new InputError("--product", 0, "", $"'{id}', which has no crank", "a unit with a crank: the servo turns crank and chainring"));
                var limits = LimitsOf(folder, id, plan);
                foreach (var (feature, window) in FeatureLimits.Read(input.GetValue(limit), [.. FunctionalVerdict.Units.Keys])) limits[feature] = window;
                var test = new FunctionalTest
                {
                    Unit = plan.Unit, Tolerances = plan.Tolerances, Limits = limits, FalseAlarm = plan.FalseAlarm,
                    TorqueGainShare = Options.Least0(input, torqueU), TorqueZeroNm = Options.Least0(input, zeroU), AngleDeg = Options.Least0(input, angleU),
                };
                var a = Run(input.GetValue(file)!, test);
                return Task.FromResult(face.Say(a, console => Print(console, a), JudgeCheck.ExitOf(a.Verdict)));
            });
    }

    public static Answer Run(string file, FunctionalTest test)
    {
        var v = FunctionalVerdict.Judge(JudgeCheck.ReadAll([file], FunctionalCapture.Read)[0], test);
        double? Known(double value) => double.IsNaN(value) ? null : value;
        var t = test.Tolerances;
        IReadOnlyList<string> warnings = t.CrankDragShare is not null && t.TakeUpDeg is not null ? []
            : ["The product's tolerances do not say how the crank's drags (crankDragShare) or the take-up (takeUpDeg) scatter: those are judged by their requirements alone."];
        return new(v.Verdict, v.Features, v.Expectations, Known(v.Distance), Known(v.DistanceLimit), Known(v.SigmaLimit), string.Join(' ', v.Reading), FunctionalVerdict.Method, warnings);
    }

    /// <summary>Readings of the route that are the same thing; else 1.5 times the largest torque for the clutch, and no message missed.</summary>
    static Dictionary<string, FeatureWindow> LimitsOf(string folder, string product, LoadTestPlan plan)
    {
        var limits = FunctionalVerdict.UsualLimits(plan.Unit);
        foreach (var (feature, unit) in FunctionalVerdict.Units)
        {
            if (RouteReading.Window(folder, product, feature, unit) is { } window) limits[feature] = window;
        }

        return limits;
    }

    static void Print(IAnsiConsole console, Answer a)
    {
        JudgeCheck.Print(console, a.Verdict, a.Features, a.Reading);
        if (a.Expectations.Count > 0)
        {
            var table = Tables.Of("against sound units", ">value", "unit", ">expected", ">sd", ">sigma", "");
            foreach (var e in a.Expectations) table.Row(e.Name, JudgeCheck.Number(e.Value), e.Unit, JudgeCheck.Number(e.Expected), JudgeCheck.Number(e.StandardDeviation), e.Sigma.ToString("+0.0;-0.0", CultureInfo.InvariantCulture), e.Verdict == Verdict.Unusual ? "unusual" : "");
            console.Write(table);
            console.WriteLine($"Joint distance {JudgeCheck.Number(a.Distance)}, sound units stay below {JudgeCheck.Number(a.DistanceLimit)}; single readings below {JudgeCheck.Number(a.SigmaLimit)} sigma.");
        }

        foreach (var w in a.Warnings) console.WriteLine(w);
    }
}
