using System.CommandLine;
using Roadproof.App.Frame;
using Roadproof.Engineering.Checks;
using Roadproof.Engineering.Checks.Tightening;
using Roadproof.Engineering.Judging;

namespace Roadproof.App.Checks;

/// <summary>Judges the torque-angle curve of a screw.</summary>
static class JudgeTightening
{
    public sealed record Answer(RunVerdict Verdict, IReadOnlyList<CheckFeature> Features, string Reading, string Method, IReadOnlyList<string> Warnings);

    public static Command Command()
    {
        Argument<string[]> files = new("file") { Arity = ArgumentArity.OneOrMore, Description = "Torque-angle curves as CSV, in the order of tightening." };
        return CommandLine.Verb("tightening", "Judges the torque-angle curves of screws.", "checks judge tightening screw-1.csv", [files], (input, face, _) =>
        {
            var a = Run(input.GetValue(files)!);
            return Task.FromResult(face.Say(a, console => console.Write(JudgeCheck.Features(a.Features)), JudgeCheck.ExitOf(a.Verdict)));
        });
    }

    public static Answer Run(IReadOnlyList<string> files)
    {
        var curves = JudgeCheck.ReadAll(files, TighteningCurve.Read);
        var features = curves.Select(c => CheckFeature.Of("final-torque", "Final torque", "N·m", new Measured(c.TorqueNm.Max(), 0))).ToList();
        return new(RunVerdict.Pass, features, "", "Torque over angle.", []);
    }
}
