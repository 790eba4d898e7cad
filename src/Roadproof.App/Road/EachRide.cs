using System.Collections.Concurrent;
using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Formats;
using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Road;

namespace Roadproof.App.Road;

/// <summary>A file taken through road and unit, or why not.</summary>
public readonly record struct Ridden(UnitOnRoad? Ride, IReadOnlyList<InputError> Errors);

/// <summary>Takes many ride files through reading, road and unit, on all cores; none is held longer than its receiver wants it.</summary>
public static class EachRide
{
    /// <param name="took">Place of the file in the list, and what came of it; called from several threads, in any order.</param>
    /// <exception cref="OperationCanceledException">Stopped between files.</exception>
    public static void Run(IReadOnlyList<string> files, Rider rider, DriveUnit unit, UnitOnRoadOptions options, Action<int, Ridden> took, CancellationToken stop)
    {
        // On a bike with a motor a power meter at the crank reads the rider alone, without one it reads all. The files do not say which: the options do.
        rider.RequirePossible();
        var runner = new RoadRunner(unit, Deviation.None, options);
        var one = Partitioner.Create(Enumerable.Range(0, files.Count), EnumerablePartitionerOptions.NoBuffering);
        Parallel.ForEach(one, new ParallelOptions { MaxDegreeOfParallelism = Environment.ProcessorCount, CancellationToken = stop }, i =>
        {
            Ridden ridden;
            try
            {
                using var stream = RideFiles.Open(files[i]);
                ridden = new(runner.Run(RoadLoad.Run(RideFile.Read(files[i], stream), rider, unit, options.Road), rider, stop), []);
            }
            catch (InputException e)
            {
                ridden = new(null, e.Errors);
            }

            took(i, ridden);
        });
    }
}
