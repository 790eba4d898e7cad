namespace Roadproof.Engineering.LoadTest;

/// <summary>How much more a unit's gears drag over a run because it had stood: its grease has settled between them, and is worked out of their way turn by turn.</summary>
static class SettledGrease
{
    /// <summary>Where nobody knows how long a unit stood, its grease lies anywhere between worked and settled, as likely as anywhere else: this is the middle.</summary>
    const double UnknownSettled = 0.5;

    /// <summary>Standard uncertainty of anywhere between 0 and 1 (JCGM 100:2008, 4.3.7), as a share of all that can settle.</summary>
    public static readonly double UnknownUncertainty = 1 / Math.Sqrt(12);

    /// <summary>The same where the time is known: units and rests differ.</summary>
    public const double KnownUncertainty = 0.1;

    /// <summary>What is said of such a run.</summary>
    public const string Unknown = "How long the unit had stood is not known: its grease may have settled, and what depends on drag is less sure.";

    /// <returns>Drag over that of worked grease, at a time of the run.</returns>
    public static double ShareAt(MeasuredRun run, LoadTestPlan plan, double atS)
    {
        var drag = plan.Unit.GearDrag;
        if (drag.SettledShare == 0) return 1;
        return drag.ShareUnworked((run.IdleH is { } idleH ? drag.SettledAfter(idleH) : UnknownSettled) + run.SettledError, TurnsAt(WarmthSeen.Held(run, plan), atS));
    }

    /// <summary>Turns of the output since the start of a cycle; changes of speed count to the point that they lead to.</summary>
    public static double TurnsAt(LoadCycle cycle, double atS)
    {
        var (turns, startS) = (0.0, 0.0);
        foreach (var point in cycle.Points)
        {
            turns += Math.Clamp(atS - startS, 0, point.HoldS) * point.OutputRpm / 60;
            startS += point.HoldS;
        }

        return turns;
    }
}
