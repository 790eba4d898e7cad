using Roadproof.Engineering.Drive;

namespace Roadproof.Engineering.LoadTest;

/// <summary>How warm the lumps of a unit were over a run, the magnets among them, which nobody measures: from the start of the run and the currents that were measured.</summary>
static class WarmthSeen
{
    public static CycleWarmth Over(MeasuredRun run, LoadTestPlan plan)
    {
        var unit = plan.Unit;
        var measured = run.Points.ToDictionary(p => p.Point, StringComparer.Ordinal);
        return CycleWarmth.Over(Held(run, plan), new ThermalNetwork(unit.Thermal), Start(run), run.Start.AmbientC, (point, state) =>
        {
            var running = new RunningUnit(unit, Deviation.None, point.SpeedRadPerS, state.WindingC, state.RotorC, state.HousingC, unit.Supply.NominalV);
            var currentA = measured.TryGetValue(point.Id, out var found) && found.Fast is { } fast
                ? fast.PhaseCurrentPeakA
                : point.TorqueNm > 0 ? RunningUnit.AskedCurrentA(unit, point) : running.CurrentForA(0);
            return running.LossesAt(currentA);
        });
    }

    // A rig may hold a point longer than the cycle says, and the unit warms by what was held.
    public static LoadCycle Held(MeasuredRun run, LoadTestPlan plan) => plan.Cycle with { Points = [.. plan.Cycle.Points.Select(p => p with { HoldS = run.HeldS[p.Id] })] };

    // Stator and rotor have no sensors: a unit that has stood is as warm inside as its winding and shell say.
    public static ThermalState Start(MeasuredRun run) => new(run.Start.WindingC, run.Start.WindingC, (run.Start.WindingC + run.Start.ShellC) / 2, run.Start.ControllerC, run.Start.ShellC);
}
