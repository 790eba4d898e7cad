using Dapper;
using Roadproof.App.Frame;

namespace Roadproof.App.LoadTest;

/// <summary>Deletes captures under the plant's retention rule: so many of the newest passed runs and of the newest stopped runs are kept.</summary>
/// <remarks>Each deletion is a record first: retired is not missing.</remarks>
public static class RetireCaptures
{
    public static async Task Run(OpenLine line)
    {
        var plant = line.Current.Plant;
        foreach (var sha256 in Beyond(plant.KeepPassedCaptures, passed: true, line))
            await line.Captures.Retire(sha256, Invariant($"The run passed and {plant.KeepPassedCaptures} newer passed runs are kept."), "");
        foreach (var sha256 in Beyond(plant.KeepStoppedCaptures, passed: false, line))
            await line.Captures.Retire(sha256, Invariant($"The run was stopped and {plant.KeepStoppedCaptures} newer stopped runs are kept."), "");
    }

    static List<string> Beyond(int keep, bool passed, OpenLine line)
    {
        using var ask = line.Ask();
        return ask.Query<string>("""
            select r.sha256 from capture_ref r
            where r.state = 'kept' and (r.unit, r.step, r.attempt) in (
              select s.unit, s.step, s.attempt from unit_step s join load_test l on l.step_sequence = s.sequence
              where (s.verdict = 'pass') = @passed and s.verdict <> 'waiting' order by s.sequence desc limit -1 offset @keep)
            order by r.sequence, r.sha256
            """, new { keep, passed }).AsList();
    }
}
