using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Life;
using Roadproof.Engineering.Road;

namespace Roadproof.App.Road;

/// <summary>Adds rides up in the order of the files, whichever core is done first: the same files give the same digits.</summary>
sealed class MergedRides(DriveUnit unit)
{
    const double ClassNm = 5;

    /// <summary>Rides are drawn anew in so many groups at most: more would tell no more, and cost memory.</summary>
    const int MostGroups = 50;

    readonly List<LoadSpectrum> groups = [];
    int withRoad;

    readonly Dictionary<int, (LoadSpectrum? Spectrum, IReadOnlyList<TorqueClass> Classes)> waiting = [];
    readonly Lock one = new();
    int next;

    /// <summary>Of the rides with a road.</summary>
    public LoadSpectrum Spectrum { get; } = new(unit);

    /// <summary>The same rides in groups: each a ride, or several where they are many.</summary>
    public IReadOnlyList<LoadSpectrum> Groups => groups;

    /// <summary>Time and turns at the motor's mean torque at the unit's output, of all rides.</summary>
    public IReadOnlyList<TorqueClass> Classes { get; private set; } = [];

    /// <param name="place">Of the file in the list; each exactly once.</param>
    /// <param name="ride">Null for a file that was refused.</param>
    public void Take(int place, UnitOnRoad? ride) => Take(place, ride, SpectrumOf(ride));

    /// <summary>A ride's own spectrum; null without a road.</summary>
    public LoadSpectrum? SpectrumOf(UnitOnRoad? ride)
    {
        if (ride is not { Load.HasRoad: true }) return null;
        var own = new LoadSpectrum(unit);
        own.Add(ride);
        return own;
    }

    /// <param name="place">Of the file in the list; each exactly once.</param>
    /// <param name="ride">Null for a file that was refused.</param>
    /// <param name="own">Of <see cref="SpectrumOf"/>; given away here.</param>
    public void Take(int place, UnitOnRoad? ride, LoadSpectrum? own)
    {
        var classes = ride is null ? [] : TorqueSpectrum.Of(ride.MotorTorqueNm, ride.OutputRadPerS, ClassNm);
        lock (one)
        {
            waiting.Add(place, (own, classes));
            while (waiting.Remove(next, out var due))
            {
                if (due.Spectrum is { } spectrum) Add(spectrum);
                Classes = TorqueSpectrum.Together([Classes, due.Classes]);
                next++;
            }
        }
    }

    void Add(LoadSpectrum spectrum)
    {
        Spectrum.Add(spectrum);
        var group = withRoad++ % MostGroups;
        if (group == groups.Count) groups.Add(spectrum);
        else groups[group].Add(spectrum);
    }
}
