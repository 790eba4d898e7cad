using Roadproof.App.Frame;
using Roadproof.Engineering.Formats;
using Roadproof.Engineering.LoadTest;
using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Signals;
using Roadproof.Engineering.Statistics;
using Roadproof.Records.Messages;
using Roadproof.Records.ReadModel;

namespace Roadproof.App.LoadTest;

/// <summary>What the runs of other units do where one run is looked at: over its time, over a turn of its rotor, or over the orders at one of its load points.</summary>
public static class ShowBand
{
    /// <summary>A band is made of so many runs at most, those nearest in time: with more its edges hardly move, and each has to be read.</summary>
    public const int Most = 40;

    const int Places = 360;

    /// <param name="Of">all, rig, order, or the id of a part: units with the same lot of it.</param>
    /// <param name="StoppedToo">Runs that were stopped count as well as those that passed.</param>
    public sealed record Asked(string Of, bool StoppedToo, int Runs);

    /// <param name="Word">What the units have in common.</param>
    /// <param name="Runs">Runs that the band is made of, one of each unit.</param>
    /// <param name="AtHand">Units that there are, whose captures are still kept.</param>
    /// <param name="Share">Chance that the next such run lies between the edges at one place.</param>
    /// <param name="Units">Of the runs, nearest in time first.</param>
    /// <param name="At">s in the time of the run, degrees of the rotor, or order; as the three that follow.</param>
    /// <param name="Lower">Null where too few runs were recorded.</param>
    public sealed record Answer(
        string Of, string Word, bool StoppedToo, int Runs, int AtHand, double Share, DateTimeOffset From, DateTimeOffset To, IReadOnlyList<string> Units,
        double[] At, double?[] Lower, double?[] Median, double?[] Upper, string Method, IReadOnlyList<string> Warnings);

    const string Method = "Edges and median by rank, place by place, of one run of each other unit (Hyndman and Fan 1996, definition 6); docs/methods/signals.md.";

    /// <summary>Where the places of a band lie, and how one run of another unit is read at them.</summary>
    /// <param name="Read">Null where the run cannot be read there.</param>
    /// <param name="LeftOut">Why not.</param>
    sealed record BandPlaces(double[] At, string LeftOut, Func<RunAlike, (double[] Minimum, double[] Maximum)?> Read);

    public static void Map(IEndpointRouteBuilder app)
    {
        app.MapGet("/api/v1/units/{unit}/load-tests/{attempt}/band", (string unit, int attempt, string of, bool? stopped, int? runs, string channel, string? table, double? from, double? to, int? points, OpenLine line, RunChannelCache cache, CancellationToken stop) =>
            OverTime(unit, attempt, new(of, stopped ?? false, runs ?? Most), channel, table ?? "slow", from, to, points ?? 600, line, cache, stop).ToHttp())
            .WithSummary("What other units' runs do over the time of a load test: the band and its middle");
        app.MapGet("/api/v1/units/{unit}/load-tests/{attempt}/turn-band", (string unit, int attempt, string of, bool? stopped, int? runs, string channel, string point, OpenLine line, RunChannelCache cache, RecentCaptures recent, CancellationToken stop) =>
            OverTurn(unit, attempt, new(of, stopped ?? false, runs ?? Most), channel, point, line, cache, recent, stop).ToHttp())
            .WithSummary("What other units' runs do over a turn of the rotor at a load point");
        app.MapGet("/api/v1/units/{unit}/load-tests/{attempt}/order-band", (string unit, int attempt, string of, bool? stopped, int? runs, string channel, string point, int? columns, double? orders, OpenLine line, RunChannelCache cache, RecentCaptures recent, CancellationToken stop) =>
            OverOrders(unit, attempt, new(of, stopped ?? false, runs ?? Most), channel, point, columns ?? ShowOrderMap.UsualColumns, orders, line, cache, recent, stop).ToHttp())
            .WithSummary("How loud other units' runs are over the orders at a load point");
    }

