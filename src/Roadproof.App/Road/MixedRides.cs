using System.Collections.Concurrent;
using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Formats;
using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Road;

namespace Roadproof.App.Road;

/// <summary>Sends the riders of a mix over recorded rides, each over one of its terrain.</summary>
static class MixedRides
{
    /// <summary>The files by terrain; those that are no ride with a road, with the reason.</summary>
    public static (Dictionary<string, List<string>> Terrains, IReadOnlyList<LoadRides.RefusedFile> Refused) Sorted(RiderMix mix, IReadOnlyList<string> files, Action? done, CancellationToken stop)
    {
        var terrain = new string?[files.Count];
        var refused = new LoadRides.RefusedFile?[files.Count];
        Parallel.For(0, files.Count, new ParallelOptions { MaxDegreeOfParallelism = Environment.ProcessorCount, CancellationToken = stop }, i =>
        {
            try
            {
                using var stream = RideFiles.Open(files[i]);
                var summary = RideSummary.Of(RideFile.Read(files[i], stream));
                if (summary is { DistanceM: >= 100, MovingTimeS: > 0 }) terrain[i] = mix.TerrainOf((summary.AscentM ?? 0) / (summary.DistanceM / 1000));
                else refused[i] = new(files[i], [new InputError(files[i], 0, "", "no road of at least 100 m with times", "a recorded ride on a road")]);
            }
            catch (InputException e)
            {
                refused[i] = new(files[i], e.Errors);
            }

            done?.Invoke();
        });
        return (files.Select((file, i) => (file, Terrain: terrain[i])).Where(f => f.Terrain is not null).GroupBy(f => f.Terrain!, f => f.file, StringComparer.Ordinal).ToDictionary(g => g.Key, g => g.ToList(), StringComparer.Ordinal),
            [.. refused.OfType<LoadRides.RefusedFile>()]);
    }

    /// <summary>What comes of each drawn rider, in the order in which they were drawn.</summary>
    /// <param name="rides">By terrain; what <paramref name="read"/> takes.</param>
    /// <param name="read">A ride; null where it is gone.</param>
    /// <param name="warnings">Takes which terrains have no ride.</param>
    /// <param name="of">What is kept of a rider on a ride; called from several threads.</param>
    /// <exception cref="InputException">No terrain of the mix has a ride.</exception>
    public static IReadOnlyList<T> Ridden<T>(
        DriveUnit unit, RiderMix mix, IReadOnlyDictionary<string, List<string>> rides, Func<string, Ride?> read, int riders, ulong seed, List<string> warnings, Func<MixedRider, string, UnitOnRoad, T> of, Action? done, CancellationToken stop)
    {
        var open = mix with { Terrains = [.. mix.Terrains.Where(t => rides.ContainsKey(t.Name))] };
        if (open.Terrains.Sum(t => t.Share) <= 0) throw new InputException(new InputError(mix.Name, 0, "terrains", "no terrain of the mix has a ride", Invariant($"rides of {string.Join(", ", mix.Terrains.Where(t => t.Share > 0).Select(t => t.Name))}")));
        var missing = mix.Terrains.Where(t => t.Share > 0 && !rides.ContainsKey(t.Name)).ToList();
        if (missing.Count > 0) warnings.Add(Invariant($"No ride for terrain {string.Join(", ", missing.Select(t => t.Name))}: {100 * missing.Sum(t => t.Share) / mix.Terrains.Sum(t => t.Share):0} % of the mix is left out, and the others stand for it."));

        var byRide = open.Draw(riders, seed).GroupBy(r => rides[r.Terrain][Math.Min((int)(r.Which * rides[r.Terrain].Count), rides[r.Terrain].Count - 1)], StringComparer.Ordinal).ToList();
        var found = new ConcurrentBag<(int Number, T Found)>();
        Parallel.ForEach(Partitioner.Create(byRide, EnumerablePartitionerOptions.NoBuffering), new ParallelOptions { MaxDegreeOfParallelism = Environment.ProcessorCount, CancellationToken = stop }, ride =>
        {
            if (read(ride.Key) is { } recorded)
                foreach (var rider in ride) found.Add((rider.Number, of(rider, recorded.Name, On(unit, recorded, rider, stop))));
            done?.Invoke();
        });
        return [.. found.OrderBy(f => f.Number).Select(f => f.Found)];
    }

    static UnitOnRoad On(DriveUnit unit, Ride recorded, MixedRider rider, CancellationToken stop)
    {
        var day = new UnitOnRoadOptions { AmbientC = rider.AirC, Pulsation = new() { MotorFollows = rider.MotorFollows }, Wind = new() { HeadwindMps = rider.HeadwindMps } };
        var load = RoadLoad.Run(recorded, rider.Rider, unit, day.Road with { UseRecordedPower = false });
        return new RoadRunner(unit, Deviation.None, day).Run(load, rider.Rider, stop);
    }
}
