using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Life;
using static System.FormattableString;

namespace Roadproof.Engineering.CycleDesign;

/// <summary>A named set of changes to a product's gear train; what is not named stays as drawn.</summary>
public sealed record GearTrainVariant
{
    public required string Name { get; init; }
    public IReadOnlyList<StageChange> Stages { get; init; } = [];

    /// <summary>A gearbox behind the unit's own stages; null for none.</summary>
    public ShiftingTransmission? Transmission { get; init; }

    /// <summary>The base with these changes.</summary>
    /// <param name="plan">As many gear pairs as the unit has stages.</param>
    /// <exception cref="ArgumentOutOfRangeException">Teeth that cannot be.</exception>
    public GearTrain Of(DriveUnit unit, LifePlan plan)
    {
        ArgumentNullException.ThrowIfNull(unit);
        ArgumentNullException.ThrowIfNull(plan);
        if (Stages.Count == 0) return new(Name, unit, plan, Transmission);
        var (gears, pairs) = (unit.Gears.ToArray(), plan.Gears.ToArray());
        foreach (var change in Stages)
        {
            var s = change.Stage - 1;
            (gears[s], pairs[s]) = change.Of(gears[s], pairs[s]);
        }

        return new(Name, unit with { Gears = gears }, plan with { Gears = pairs }, Transmission);
    }
}

/// <summary>What is changed of one stage; null leaves it as drawn.</summary>
public sealed record StageChange
{
    /// <summary>From 1 at the rotor.</summary>
    public required int Stage { get; init; }
    public int? PinionTeeth { get; init; }
    public int? WheelTeeth { get; init; }
    public int? PlanetTeeth { get; init; }
    public double? NormalModuleM { get; init; }
    public double? FaceWidthM { get; init; }
    public double? HelixDeg { get; init; }

    /// <summary>In normal modules.</summary>
    public double? PinionShift { get; init; }
    public double? WheelShift { get; init; }

    /// <summary>Ids of materials of the life plan.</summary>
    public string? PinionMaterial { get; init; }
    public string? WheelMaterial { get; init; }

    /// <summary>Null takes the drawn mesh's loss by the sliding of the new teeth: (1 − η)·H_V/H_V of the drawn.</summary>
    public double? MeshEfficiency { get; init; }

    /// <summary>A stage and its pair with these changes.</summary>
    /// <exception cref="ArgumentOutOfRangeException">Teeth that cannot be.</exception>
    public (GearStage Stage, GearPair Pair) Of(GearStage stage, GearPair pair)
    {
        ArgumentNullException.ThrowIfNull(stage);
        ArgumentNullException.ThrowIfNull(pair);
        var made = stage with
        {
            PinionTeeth = PinionTeeth ?? stage.PinionTeeth, WheelTeeth = WheelTeeth ?? stage.WheelTeeth, PlanetTeeth = PlanetTeeth ?? stage.PlanetTeeth,
            NormalModuleM = NormalModuleM ?? stage.NormalModuleM, FaceWidthM = FaceWidthM ?? stage.FaceWidthM, HelixDeg = HelixDeg ?? stage.HelixDeg,
        };
        var paired = pair with
        {
            Pinion = PinionMaterial ?? pair.Pinion, Wheel = WheelMaterial ?? pair.Wheel,
            PinionShift = PinionShift ?? pair.PinionShift, WheelShift = WheelShift ?? pair.WheelShift,
        };
        // Sliding is the one thing of the loss that teeth decide; friction and load stay what they were.
        var sliding = made == stage && paired == pair ? 1 : new GearMesh(made, paired).LossFactor / new GearMesh(stage, pair).LossFactor;
        var efficiency = MeshEfficiency ?? (sliding == 1 ? stage.MeshEfficiency : 1 - (1 - stage.MeshEfficiency) * sliding);
        return (made with { MeshEfficiency = efficiency }, paired);
    }
}

/// <summary>A gear train as it would be built: the unit, what its life is computed from, and a gearbox behind it.</summary>
public sealed record GearTrain(string Name, DriveUnit Unit, LifePlan Plan, ShiftingTransmission? Transmission)
{
    /// <summary>Teeth, module and face width of each stage in mm, as <c>12:83 m 0.8 b 14 β 20</c>, and the gears of a transmission.</summary>
    public string Description => string.Join(", ", Unit.Gears.Select(g => Invariant($"{g.PinionTeeth}:{(g.PlanetTeeth is { } planet ? Invariant($"({planet}):") : "")}{g.WheelTeeth} m {1e3 * g.NormalModuleM:0.###} b {1e3 * g.FaceWidthM:0.##}{(g.HelixDeg > 0 ? Invariant($" β {g.HelixDeg:0.#}") : "")}")))
        + (Transmission is { } box ? Invariant($", {box.Gears.Count} gears {string.Join(" ", box.Gears.Select(g => Invariant($"{g.Ratio:0.##}")))}") : "");
}
