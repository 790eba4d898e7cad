using CsCheck;
using Dapper;
using Microsoft.Data.Sqlite;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Items;
using Roadproof.Records.Messages;
using Roadproof.Records.Rework;

namespace Roadproof.Records.Tests.Items;

/// <summary>Whatever stations and people do, in whatever order, some things always hold.</summary>
public sealed class RandomDayTests
{
    enum Deed
    {
        Next, NextSlowly, AnyStep, Fails, WrongPart, StolenPart, Report, Repeat, RepeatChanged, Hold, Release, SendBack, Scrap, HoldLot, ReleaseLot, LateCapture, SpoiledMark, Swap,
    }

    static readonly Gen<Deed> Deeds = Gen.Frequency(
        (30, Gen.Const(Deed.Next)), (6, Gen.Const(Deed.NextSlowly)), (3, Gen.Const(Deed.AnyStep)), (2, Gen.Const(Deed.Fails)), (2, Gen.Const(Deed.WrongPart)), (2, Gen.Const(Deed.StolenPart)),
        (1, Gen.Const(Deed.Report)), (2, Gen.Const(Deed.Repeat)), (1, Gen.Const(Deed.RepeatChanged)), (1, Gen.Const(Deed.Hold)), (6, Gen.Const(Deed.Release)), (2, Gen.Const(Deed.SendBack)),
        (1, Gen.Const(Deed.Scrap)), (1, Gen.Const(Deed.HoldLot)), (2, Gen.Const(Deed.ReleaseLot)), (5, Gen.Const(Deed.LateCapture)), (2, Gen.Const(Deed.SpoiledMark)), (5, Gen.Const(Deed.Swap)));

    static readonly Gen<(Deed Deed, int Unit, int Choice)[]> Days = Gen.Select(Deeds, Gen.Int[0, 3], Gen.Int[0, 13]).Array[40, 120];

    [Fact]
    public void Whatever_happens_the_records_hold_together() => Days.Sample(
        day =>
        {
            // Synchronously: the sample decides by its exceptions.
            Check(day).GetAwaiter().GetResult();
        },
        iter: 12, threads: 2);

    static async Task Check((Deed Deed, int Unit, int Choice)[] day)
    {
        await using var plant = new TestPlant();
        await plant.ReceiveLots();

        // Two units stand at the load test already: what a late capture can spoil lies behind it.
        foreach (var unit in new[] { "SH-0", "SH-1" }) await plant.Build(unit, "load-test");
        (string Station, StationMessage Message, MessageOutcome Outcome)? last = null;
        foreach (var (deed, unit, choice) in day) last = await Act(plant, deed, $"SH-{unit}", choice, last) ?? last;

        using (var c = plant.Read())
        {
            PartsAreInOneUnit(c);
            PartsOutOfUnitsStayOut(c);
            StepsStandInOrder(c);
            ShippedUnitsAreComplete(c);
            SerialsAreExplained(c);
            StationsHoldUnitsThatMayMove(c);
        }

        var before = plant.Derived();
        await plant.Ledger.Rebuild();
        Assert.Equal(before, plant.Derived());
    }

