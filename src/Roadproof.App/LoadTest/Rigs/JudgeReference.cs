using Roadproof.App.Frame;
using Roadproof.Engineering.LoadTest.Rigs;
using Roadproof.Records.Definitions;
using Roadproof.Records.Messages;
using Roadproof.Records.Rigs;

namespace Roadproof.App.LoadTest.Rigs;

/// <summary>Judges the run of a reference unit before its message is taken, like that of any unit.</summary>
public static class JudgeReference
{
    /// <returns>Null where the message is of no reference unit or ends no run, and while a capture is still to come.</returns>
    public static async Task<ReferenceOutcome?> Run(StationMessage message, string station, OpenLine line)
    {
        if (message.Stage != "finish" || line.Plant.At(station) is not { } revision || revision.Product.References?.OfCode(message.Item) is not { } unit) return null;
        if (revision.StepOf(message.Step) is not { Kind: StepKind.LoadTest }) return null;
        var outcome = await JudgeRun.Run([unit.Code], revision, [.. message.Captures.Select(c => (c.Sha256, c.Name))], line);
        return outcome is null ? null : new(outcome.Verdict, outcome.Problem, unit.Kind == ReferenceKind.Sound ? line.JudgeOf(revision).JudgeOf(unit) : null);
    }
}
