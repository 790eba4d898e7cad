using System.Collections.Concurrent;
using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Formats;
using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Road;
using Roadproof.Records.Rides;

namespace Roadproof.App.Road;

/// <summary>Recorded rides by the terrains of a mix, over which its riders are sent.</summary>
/// <param name="Terrains">Names or ids of the rides of each terrain that has some.</param>
/// <param name="Read">A ride; null where it is gone.</param>
/// <param name="Refused">Files that are no ride with a road.</param>
/// <param name="Cores">How many work at it.</param>
sealed record MixedRides(RiderMix Mix, IReadOnlyDictionary<string, List<string>> Terrains, Func<string, Ride?> Read, IReadOnlyList<LoadRides.RefusedFile> Refused, int Cores)
{
    public int Count => Terrains.Sum(t => t.Value.Count);

    /// <summary>Out of files, on all cores.</summary>
    /// <exception cref="InputException">No file is a ride: every fault of every file.</exception>
    public static MixedRides OfFiles(RiderMix mix, IReadOnlyList<string> files, Action? done, CancellationToken stop)
    {
        var terrain = new string?[files.Count];
        var refused = new LoadRides.RefusedFile?[files.Count];
        Parallel.For(0, files.Count, new ParallelOptions { MaxDegreeOfParallelism = Environment.ProcessorCount, CancellationToken = stop }, i =>
        {
            try
            {
                var summary = RideSummary.Of(FromFile(files[i]));
                if (summary is { DistanceM: >= 100, MovingTimeS: > 0 }) terrain[i] = mix.TerrainOf((summary.AscentM ?? 0) / (summary.DistanceM / 1000));
                else refused[i] = new(files[i], [new InputError(files[i], 0, "", "no road of at least 100 m with times", "a recorded ride on a road")]);
            }
            catch (InputException e)
            {
                refused[i] = new(files[i], e.Errors);
            }

            done?.Invoke();
        });
        var rides = new MixedRides(mix, ByTerrain(files.Select((file, i) => (file, terrain[i]))), FromFile, [.. refused.OfType<LoadRides.RefusedFile>()], Environment.ProcessorCount);
        return rides.Count > 0 || rides.Refused.Count == 0 ? rides : throw new InputException([.. rides.Refused.SelectMany(r => r.Errors)]);
    }

    /// <summary>Out of the rides that a plant keeps, each under the name that it came with; one core stays free for the line.</summary>
    public static MixedRides OfKept(RiderMix mix, RideStore store) => new(
        mix, ByTerrain(store.All.Where(r => r.DistanceM >= 100).Select(r => (r.Id, mix.TerrainOf((r.AscentM ?? 0) / (r.DistanceM / 1000))))),
        id => store.Read(id) is { } ride ? ride with { Name = store.Find(id)?.Name ?? id } : null, [], RoadStudies.Cores);

    /// <summary>What comes of each drawn rider, in the order in which they were drawn.</summary>
    /// <param name="warnings">Takes which terrains have no ride.</param>
    /// <param name="of">What is kept of a rider on a ride; called from several threads.</param>
    /// <exception cref="InputException">No terrain of the mix has a ride.</exception>
    public IReadOnlyList<T> Ridden<T>(DriveUnit unit, int riders, ulong seed, List<string> warnings, Func<MixedRider, string, UnitOnRoad, T> of, Action? done, CancellationToken stop)
    {
        var open = Mix with { Terrains = [.. Mix.Terrains.Where(t => Terrains.ContainsKey(t.Name))] };
        if (open.Terrains.Sum(t => t.Share) <= 0) throw new InputException(new InputError(Mix.Name, 0, "terrains", "no terrain of the mix has a ride", Invariant($"rides of {string.Join(", ", Mix.Terrains.Where(t => t.Share > 0).Select(t => t.Name))}")));
        var missing = Mix.Terrains.Where(t => t.Share > 0 && !Terrains.ContainsKey(t.Name)).ToList();
        if (missing.Count > 0) warnings.Add(Invariant($"No ride for terrain {string.Join(", ", missing.Select(t => t.Name))}: {100 * missing.Sum(t => t.Share) / Mix.Terrains.Sum(t => t.Share):0} % of the mix is left out, and the others stand for it."));

        var byRide = open.Draw(riders, seed).GroupBy(r => Terrains[r.Terrain][Math.Min((int)(r.Which * Terrains[r.Terrain].Count), Terrains[r.Terrain].Count - 1)], StringComparer.Ordinal).ToList();
        var found = new ConcurrentBag<(int Number, T Found)>();
        Parallel.ForEach(Partitioner.Create(byRide, EnumerablePartitionerOptions.NoBuffering), new ParallelOptions { MaxDegreeOfParallelism = Cores, CancellationToken = stop }, ride =>
        {
            if (Read(ride.Key) is { } recorded)
                foreach (var rider in ride) found.Add((rider.Number, of(rider, recorded.Name, On(unit, recorded, rider, stop))));
            done?.Invoke();
        });
        return [.. found.OrderBy(f => f.Number).Select(f => f.Found)];
    }

    static Dictionary<string, List<string>> ByTerrain(IEnumerable<(string Ride, string? Terrain)> rides) =>
        rides.Where(r => r.Terrain is not null).GroupBy(r => r.Terrain!, r => r.Ride, StringComparer.Ordinal).ToDictionary(g => g.Key, g => g.ToList(), StringComparer.Ordinal);

    static Ride FromFile(string file)
    {
        using var stream = RideFiles.Open(file);
        return RideFile.Read(file, stream);
    }

    static UnitOnRoad On(DriveUnit unit, Ride recorded, MixedRider rider, CancellationToken stop)
    {
        // Air and wind are the mix's: a file's own are those of one morning.
        var day = new UnitOnRoadOptions { AmbientC = rider.AirC, Pulsation = new() { MotorFollows = rider.MotorFollows }, Wind = new() { HeadwindMps = rider.HeadwindMps, StationMps = 0 } };
        var load = RoadLoad.Run(recorded, rider.Rider, unit, day.Road with { UseRecordedPower = false });
        return new RoadRunner(unit, Deviation.None, day).Run(load, rider.Rider, stop);
    }
}
