using Roadproof.Engineering.CycleDesign;
using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Life;
using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Road;

namespace Roadproof.Records.Definitions;

/// <summary>A study of a product's gear train: on which rides, with which riders, which variants.</summary>
public sealed record GearStudyFile
{
    public required string Name { get; init; }

    /// <summary>Id of the product that is varied.</summary>
    public required string Product { get; init; }

    /// <summary>Ride files or folders of them, relative to the study's own.</summary>
    public required IReadOnlyList<string> Rides { get; init; }
    public required IReadOnlyList<StudyRider> Riders { get; init; }

    /// <summary>Full battery at the start of each ride, Wh.</summary>
    public double BatteryWh { get; init; } = Battery.Default.EnergyWh;
    public IReadOnlyList<GearTrainVariant> Variants { get; init; } = [];
    public TrainSweep? Sweep { get; init; }
}

/// <summary>A rider of a study; what is not told is an adult on an upright assisted bicycle.</summary>
public sealed record StudyRider
{
    public required string Name { get; init; }
    public double RiderMassKg { get; init; } = Rider.Default.RiderMassKg;
    public double BikeMassKg { get; init; } = Rider.Default.BikeMassKg;

    /// <summary>Motor power over rider power.</summary>
    public double AssistanceFactor { get; init; } = Rider.Default.AssistanceFactor;
    public double CadenceRadPerS { get; init; } = Rider.Default.PreferredCadenceRadPerS;

    public Rider AsRider => Rider.Default with { RiderMassKg = RiderMassKg, BikeMassKg = BikeMassKg, AssistanceFactor = AssistanceFactor, PreferredCadenceRadPerS = CadenceRadPerS };
}

/// <summary>A study that may be computed.</summary>
/// <param name="Trains">The base first, then the variants.</param>
/// <param name="Swept">Null without a sweep.</param>
public sealed record GearStudy(GearStudyFile File, DriveUnit Unit, LifePlan Plan, IReadOnlyList<GearTrain> Trains, SweptDesigns? Swept)
{
    /// <summary>What the base is called in every table.</summary>
    public const string BaseName = "as drawn";

    /// <summary>Reads a study and holds it against the plant.</summary>
    /// <param name="source">Name of the file in errors.</param>
    /// <exception cref="InputException">Every mistake there is, each with line and column.</exception>
    public static GearStudy Read(string source, string text, IReadOnlyList<RouteRevision> plant)
    {
        ArgumentNullException.ThrowIfNull(plant);
        var findings = new Findings();
        var file = new YamlBinder(findings).File<GearStudyFile>(source, YamlTree.Read(source, text, findings));
        var (trains, swept, of) = GearStudyRules.Check(file, plant, findings);
        return findings.InOrder is { Count: > 0 } errors || of is null ? throw new InputException(findings.InOrder) : new(file, of.LoadTest!.Unit, of.Life!, trains, swept);
    }
}
