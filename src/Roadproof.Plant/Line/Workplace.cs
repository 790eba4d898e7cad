using Roadproof.Engineering.Statistics;

namespace Roadproof.Plant.Line;

/// <summary>One station: takes the next unit, does its step, passes it on when there is a free place. What is stopped goes to the hold rack.</summary>
sealed class Workplace(DemoDay day, LineStation station, int step, int index)
{
    const double LateReportLeastS = 30, LateReportMostS = 90;

    public string Id => station.Id;
    public LineStep Step => day.Route.Steps[step];
    public int StepIndex => step;
    public string Person => day.Crew.At(index, day.Time.Now);

    public async IAsyncEnumerable<Pause> Work()
    {
        while (true)
        {
            UnitOnLine? unit;
            while ((unit = TakeNext()) is null)
            {
                yield return Pause.UntilHeard(day.Before[step].Arrived);
            }

            var turn = new Turn(day, this, unit);
            await foreach (var pause in turn.Run()) yield return pause;

            if (!turn.Passed)
            {
                day.Rack.Put(unit, day.Time.Now);
                day.Ended(unit, "held");
                continue;
            }

            await foreach (var pause in PassOn(unit)) yield return pause;
            if (turn.Late is not { } report) continue;
            yield return Pause.Seconds(LateReportLeastS + (LateReportMostS - LateReportLeastS) * new SeededNoise(unit.Truth.Seed, "off line " + Id).Share());
            await turn.Report(report);
        }
    }

    UnitOnLine? TakeNext() => day.Before[step].Take() ?? (step == 0 ? day.NextShell() : null);

    async IAsyncEnumerable<Pause> PassOn(UnitOnLine unit)
    {
        await Task.CompletedTask;
        unit.Next = step + 1;
        if (unit.Next == day.Route.Steps.Count)
        {
            day.Ended(unit, "shipped");
            yield break;
        }

        var next = day.Before[unit.Next];
        while (!next.HasFree) yield return Pause.UntilHeard(next.Freed);
        next.Put(unit);
    }
}