    /// <param name="table">Which file of the run: slow, fast or vibration.</param>
    public static Outcome<Answer> OverTime(string unit, int attempt, Asked asked, string channel, string table, double? fromS, double? toS, int points, OpenLine line, RunChannelCache cache, CancellationToken stop)
    {
        if (points is < 1 or > 5_000) throw new InputException(new InputError("band", 0, "points", Invariant($"{points}"), "1 to 5000 columns"));
        var found = FindRun.Of(unit, attempt, line);
        if (found.Done is not { } run) return found.Refused!;
        if (Table(run.Run.Captures, table) is not { } own || cache.Find(own.Sha256, channel, line) is not { } recorded) return ShowTrace.NotAtHand;
        var (from, to) = (fromS ?? recorded.TimeS[0], toS ?? recorded.TimeS[^1]);
        if (!(to > from)) throw new InputException(new InputError("band", 0, "to", Invariant($"{to} s"), Invariant($"a time after {from} s")));

        // Two samples a column at least: a run that was sampled between them would else have none there.
        var samples = StretchFigures.Of(recorded.TimeS, recorded.Channels[channel], from, to).Samples;
        var edgesS = Thinning.Edges(from, to, Math.Clamp(samples / 2, 1, points));
        var windows = run.Run.Verdict?.Windows ?? [];
        return Of(run, asked, line, new(Middles(edgesS), "no load point in common, or no such channel", other =>
        {
            var alignment = new RunAlignment(windows, other.Windows);
            if (windows.Count > 0 && alignment.Points == 0) return null;
            if (Table(other.Captures, table) is not { } file || cache.Find(file.Sha256, channel, line) is not { } beside) return null;
            return Thinning.Between(beside.TimeS, beside.Channels[channel], Array.ConvertAll(edgesS, alignment.At));
        }), stop);
    }

    public static Outcome<Answer> OverTurn(string unit, int attempt, Asked asked, string channel, string point, OpenLine line, RunChannelCache cache, RecentCaptures recent, CancellationToken stop)
    {
        var captures = RunCaptures.Of(unit, attempt, channel, line, recent);
        if (captures.Done is not { } own) return captures.Refused!;
        var window = own.WindowOf(point, "turn-band");
        var natural = ShaftTurn.Of(own.Capture, channel, own.Drive, 0, window.FromS, window.ToS, Places).Band.Mean.Length;

        // Another run may turn a little faster and have fewer samples in a turn.
        var places = natural == Places ? Places : natural * 9 / 10;
        return Of(own.Found, asked, line, new([.. Enumerable.Range(0, places).Select(p => p * 360.0 / places)], "the load point not held, or too few samples a turn", other =>
            Same(cache.Keep(("turn", other.Unit, other.Attempt, channel, point, places), () =>
            {
                var mean = Fast(other, channel, point, line, (capture, drive, at) => ShaftTurn.Of(capture, channel, drive, 0, at.FromS, at.ToS, places).Band.Mean);
                return mean?.Length == places ? mean : null;
            }, mean => mean.Length * 8L))), stop);
    }

    public static Outcome<Answer> OverOrders(string unit, int attempt, Asked asked, string channel, string point, int columns, double? highestOrder, OpenLine line, RunChannelCache cache, RecentCaptures recent, CancellationToken stop)
    {
        ShowOrderMap.Require(columns, highestOrder);
        var captures = RunCaptures.Of(unit, attempt, channel, line, recent);
        if (captures.Done is not { } own) return captures.Refused!;
        var map = Map(own.Capture, own.Drive, own.WindowOf(point, "order-band"));
        return Of(own.Found, asked, line, new(map.Orders, "the load point not held long enough, or sampled too slowly", other =>
            Same(cache.Keep(("orders", other.Unit, other.Attempt, channel, point, columns, map.Orders[^1]), () =>
                Fast(other, channel, point, line, (capture, drive, at) => Map(capture, drive, at) is var beside && beside.OrderStep == map.OrderStep && beside.Orders.AsSpan().SequenceEqual(map.Orders) ? OrderMap.Together(beside.Rows).Amplitude : null),
                amplitude => amplitude.Length * 8L))), stop);

        OrderMap Map(Capture capture, Engineering.Drive.DriveUnit drive, SteadyPoint at) => OrderMap.Of(capture, channel, drive, columns, highestOrder, at.FromS, at.ToS);
    }