    static async Task<(string, StationMessage, MessageOutcome)?> Act(TestPlant plant, Deed deed, string unit, int choice, (string Station, StationMessage Message, MessageOutcome Outcome)? last)
    {
        plant.Wait(5);
        var step = Next(plant, unit) ?? "pack";
        var station = step == "load-test" ? $"rig{1 + choice % 3}" : TestPlant.StationOf(step);
        switch (deed)
        {
            case Deed.Next or Deed.NextSlowly or Deed.SpoiledMark:
                var begun = await plant.Send(station, plant.Begin(unit, step));
                if (deed == Deed.NextSlowly) return null;
                if (step == "load-test" && choice > 7) await plant.Arrive(unit);
                var message = plant.Finish(unit, step, begun.Answer?.Serial);
                if (deed == Deed.SpoiledMark && step == "mark") message = message with { Readings = [new("mark-spoiled", Text: begun.Answer?.Serial ?? "none")], Remark = "smeared" };
                return await Send(plant, station, message, step == "load-test" ? LoadTestOutcome.Judged(TestPlant.Verdict()) : null);
            case Deed.AnyStep:
                var any = TestRoute.Revision.Steps[choice].Id;
                return await Send(plant, TestPlant.StationOf(any), plant.Finish(unit, any));
            case Deed.Fails:
                return await Send(plant, station, plant.Finish(unit, step) with { Screws = plant.Finish(unit, step).Screws.Select(s => s with { TorqueNm = 2 }).ToList() });
            case Deed.WrongPart:
                return await Send(plant, station, plant.Finish(unit, step) with { Parts = [new("gear-set-339", "L-gear-set-339")] });
            case Deed.StolenPart:
                var good = plant.Finish(unit, step);
                return await Send(plant, station, good with { Parts = good.Parts.Select(p => p.Serial is null ? p : p with { Serial = $"{p.Part}-of-SH-{choice % 4}" }).ToList() });
            case Deed.Report:
                return await Send(plant, station, plant.Finish(unit, TestRoute.Revision.Steps[choice].Id) with { Kind = "report" });
            case Deed.Repeat when last is { } l:
                var again = await plant.Send(l.Station, l.Message);
                Assert.Equal((l.Outcome.Answer?.Sequence, l.Outcome.Refused?.Sequence), (again.Answer?.Sequence, again.Refused?.Sequence));
                Assert.True(again.Answer?.Repeat ?? again.Refused!.Repeat);
                return null;
            case Deed.RepeatChanged when last is { } l:
                Assert.NotNull((await plant.Send(l.Station, l.Message with { Remark = "not the same" })).Refused);
                return null;
            case Deed.Hold: await plant.Write(t => HoldUnit.Decide(t, new("hold", unit, plant.NextKey(), "look", plant.Now), plant.Context)); return null;
            case Deed.Release: await plant.Write(t => ReleaseUnit.Decide(t, new("release", unit, plant.NextKey(), "looked", plant.Now), plant.Context)); return null;
            case Deed.SendBack:
                await plant.Write(t => ReleaseUnit.Decide(t, new("release", unit, plant.NextKey(), "mended", plant.Now, BackTo: TestRoute.Revision.Steps[choice].Id), plant.Context));
                return null;
            case Deed.Swap:
                var (old, other) = choice % 2 == 0
                    ? (new MessagePart("rotor", Serial: $"rotor-of-{unit}"), new MessagePart("rotor", "L-rotor", choice > 9 ? $"rotor-of-SH-{choice % 4}" : $"RT-{unit}-{choice}"))
                    : (new MessagePart("gear-set", "L-gear-set"), new MessagePart("gear-set", "L-gear-set"));
                var place = choice switch { 0 => "scrap", 2 or 3 => "hold", _ => "stock" };
                await plant.Write(t => SwapPart.Decide(t, new(plant.NextKey(), unit, old, place, choice % 3 == 0 ? null : other, "seen", plant.Now), plant.Context));
                return null;
            case Deed.Scrap when choice == 0: await plant.Write(t => ScrapUnit.Decide(t, new("scrap", unit, plant.NextKey(), "dropped", plant.Now), plant.Context)); return null;
            case Deed.HoldLot: await plant.Write(t => Lots.HoldLot.Decide(t, new("hold", "L-rotor", plant.NextKey(), "low", plant.Now))); return null;
            case Deed.ReleaseLot: await plant.Write(t => Lots.ReleaseLot.Decide(t, new("release", "L-rotor", plant.NextKey(), "fine", plant.Now))); return null;
            case Deed.LateCapture:
                foreach (var waiting in (await plant.Arrive(unit)).Where(w => w.Complete))
                    await plant.Write(t => LateVerdict.Decide(t, waiting.StepSequence, LoadTestOutcome.Judged(TestPlant.Verdict()), plant.Context, $"judge-{waiting.StepSequence}"));
                return null;
            default: return null;
        }
    }

