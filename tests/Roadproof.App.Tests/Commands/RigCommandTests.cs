using Dapper;
using Microsoft.Extensions.Time.Testing;
using Roadproof.App.Definitions;
using Roadproof.App.Frame;
using Roadproof.App.LoadTest.Rigs;
using Roadproof.App.Tests.Demo;
using Roadproof.Records.Gauges;
using Roadproof.Records.Items;
using Roadproof.Records.Messages;
using Roadproof.Records.Rigs;

namespace Roadproof.App.Tests.Commands;

/// <summary>Rigs from the command line, in the folder of a demo whose server has stopped: its records are of 2031.</summary>
public sealed class RigCommandTests(BuiltDemo demo) : IClassFixture<BuiltDemo>
{
    // The wall clock lies years before such a plant's first record; by it nothing would be approved.
    [Fact]
    public async Task A_stopped_demo_is_asked_at_the_time_of_its_newest_record()
    {
        var said = await Typed.Line($"rigs status --json --data {demo.Data}");
        said.HasFields("rigs", "ageing");
        Assert.InRange(said.Exit, Exit.Done, Exit.No);
        var rigs = said.Json.GetProperty("rigs").EnumerateArray().ToList();
        Assert.Contains(rigs, r => r.GetProperty("mayJudge").GetBoolean());
        Assert.All(rigs.Where(r => r.GetProperty("mayJudge").GetBoolean()), r => Assert.Equal(2031, r.GetProperty("lastReferenceAt").GetDateTimeOffset().Year));
        Assert.Contains("standing", (await Typed.Line($"definitions list --data {demo.Data}")).Output, StringComparison.Ordinal);
        var printed = (await Typed.Line($"rigs status --data {demo.Data}")).Output;
        Assert.Contains("may judge", printed, StringComparison.Ordinal);
        // A bare time says whose it is.
        var offset = rigs.Select(r => r.GetProperty("lastReferenceAt")).First(t => t.ValueKind == System.Text.Json.JsonValueKind.String).GetDateTimeOffset().Offset;
        Assert.Contains(Figure.PlantTime("last reference", new(2031, 1, 1, 0, 0, 0, offset)), printed, StringComparison.Ordinal);
    }

    // The line runs all day: who asks at a desk does not wait until it stands. What writes is refused meanwhile, and says why.
    [Fact]
    public async Task Questions_are_answered_while_a_server_has_the_folder()
    {
        await using var serving = await OpenLine.Open(demo.Data);
        foreach (var question in (string[])["rigs status", "rigs compare", "rigs rejudge rig1", "orders list", "loadtest limits --product af-85 --proven", "records verify", "definitions list"])
            Assert.InRange((await Typed.Line($"{question} --data {demo.Data}")).Exit, Exit.Done, Exit.No);
        var refused = await Typed.Line($"lots hold R-1 --reason wet --data {demo.Data}");
        Assert.NotInRange(refused.Exit, Exit.Done, Exit.No);
        Assert.Contains("a folder in use by", refused.Error, StringComparison.Ordinal);
        var unknown = await Typed.Line($"lots show NONE --data {demo.Data}");
        Assert.Equal(Exit.Wrong, unknown.Exit);
        Assert.Contains("a lot that was received", unknown.Error, StringComparison.Ordinal);
    }

    // A clock that is put right must not send a plant back to the wrong one: only records that begin ahead of the wall keep their own.
    [Theory]
    [InlineData(2099, 2099)]
    [InlineData(2020, 2099)]
    public async Task Only_a_plant_that_begins_ahead_of_the_wall_keeps_a_clock_of_its_own(int begun, int newest)
    {
        using var place = new Folder();
        foreach (var year in (int[])[begun, newest])
        {
            await using var line = await OpenLine.Open(place["data"], new FakeTimeProvider(new DateTimeOffset(year, 3, 4, 6, 0, 0, TimeSpan.Zero)));
            await line.Approve(FindProduct.Files(DemoFolder.Path), new("test"));
            await line.Ledger.Write(t => t.Append(new($"test-{Guid.NewGuid():N}", "noted", "x", "office", t.Now, "", "{}")));
        }

        await using var again = await OpenLine.Open(place["data"]);
        Assert.Equal(begun == 2099 ? 2099 : DateTimeOffset.UtcNow.Year, again.Clock.GetUtcNow().Year);
        Assert.NotEmpty(again.Standing);
    }

    [Fact]
    public async Task Rigs_are_compared_by_references_and_say_what_ordinary_units_cannot_tell_yet()
    {
        var said = await Typed.Line($"rigs compare --json --data {demo.Data}");
        said.HasFields("differences", "likeUnits", "retests");
        Assert.Equal(Exit.Done, said.Exit);
        Assert.NotEqual(0, said.Json.GetProperty("differences").GetArrayLength());
        Assert.Equal(0, said.Json.GetProperty("likeUnits").GetArrayLength());
        Assert.Contains(said.Json.GetProperty("warnings").EnumerateArray(), w => w.GetString()!.Contains("cannot tell by ordinary units", StringComparison.Ordinal));
        var retests = said.Json.GetProperty("retests").EnumerateArray().ToList();
        Assert.True(retests.Sum(r => r.GetProperty("firstRuns").GetInt32()) >= 8);
        Assert.All(retests, r => Assert.True(r.GetProperty("passedOnRetest").GetInt32() <= r.GetProperty("notPassed").GetInt32()));
        Assert.Contains("passed only on retest", (await Typed.Line($"rigs compare --data {demo.Data}")).Output, StringComparison.Ordinal);
    }

