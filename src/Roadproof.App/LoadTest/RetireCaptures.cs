using Dapper;
using Roadproof.App.Frame;

namespace Roadproof.App.LoadTest;

/// <summary>Deletes the captures of runs that passed once enough newer runs are kept; those of failed and held runs stay.</summary>
/// <remarks>Each deletion is a record first: retired is not missing.</remarks>
public static class RetireCaptures
{
    public static async Task Run(OpenLine line)
    {
        var keep = line.Current.Plant.KeepPassedCaptures;
        foreach (var sha256 in PassedBeyond(keep, line)) await line.Captures.Retire(sha256, Invariant($"The run passed and {keep} newer passed runs are kept."), "");
    }

    static List<string> PassedBeyond(int keep, OpenLine line)
    {
        using var ask = line.Ask();
        return ask.Query<string>("""
            select r.sha256 from capture_ref r
            where r.state = 'kept' and (r.unit, r.step, r.attempt) in (
              select s.unit, s.step, s.attempt from unit_step s join load_test l on l.step_sequence = s.sequence
              where s.verdict = 'pass' order by s.sequence desc limit -1 offset @keep)
            order by r.sequence, r.sha256
            """, new { keep }).AsList();
    }
}
