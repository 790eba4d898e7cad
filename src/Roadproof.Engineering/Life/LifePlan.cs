namespace Roadproof.Engineering.Life;

/// <summary>What the life of a product is computed from beside its drive unit: materials, bearings, what ages and what is bent.</summary>
/// <remarks>Data of the plant, each with its origin; a computed life is an estimate with these behind it, never a permission.</remarks>
public sealed record LifePlan
{
    public IReadOnlyList<GearMaterial> Materials { get; init; } = [];

    /// <summary>One for each stage, from the rotor to the output.</summary>
    public IReadOnlyList<GearPair> Gears { get; init; } = [];
    public IReadOnlyList<LoadedBearing> Bearings { get; init; } = [];
    public IReadOnlyList<ThermalAgeing> Ageing { get; init; } = [];
    public IReadOnlyList<BentPart> Bent { get; init; } = [];

    /// <summary>The motor's one-way clutch, by its take-ups; null where no figure is known.</summary>
    public FatigueLine? Clutch { get; init; }

    /// <summary>Radius of the chainring, m: how hard the chain pulls at the output's bearings.</summary>
    public double? ChainringRadiusM { get; init; }

    /// <summary>Distance that the product is meant to last, km; null where nobody said.</summary>
    public double? TargetKm { get; init; }

    /// <summary>The same with every slope at one place of its range.</summary>
    /// <param name="place">0 for the lowest, 1 for the highest.</param>
    public LifePlan AtSlope(double place) => this with
    {
        Materials = [.. Materials.Select(m => m with { Root = m.Root.AtSlope(place), Flank = m.Flank?.AtSlope(place) })],
        Bent = [.. Bent.Select(b => b with { Line = b.Line.AtSlope(place) })],
        Clutch = Clutch?.AtSlope(place),
        Ageing = [.. Ageing.Select(a => a with { HalvingK = a.HalvingLowerK + place * (a.HalvingUpperK - a.HalvingLowerK) })],
    };
}

/// <summary>A material of gear teeth.</summary>
public sealed record GearMaterial
{
    public required string Id { get; init; }
    public required string Name { get; init; }
    public required double YoungPa { get; init; }
    public required double PoissonRatio { get; init; }
    public required double DensityKgPerM3 { get; init; }

    /// <summary>Nominal stress at the root for a pulsating load, Pa.</summary>
    public required FatigueLine Root { get; init; }

    /// <summary>Contact stress at the flank, Pa; null where flanks wear and do not pit.</summary>
    public FatigueLine? Flank { get; init; }

    /// <summary>Volume worn for a load and a way that it slides, m³/(N·m); 0 where flanks do not wear.</summary>
    public double WearM3PerNm { get; init; }

    /// <summary>How well the wear is known, as a standard uncertainty of its logarithm.</summary>
    public double WearUncertaintyShare { get; init; }

    /// <summary>Where the wear comes from; empty without wear.</summary>
    public string WearOrigin { get; init; } = "";
}

/// <summary>The two toothed parts of a stage; a planetary stage's wheel is its planet.</summary>
public sealed record GearPair
{
    /// <summary>Ids of materials.</summary>
    public required string Pinion { get; init; }
    public required string Wheel { get; init; }

    /// <summary>Profile shift, in normal modules.</summary>
    public double PinionShift { get; init; }
    public double WheelShift { get; init; }

    /// <summary>What dynamics and uneven contact along and between teeth add to the nominal force.</summary>
    public double LoadFactor { get; init; } = 1.25;

    /// <summary>Depth of wear, in normal modules, at which a wheel is worn out.</summary>
    public double WornOutModules { get; init; } = 0.2;
}

/// <summary>A rolling bearing with what loads it.</summary>
public sealed record LoadedBearing
{
    public required string Name { get; init; }

    /// <summary>The shaft it carries: 0 is the rotor, the last the output.</summary>
    public required int Shaft { get; init; }

    /// <summary>Basic dynamic load rating C, N.</summary>
    public required double DynamicN { get; init; }

    /// <summary>Basic static load rating C0, N.</summary>
    public required double StaticN { get; init; }

    /// <summary>Geometry factor f0 of a deep-groove bearing (ISO 281; 12 to 16).</summary>
    public double GeometryFactor { get; init; } = 13;

    /// <summary>What lubrication, cleanliness and fatigue limit make of the life (a_ISO of ISO 281), from the maker's method; 1 leaves it aside.</summary>
    public double LifeFactor { get; init; } = 1;

    /// <summary>How well the load is known, as a standard uncertainty of its logarithm.</summary>
    public double LoadUncertaintyShare { get; init; } = 0.1;
    public required IReadOnlyList<BearingForce> Forces { get; init; }

    /// <summary>Steady axial preload, N.</summary>
    public double PreloadN { get; init; }
    public required string Origin { get; init; }
}

/// <summary>A force that reaches a bearing.</summary>
public sealed record BearingForce
{
    /// <summary>The stage whose mesh makes it, from 1 at the rotor; 0 for the chain.</summary>
    public required int Stage { get; init; }

    /// <summary>Share of it that this bearing takes, by its place along the shaft; it may be above 1 outside of two bearings.</summary>
    public required double Share { get; init; }

    /// <summary>Direction across the shaft.</summary>
    public double DirectionDeg { get; init; }

    /// <summary>Whether it takes the mesh's axial force.</summary>
    public bool TakesAxial { get; init; }
}

/// <summary>What ages by temperature alone: insulation, capacitors, grease.</summary>
public sealed record ThermalAgeing
{
    public required string Name { get; init; }
    public required WarmPart Part { get; init; }

    /// <summary>Life at a temperature, h.</summary>
    public required double LifeH { get; init; }
    public required double AtC { get; init; }

    /// <summary>Kelvins that halve the life, and between what they lie.</summary>
    public required double HalvingK { get; init; }
    public required double HalvingLowerK { get; init; }
    public required double HalvingUpperK { get; init; }

    /// <summary>The hottest spot above the part's mean temperature, K.</summary>
    public double HotSpotK { get; init; }

    /// <summary>Below this the life no longer grows, °C.</summary>
    public double? NoLongerBelowC { get; init; }
    public required string Origin { get; init; }
}

/// <summary>A part that torque bends or twists to and fro: axle, shell, screws.</summary>
public sealed record BentPart
{
    public required string Name { get; init; }
    public required BendingTorque By { get; init; }

    /// <summary>Over the range of the torque, N·m.</summary>
    public required FatigueLine Line { get; init; }
}

/// <summary>Which torque bends a part.</summary>
public enum BendingTorque
{
    /// <summary>Rider and motor together on the output's shaft.</summary>
    Total,

    /// <summary>The motor's, which shell and mounts hold against.</summary>
    Motor,
}
