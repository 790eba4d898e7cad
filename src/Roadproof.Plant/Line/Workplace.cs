using Roadproof.Engineering.Statistics;

namespace Roadproof.Plant.Line;

/// <summary>One station: takes the next unit, does its step, passes it on when there is a free place. What is stopped goes to the hold rack.</summary>
sealed class Workplace(LineAtWork line, LineStation station, int step, int index)
{
    const double LateReportLeastS = 30, LateReportMostS = 90, LookAgainS = 20;

    public string Id => station.Id;
    public LineStep Step => line.Route.Steps[step];
    public int StepIndex => step;
    public string Person => line.Day.Crew.At(line.Route.Line.Id, index, line.Day.Time.Now);

    /// <summary>The work here asks for a qualification.</summary>
    public bool AsksWho => line.Route.AskedAt(station).Any();

    public async IAsyncEnumerable<Pause> Work()
    {
        while (true)
        {
            if (line.Keepers.TryGetValue(Id, out var keeper)) await foreach (var pause in keeper.MakeReady()) yield return pause;
            UnitOnLine? unit;
            while ((unit = TakeNext()) is null) yield return Wait();
            // It may have stood for long.
            if (keeper is not null) await foreach (var pause in keeper.MakeReady()) yield return pause;

            var turn = new Turn(line, this, unit);
            await foreach (var pause in turn.Run()) yield return pause;

            if (!turn.Passed)
            {
                line.Day.Rack.Put(unit, line.Day.Time.Now);
                line.Day.Ended(unit, "held");
                continue;
            }

            await foreach (var pause in PassOn(unit)) yield return pause;
            if (turn.Late is not { } report) continue;
            yield return Pause.Seconds(LateReportLeastS + (LateReportMostS - LateReportLeastS) * new SeededNoise(unit.Truth.Seed, "off line " + Id).Share());
            await turn.Report(report);
        }
    }

    UnitOnLine? TakeNext() => line.Before[step].Take() ?? (step == 0 ? line.NextShell() : null);

    // A cell looks again when a while has gone by: a part may have been taken, the next order started.
    Pause Wait() => step == 0 && (line != line.Day.Main || line.Orders is not null) && !line.Day.IsMainDone ? Pause.Seconds(LookAgainS) : Pause.UntilHeard(line.Before[step].Arrived);

    async IAsyncEnumerable<Pause> PassOn(UnitOnLine unit)
    {
        await Task.CompletedTask;
        unit.Next = step + 1;
        if (unit.Next == line.Route.Steps.Count)
        {
            line.Finish(unit);
            yield break;
        }

        var next = line.Before[unit.Next];
        while (!next.HasFree) yield return Pause.UntilHeard(next.Freed);
        next.Put(unit);
    }
}
