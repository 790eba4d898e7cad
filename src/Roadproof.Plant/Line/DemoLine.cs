namespace Roadproof.Plant.Line;

/// <summary>The demo plant: a line of fourteen steps with three rigs and the cells that feed it, built of people and machines that slip, and units that hide faults. It speaks HTTP and nothing else.</summary>
/// <remarks>What is simulated, how often who slips, and which faults hide: <c>docs/guides/demo.md</c>. All of its data are invented.</remarks>
public static class DemoLine
{
    /// <summary>Runs the line until its units have ended, or until it is stopped.</summary>
    /// <param name="http">Its base address is the server's.</param>
    /// <param name="clock">The clock that the server tells time by; see <see cref="DemoOptions.Clock"/>. A stepped clock is set on before each message.</param>
    /// <param name="progress">Told whenever a unit ends or is stopped.</param>
    /// <returns>What came of it; where it was stopped, what has come of it so far.</returns>
    /// <exception cref="InvalidOperationException">The server did not understand the plant, or the line stands still: a bug of ours.</exception>
    public static async Task<DemoResult> Run(HttpClient http, PlantClock clock, DemoOptions options, IProgress<DemoProgress>? progress = null, CancellationToken stop = default)
    {
        var time = new PlantTime(clock);
        var door = new LineDoor(http, stop);
        var day = new DemoDay(options, time, door, await door.Routes(), progress);
        try
        {
            await day.Crew.MakeReady(door, [.. day.Lines.Select(l => l.Route)], time.Now);
            await day.Lots.Fill(day.Crew.GoodsIn);
            foreach (var line in day.Lines)
                if (line.Orders is { } orders) await orders.Round();
            foreach (var line in day.Lines)
            {
                foreach (var (index, station) in line.Route.Line.Stations.Index()) time.Start(new Workplace(line, station, line.Route.IndexOf(station.Step), index).Work());
            }

            time.Start(new ShiftLead(day, othersDecideToo: options.Speed is not null).Work());
            await time.Run(stop);
        }
        catch (OperationCanceledException) when (stop.IsCancellationRequested)
        {
            // Stopped from outside: the line ends in the middle of its work, and that is a result too.
        }

        return day.Result();
    }
}