    static async Task<(string, StationMessage, MessageOutcome)?> Send(TestPlant plant, string station, StationMessage message, LoadTestOutcome? loadTest = null)
    {
        try
        {
            return (station, message, await plant.Send(station, message, loadTest));
        }
        catch (InputException)
        {
            return null;
        }
    }

    static string? Next(TestPlant plant, string unit)
    {
        using var c = plant.Read();
        return c.ExecuteScalar<string?>("select coalesce((select next_step from unit where unit = @unit), case when exists (select 1 from unit where unit = @unit) then null else 'shell-in' end)", new { unit });
    }

    const string Reported = "(select unit from hold where cause = 'report')";

    static void PartsAreInOneUnit(SqliteConnection c) => Assert.Empty(c.Query<string>(
        $"select serial from part_use where serial is not null and replaced is null and unit not in {Reported} group by part, serial having count(distinct unit) > 1"));

    static void PartsOutOfUnitsStayOut(SqliteConnection c)
    {
        Assert.Empty(c.Query<string>("select unit from part_use where (replaced is null) <> (out_at is null) or out_at < used_at"));
        Assert.Empty(c.Query<string>(
            $"""
            select o.serial from part_out o join part_use p on p.part = o.part and p.serial = o.serial and p.replaced is null and p.sequence > o.sequence
            where o.place <> 'stock' and p.unit not in {Reported} and o.sequence = (select max(sequence) from part_out l where l.serial = o.serial and l.part = o.part)
            """));

        // What was changed and not yet settled is on units that wait for it.
        Assert.Empty(c.Query<string>("select o.unit from part_out o join unit u on u.unit = o.unit where o.settled = 0 and u.state <> 'held' and u.unit not in " + Reported));
    }

    static void StepsStandInOrder(SqliteConnection c)
    {
        foreach (var unit in c.Query<string>($"select unit from unit where unit not in {Reported}"))
        {
            var standing = c.Query<long>("select number from unit_step where unit = @unit and stands = 1 order by number", new { unit }).ToList();
            Assert.Equal(TestRoute.Revision.Steps.Select(s => (long)s.Number).Take(standing.Count), standing);
        }
    }

    static void ShippedUnitsAreComplete(SqliteConnection c)
    {
        foreach (var unit in c.Query<string>($"select unit from unit where shipped_at is not null and unit not in {Reported}"))
        {
            Assert.Equal(14, c.ExecuteScalar<int>("select count(*) from unit_step where unit = @unit and stands = 1", new { unit }));
            Assert.Equal(0, c.ExecuteScalar<int>("select count(*) from capture_ref r join unit_step s using (unit, step, attempt) where r.unit = @unit and s.stands = 1 and r.state = 'awaited'", new { unit }));
            Assert.NotNull(c.ExecuteScalar<string?>("select serial from unit where unit = @unit", new { unit }));
        }
    }

    static void SerialsAreExplained(SqliteConnection c)
    {
        Assert.Empty(c.Query<string>("select u.unit from unit u left join serial s on s.serial = u.serial where u.serial is not null and (s.state is not 'used' or s.unit <> u.unit)"));
        Assert.Empty(c.Query<string>("select s.serial from serial s join unit u on u.unit = s.unit where s.state = 'issued' and u.state in ('shipped', 'scrapped') and u.unit not in " + Reported));
    }

    static void StationsHoldUnitsThatMayMove(SqliteConnection c)
    {
        Assert.Empty(c.Query<string>("select s.station from station_state s join unit u on u.unit = s.unit where u.state not in ('building', 'passed')"));
        Assert.Empty(c.Query<string>("select unit from station_state where unit is not null group by unit having count(*) > 1"));
    }
}
