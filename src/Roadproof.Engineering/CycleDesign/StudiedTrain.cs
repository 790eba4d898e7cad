using Roadproof.Engineering.Life;

namespace Roadproof.Engineering.CycleDesign;

/// <summary>How one gear of a transmission was used.</summary>
/// <param name="Gear">From 1.</param>
/// <param name="TurnsShare">Of the chainring's turns under torque.</param>
/// <param name="MeanTorqueNm">Of the motor at the chainring over those turns that it drove; null where it never did.</param>
public sealed record GearUse(int Gear, double Ratio, double TurnsShare, double? MeanTorqueNm);

/// <summary>What one rider's rides make of a train.</summary>
/// <param name="Elements">The most used up first.</param>
/// <param name="Efficiency">Motor's work that comes out (behind a transmission: at the chainring) over what the unit takes, standing losses included, the battery's own resistance left out.</param>
/// <param name="Gears">Of a transmission; empty without one.</param>
/// <param name="Shifts">Of the transmission.</param>
public sealed record RiderOnTrain(string Rider, IReadOnlyList<ElementLife> Elements, double DistanceM, double Efficiency, double PeakWindingC, int SecondsHeldBack, IReadOnlyList<GearUse> Gears, int Shifts)
{
    /// <summary>What breaks first: the element with the shortest life.</summary>
    public ElementLife First => Elements[0];

    /// <summary>The same of what the train itself is made of: teeth, bearings and clutch. Grease, insulation and axle age and bend beside it.</summary>
    public ElementLife FirstOfTrain => Elements.First(e => e.Ending is Ending.ToothRoot or Ending.ToothFlank or Ending.ToothWear or Ending.Bearing or Ending.Clutch);
}

/// <summary>A train with what its riders make of it.</summary>
public sealed record StudiedTrain
{
    public required GearTrain Train { get; init; }
    public string Name => Train.Name;

    /// <summary>In the order in which the riders were told.</summary>
    public required IReadOnlyList<RiderOnTrain> Riders { get; init; }

    /// <summary>Lives nearer than this share are the same: what ages by hours alone ages alike with every rider, but for the last digits.</summary>
    const double SameLife = 1e-6;

    /// <summary>Whose rides use something up first.</summary>
    public RiderOnTrain Worst => WorstBy(r => r.First.LifeM);

    /// <summary>Whose rides use up tooth, bearing or clutch first.</summary>
    public RiderOnTrain WorstForTrain => WorstBy(r => r.FirstOfTrain.LifeM);

    RiderOnTrain WorstBy(Func<RiderOnTrain, double> lifeM)
    {
        var shortestM = Riders.Min(lifeM);
        return Riders.First(r => lifeM(r) <= shortestM * (1 + SameLife));
    }

    /// <summary>Over the rides of all riders: the work of all over what all took.</summary>
    public required double Efficiency { get; init; }
    public double PeakWindingC => Riders.Max(r => r.PeakWindingC);
    public required double MassKg { get; init; }
    public required IReadOnlyList<MeshFacts> Meshes { get; init; }
    public required IReadOnlyList<TrainOrder> Orders { get; init; }
    public required IReadOnlyList<HuntingTooth> Hunting { get; init; }
    public required IReadOnlyList<RatedPoint> RatedPoints { get; init; }
    public bool ReachesRatedPoints => RatedPoints.All(p => p.Reached);

    /// <summary>What is wanted large, for <see cref="ParetoFront"/>: shortest life of the train's own parts, lightness, efficiency; to five digits, so that rounding makes no difference between designs.</summary>
    public double[] Merits => [Known(WorstForTrain.FirstOfTrain.LifeM), -Known(MassKg), Known(Efficiency)];

    static double Known(double value)
    {
        if (value == 0 || !double.IsFinite(value)) return value;
        var place = Math.Pow(10, 4 - Math.Floor(Math.Log10(Math.Abs(value))));
        return Math.Round(value * place) / place;
    }
}