    static Outcome<Answer> Of(FoundRun run, Asked asked, OpenLine line, BandPlaces places, CancellationToken stop)
    {
        if (asked.Runs is < 1 or > Most) throw new InputException(new InputError("band", 0, "runs", Invariant($"{asked.Runs}"), Invariant($"1 to {Most} runs")));
        var (kinds, runs) = line.Ask(c => (RunsAlike.Kinds(c, run.Revision, run.Unit, run.Run.Rig), RunsAlike.Of(c, run.Revision, run.Unit, run.Run.Rig, run.Run.At, asked.Of, asked.StoppedToo, asked.Runs)));
        var kind = kinds.FirstOrDefault(k => k.Id == asked.Of) ?? throw new InputException(new InputError("band", 0, "of", $"'{asked.Of}'", $"one of {string.Join(", ", kinds.Select(k => k.Id))}"));

        var read = new List<(RunAlike Run, (double[] Minimum, double[] Maximum) Values)>();
        foreach (var other in runs)
        {
            if (stop.IsCancellationRequested) break; // nobody waits for it any more
            if (places.Read(other) is { } values) read.Add((other, values));
        }

        var passed = asked.StoppedToo ? "" : " that passed";
        if (read.Count < RankBand.Fewest)
            return new Refusal(Invariant($"Only {read.Count} {(read.Count == 1 ? "run" : "runs")}{passed} of {kind.Word}: no band."), Invariant($"It takes {RankBand.Fewest} of other units whose captures are at hand. Take stopped runs too, or units that have less in common."));

        var band = RunBand.Of([.. read.Select(r => r.Values)]);
        var times = read.Select(r => r.Run.At).ToList();
        var warnings = new List<string>();
        if (read.Count < runs.Count) warnings.Add(Invariant($"{runs.Count - read.Count} of {runs.Count} runs are left out: {places.LeftOut}."));
        return new Answer(
            kind.Id, kind.Word, asked.StoppedToo, band.Runs, asked.StoppedToo ? kind.Units : kind.Passed, RankBand.ShareBetween(band.Runs), times.Min().ToOffset(line.Clock.GetLocalNow().Offset), times.Max().ToOffset(line.Clock.GetLocalNow().Offset),
            [.. read.Select(r => r.Run.Unit)], places.At, ShowTrace.Gaps(band.Lower), ShowTrace.Gaps(band.Median), ShowTrace.Gaps(band.Upper), Method, warnings);
    }

    static (double[], double[])? Same(double[]? values) => values is null ? null : (values, values);

    /// <summary>Reads another run over its rotor's angle at a load point; null where it cannot be.</summary>
    static double[]? Fast(RunAlike other, string channel, string point, OpenLine line, Func<Capture, Engineering.Drive.DriveUnit, SteadyPoint, double[]?> read)
    {
        if (other.Windows.FirstOrDefault(w => w.Point == point) is not { } window) return null;
        var tables = RunCaptures.FastFiles(other.Captures).Select(f => RunChannelCache.Read(f.Sha256, ShaftTurn.Needs(channel), line)).OfType<CaptureTable>().ToList();
        if (!tables.Any(t => t.Channels.ContainsKey(channel))) return null;
        try
        {
            return read(new(CaptureHeader.Unknown, tables), line.Plant.RevisionOf(other.Revision).LoadTest.Unit, window);
        }
        catch (InputException)
        {
            return null; // one run that turns too little is told among those left out
        }
    }

    static UnitCapture? Table(IReadOnlyList<UnitCapture> captures, string table) => captures.FirstOrDefault(c => c.State == "kept" && !RunFiles.IsMetadata(c.Name) && RunFiles.TableOf(c.Name) == table);

    static double[] Middles(double[] edges) => [.. edges.Zip(edges.Skip(1), (a, b) => (a + b) / 2)];
}
