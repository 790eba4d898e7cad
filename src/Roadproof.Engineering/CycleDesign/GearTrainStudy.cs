using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Road;

namespace Roadproof.Engineering.CycleDesign;

/// <summary>A ride with a rider on it. The same may be taken through any number of trains: what motor and rider share is settled anew for each.</summary>
/// <param name="Name">Of the rider.</param>
/// <param name="Load">That the rider's ride asks for; must tell a way.</param>
public sealed record RiddenLoad(string Name, Rider Rider, RoadLoad Load);

/// <summary>Takes riders over rides on every variant of a gear train, and tells what each would last, weigh, lose and sound like.</summary>
/// <remarks>
/// Each variant goes through the same computation as a unit on the road: <see cref="RoadRunner"/>, <see cref="Life.LoadSpectrum"/>, <see cref="Life.UnitLife"/>. Nothing is fitted or carried over from the base.
/// Rides are taken one by one, so that their number costs no memory; variants are taken in parallel, each by one thread at a time, so that the digits do not depend on the machine.
/// An estimate that ranks designs, never a permission: equations, limits and sources in <c>docs/methods/gear-train-study.md</c>.
/// </remarks>
public static class GearTrainStudy
{
    /// <summary>So many variants are counted at once (some 100 kB for each rider of each); beyond that the rides are taken again.</summary>
    public const int AtOnce = 64;

    /// <param name="rides">Taken through once for each <see cref="AtOnce"/> variants, in the same order each time.</param>
    /// <param name="done">Told after each ride on each batch of variants.</param>
    /// <param name="cores">Those to use; without, all. The digits do not depend on them.</param>
    /// <exception cref="InputException">A train that cannot be, a ride without a way, or no ride.</exception>
    /// <exception cref="OperationCanceledException">Stopped between seconds of a ride.</exception>
    public static IReadOnlyList<StudiedTrain> Run(IEnumerable<RiddenLoad> rides, IReadOnlyList<GearTrain> trains, UnitOnRoadOptions options, Action? done = null, int? cores = null, CancellationToken stop = default)
    {
        ArgumentNullException.ThrowIfNull(rides);
        ArgumentNullException.ThrowIfNull(trains);
        RequirePossible(trains);
        List<StudiedTrain> told = [];
        foreach (var batch in trains.Chunk(AtOnce))
        {
            var counted = Array.ConvertAll(batch, train => new TrainOnRides(train, options));
            var any = false;
            foreach (var ride in rides)
            {
                stop.ThrowIfCancellationRequested();
                RequireWay(ride);
                Parallel.ForEach(counted, new ParallelOptions { MaxDegreeOfParallelism = cores ?? Environment.ProcessorCount, CancellationToken = stop }, train => train.Add(ride, stop));
                any = true;
                done?.Invoke();
            }

            if (!any) throw new InputException(new InputError("study", 0, "rides", "no ride", "one ride at least"));
            told.AddRange(counted.Select(c => c.Told()));
        }

        return told;
    }

    static void RequirePossible(IReadOnlyList<GearTrain> trains)
    {
        List<InputError> errors = [];
        foreach (var train in trains)
        {
            errors.AddRange(TrainObjections.Of(train).Select(why => new InputError("study", 0, train.Name, why, "a train that can be cut and put together")));
            if (train is { Transmission: not null, Unit.SitsInWheel: true })
                errors.Add(new("study", 0, train.Name, "a transmission behind a unit that sits in the wheel", "one behind a unit at the crank"));
        }

        if (errors.Count > 0) throw new InputException(errors);
    }

    static void RequireWay(RiddenLoad ride)
    {
        if (ride.Load.HasRoad && ride.Load.Summary.DistanceM > 0) return;
        throw new InputException(new InputError(ride.Load.Summary.File, 0, "", "a ride without a way", "positions, distance or speed", "A life is told per kilometre."));
    }
}