    // The page asks after every record, and only runs, references and calibrations change the answer.
    [Fact]
    public async Task Rigs_are_compared_anew_only_when_something_has_come_that_changes_it()
    {
        using var copy = demo.Tampered("select 1");
        await using var line = await OpenLine.Open(copy.Path);
        var compared = new ComparedRigs(line);
        var first = compared.Views();
        await line.Ledger.Write(t => t.Append(new("test-note", "noted", "x", "office", t.Now, "", "{}")));
        Assert.Same(first, compared.Views());
        var at = line.Clock.GetLocalNow();
        Assert.NotNull((await line.Ledger.Write(t => RecordCalibration.Decide(t, new("rig1", "torque-transducer", at.AddDays(90), "test-cal", "put right", at), line.Plant))).Done);
        Assert.NotSame(first, compared.Views());
    }

    [Fact]
    public async Task What_a_drifted_rig_had_judged_is_judged_again_first_without_changing_anything()
    {
        using var copy = demo.Tampered("select 1");
        var (rig, unit) = await Drifted(copy.Path);
        var asked = await Typed.Line($"rigs rejudge {rig} --json --data {copy.Path}");
        asked.HasFields("rig", "applied", "units", "released");
        var units = asked.Json.GetProperty("units").EnumerateArray().ToList();
        Assert.Equal((Exit.Done, false), (asked.Exit, asked.Json.GetProperty("applied").GetBoolean()));
        var own = units.Single(u => u.GetProperty("unit").GetString() == unit);
        Assert.Equal("passes", own.GetProperty("outcome").GetString());
        Assert.NotEqual(0, own.GetProperty("readings").GetArrayLength());
        Assert.All(own.GetProperty("readings").EnumerateArray(), r => Assert.True(r.GetProperty("corrected").GetBoolean() || r.GetProperty("lowest").GetDouble() == r.GetProperty("value").GetDouble()));

        (await Typed.Line($"rigs rejudge {rig} --apply --data {copy.Path}")).IsWrong("act: reason: found nothing");
        Assert.Contains("Nothing was changed", (await Typed.Line($"rigs rejudge {rig} --data {copy.Path}")).Output, StringComparison.Ordinal);
        var done = await Typed.Words("rigs", "rejudge", rig, "--apply", "--reason", "The ripple gauge had moved.", "--by", "q1", "--json", "--data", copy.Path);
        Assert.Equal([unit], done.Json.GetProperty("released").EnumerateArray().Select(u => u.GetString()));
        var twice = await Typed.Words("rigs", "rejudge", rig, "--apply", "--reason", "Again.", "--data", copy.Path);
        Assert.Equal(Exit.No, twice.Exit);
        Assert.Contains($"No unit that is on hold because of {rig} is left", twice.Error, StringComparison.Ordinal);
        (await Typed.Line($"rigs rejudge st10 --data {copy.Path}")).IsWrong("rig: found 'st10'");
    }

    /// <summary>A unit that has not left yet, and a reference run that finds its rig's ripple two standard deviations of sound units off.</summary>
    static async Task<(string Rig, string Unit)> Drifted(string folder)
    {
        await using var line = await OpenLine.Open(folder);
        var (unit, rig, goodSequence) = await line.Ledger.Write(t =>
        {
            var found = t.Connection.QueryFirst<(string, string, long)>(
                """
                select s.unit, s.station, max(r.sequence) from unit_step s join unit u on u.unit = s.unit
                join reference_run r on r.rig = s.station and r.outcome = 'good' and r.sequence < s.sequence
                where s.step = 'load-test' and s.attempt = 1 and s.verdict = 'pass' and u.product = 'af-85' and u.shipped_at is not null
                  and not exists (select 1 from reference_run n where n.rig = s.station and n.sequence > s.sequence)
                group by s.unit order by s.sequence desc
                """, transaction: t.Transaction);
            // As if it had not left yet.
            t.Connection.Execute("update unit set shipped_at = null, customer = null, box = null, state = 'passed' where unit = @unit", new { unit = found.Item1 }, t.Transaction);
            return found;
        });
        var good = line.Ask(c => RecordJson.Read<ReferenceRunBody>(c.QuerySingle<string>("select body from ledger where sequence = @goodSequence", new { goodSequence })));
        var revision = line.Plant.At(rig)!;
        var reference = revision.Product.References!.Units.First(u => u.Id == good.Decided.Reference);
        var run = good.Decided.Run!;
        run = run with { Expectations = [.. run.Expectations.Select(e => e.Id == "ripple-6" ? e with { Value = e.Value + 2 * e.StandardDeviation } : e)] };
        var said = good.Said with { Key = $"test-{Guid.NewGuid():N}", OccurredAt = line.Clock.GetLocalNow() };
        var outcome = await line.Ledger.Write(t => TakeMessage.Decide(t, rig, said, line.Plant, reference: new(run, "", line.JudgeOf(revision).JudgeOf(reference))));
        Assert.Equal("fail", outcome.Answer!.Verdict);
        return (rig, unit);
    }
}
