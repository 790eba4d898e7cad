using System.Collections.Concurrent;
using Roadproof.Engineering.Drive;
using Roadproof.Records.Rides;

namespace Roadproof.App.Road;

/// <summary>The kept rides on a unit, added up in groups that can be drawn anew.</summary>
static class KeptRides
{
    /// <summary>On all cores but one, which stays free for the line.</summary>
    public static MergedRides OnUnit(RideStore rides, IReadOnlyList<RideFacts> which, DriveUnit unit, RoadSettings settings, Action done, CancellationToken stop)
    {
        var (onUnit, sums) = (new RideOnUnit(unit, settings), new MergedRides(unit));
        var cores = new ParallelOptions { MaxDegreeOfParallelism = Math.Max(1, Environment.ProcessorCount - 1), CancellationToken = stop };
        Parallel.ForEach(Partitioner.Create(Enumerable.Range(0, which.Count), EnumerablePartitionerOptions.NoBuffering), cores, i =>
        {
            sums.Take(i, rides.Read(which[i].Id) is { } ride ? onUnit.Ridden(ride, stop) : null);
            done();
        });
        return sums;
    }
}
