using Roadproof.App.Frame;
using Roadproof.App.LoadTest;
using Roadproof.Engineering.Formats;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Curves;
using Roadproof.Records.Messages;

namespace Roadproof.App.Checks;

/// <summary>Judges the curves that a step is decided by, before its message is taken: a record must not wait for a file.</summary>
public static class JudgeCurves
{
    /// <summary>A curve of one check is some hundred kilobytes; what is far larger is something else.</summary>
    const int LargestCurve = 16 << 20;

    /// <returns>One outcome for each check of the step; null where the step has none, and while a curve is still to come.</returns>
    public static Task<IReadOnlyList<CurveOutcome>?> Run(string station, StationMessage message, OpenLine line) => message is { Stage: "finish", Captures.Count: > 0 }
        ? Run(station, message.Item, message.Step, [.. message.Captures.Select(c => (c.Sha256, c.Name))], line)
        : Task.FromResult<IReadOnlyList<CurveOutcome>?>(null);

    /// <summary>Judges curves by their hashes under the revision that the unit started on.</summary>
    public static async Task<IReadOnlyList<CurveOutcome>?> Run(string station, string item, string step, IReadOnlyList<(string Sha256, string Name)> captures, OpenLine line)
    {
        var (codes, revision) = JudgeRun.Unit(item, station, line);
        if (revision?.StepOf(step) is not { } route || CurveCheck.Of(revision, route) is not { Count: > 0 } checks) return null;
        var outcomes = new List<CurveOutcome>();
        foreach (var check in checks)
        {
            var named = captures.FirstOrDefault(c => check.IsNamed(c.Name));
            if (named.Sha256 is null) outcomes.Add(CurveOutcome.NotNamed(check.Id));
            else if (line.Captures.Open(named.Sha256) is not { } stream) return null;
            else outcomes.Add(await Judge(check, named.Sha256, stream, codes));
        }

        return outcomes;
    }

    static async Task<CurveOutcome> Judge(CurveCheck check, string sha256, FileStream stream, IReadOnlyList<string> codes)
    {
        await using (stream)
        {
            if (stream.Length > LargestCurve) return CurveOutcome.CannotJudge(check.Id, sha256, Invariant($"{stream.Length} bytes are no curve of one check: {LargestCurve} at most."));
            var octets = new byte[stream.Length];
            await stream.ReadExactlyAsync(octets);
            if (CurveFile.ItemOf(octets) is { } own && !codes.Contains(own)) return CurveOutcome.OfOtherUnit(check.Id, sha256, own);
            try
            {
                return CurveOutcome.Judged(check.Judge(octets, sha256));
            }
            catch (InputException e)
            {
                return CurveOutcome.CannotJudge(check.Id, sha256, e.Message);
            }
        }
    }
}
