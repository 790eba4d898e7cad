using MathNet.Numerics;
using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Life;

namespace Roadproof.Engineering.CycleDesign;

/// <summary>Which two teeth meet again, and when.</summary>
/// <param name="Stage">From 1 at the rotor.</param>
/// <param name="Pair">Such as pinion and wheel.</param>
/// <param name="CommonFactor">Greatest common divisor of the two tooth counts: 1 lets every tooth meet every other (a hunting pair).</param>
/// <param name="TurnsToMeetAgain">Turns of the first gear against its pins until the same two teeth meet again: least common multiple over its teeth.</param>
public sealed record HuntingTooth(int Stage, string Pair, int Teeth, int OtherTeeth, int CommonFactor, int TurnsToMeetAgain)
{
    public bool Hunting => CommonFactor == 1;

    public static HuntingTooth Of(int stage, string pair, int teeth, int other)
    {
        var factor = (int)Euclid.GreatestCommonDivisor(teeth, other);
        return new(stage, pair, teeth, other, factor, other / factor);
    }

    /// <summary>Every mesh of a unit: pinion and wheel; or sun and planet, planet and ring.</summary>
    public static IReadOnlyList<HuntingTooth> Of(DriveUnit unit)
    {
        ArgumentNullException.ThrowIfNull(unit);
        return [.. unit.Gears.SelectMany((g, s) => g.PlanetTeeth is { } planet
            ? new[] { Of(s + 1, "sun and planet", g.PinionTeeth, planet), Of(s + 1, "planet and ring", planet, g.WheelTeeth) }
            : [Of(s + 1, "pinion and wheel", g.PinionTeeth, g.WheelTeeth)])];
    }
}

/// <summary>An order that a train sounds with.</summary>
/// <param name="PerRotorTurn">How often in a turn of the rotor.</param>
/// <param name="RatedHz">At the rated speed of the output.</param>
/// <param name="FallsOn">Other named orders on which it or, as told behind the name, its second or third multiple falls.</param>
public sealed record TrainOrder(string Name, double PerRotorTurn, double RatedHz, IReadOnlyList<string> FallsOn)
{
    /// <summary>Orders nearer than this share of themselves sound as one (common practice, no source).</summary>
    public const double Together = 0.01;
    const int Multiples = 3;

    /// <summary>Rotor and meshes of a unit, each beside everything else that its teeth, poles, slots and balls name.</summary>
    public static IReadOnlyList<TrainOrder> Of(DriveUnit unit)
    {
        ArgumentNullException.ThrowIfNull(unit);
        var named = NamedOrders.Of(unit);
        var rotorRadPerS = unit.Rating.RatedOutputRpm * Quantities.ReferenceConditions.RadPerSPerRpm * unit.Ratio;
        var meshes = Enumerable.Range(1, unit.Gears.Count).Select(named.Mesh).ToList();
        return
        [
            new("rotor", 1, named.Shaft(0).Hz(rotorRadPerS), []),
            .. meshes.Select(mesh => new TrainOrder(mesh.Name, mesh.PerRotorTurn, mesh.Hz(rotorRadPerS), [.. FallOn(mesh)])),
        ];

        IEnumerable<string> FallOn(NamedOrder mesh)
        {
            var others = named.All.Where(o => o.Name != mesh.Name)
                .Concat(meshes.Where(o => o.Name != mesh.Name).SelectMany(o => Enumerable.Range(2, Multiples - 1).Select(k => new NamedOrder($"{Times(k)}{o.Name}", k * o.PerRotorTurn))))
                .ToList();
            return from k in Enumerable.Range(1, Multiples)
                   from other in others
                   where Math.Abs(other.PerRotorTurn - k * mesh.PerRotorTurn) <= Together * k * mesh.PerRotorTurn
                   select k == 1 ? other.Name : $"{other.Name} (at {Times(k)}its order)";
        }
    }

    static string Times(int k) => k == 1 ? "" : $"{k.ToString(System.Globalization.CultureInfo.InvariantCulture)} × ";
}

/// <summary>One mesh of a train: its geometry, and how far its teeth are from their strength at the unit's largest torque.</summary>
/// <param name="PinionRootSafety">Strength at its pivot cycles over the stress of the largest torque, at the warmest that the wheel came to; 1 leaves the pivot's cycles.</param>
/// <param name="FlankSafety">Of the softer of both; null where no flank pits.</param>
/// <param name="WarmestC">Of the wheel, over all rides and riders.</param>
public sealed record MeshFacts(int Stage, double ContactRatio, double Overlap, double CentreDistanceM, double PinionRootSafety, double WheelRootSafety, double? FlankSafety, double WarmestC, double MeshEfficiency)
{
    public static MeshFacts Of(GearTrain train, int stage, double warmestC)
    {
        ArgumentNullException.ThrowIfNull(train);
        var (gears, pair) = (train.Unit.Gears[stage - 1], train.Plan.Gears[stage - 1]);
        var mesh = new GearMesh(gears, pair);
        var pinionNm = train.Unit.Rating.MaximumTorqueNm * UnitLife.PinionShare(train.Unit, stage - 1);
        var (pinion, wheel) = (train.MaterialOf(pair.Pinion), train.MaterialOf(pair.Wheel));
        var flankPa = mesh.FlankPa(pinionNm, pinion, wheel);
        var flanks = new[] { pinion, wheel }.Where(m => m.Flank is not null).Select(m => m.Flank!.StrengthOf(warmestC) / flankPa).ToList();
        return new(stage, mesh.ContactRatio, mesh.Overlap, mesh.CentreDistanceM, RootSafety(false), RootSafety(true), flanks.Count == 0 ? null : flanks.Min(), warmestC, gears.MeshEfficiency);

        double RootSafety(bool ofWheel)
        {
            var material = ofWheel ? wheel : pinion;
            return material.Root.StrengthOf(warmestC) / mesh.RootPa(pinionNm, ofWheel, material);
        }
    }
}

/// <summary>What the toothed parts of a train weigh, as solid discs.</summary>
/// <remarks>
/// A disc of the face width, as wide as the middle between tip and root of its teeth: d + 2·x·m − 0.25·m. A ring is what stands from its reference circle to three modules beyond (common practice, no source).
/// Left out: bores, webs and recesses (a real wheel weighs less), hubs, shafts, bearings, clutches, carriers, and all of the housing.
/// </remarks>
public static class DiscMass
{
    const double RimModules = 3;

    public static double MassKg(GearTrain train)
    {
        ArgumentNullException.ThrowIfNull(train);
        var sumKg = train.Transmission?.MassKg ?? 0;
        for (var s = 0; s < train.Unit.Gears.Count; s++) sumKg += OfStage(train, s);
        return sumKg;
    }

    static double OfStage(GearTrain train, int s)
    {
        var (gears, pair) = (train.Unit.Gears[s], train.Plan.Gears[s]);
        var (moduleM, transverseM) = (gears.NormalModuleM, gears.NormalModuleM / Math.Cos(gears.HelixDeg * Math.PI / 180));
        var (pinion, wheel) = (train.MaterialOf(pair.Pinion).DensityKgPerM3, train.MaterialOf(pair.Wheel).DensityKgPerM3);
        var first = pinion * Disc(gears.PinionTeeth, pair.PinionShift);
        if (gears.PlanetTeeth is not { } planet) return first + wheel * Disc(gears.WheelTeeth, pair.WheelShift);
        var (innerM, outerM) = (transverseM * gears.WheelTeeth, transverseM * gears.WheelTeeth + 2 * RimModules * moduleM);
        // The ring is of the pinion's material: the plan's wheel is the planet.
        return first + (gears.Planets ?? 1) * wheel * Disc(planet, pair.WheelShift) + pinion * Math.PI / 4 * (outerM * outerM - innerM * innerM) * gears.FaceWidthM;

        double Disc(int teeth, double shift)
        {
            var diameterM = transverseM * teeth + (2 * shift - 0.25) * moduleM;
            return Math.PI / 4 * diameterM * diameterM * gears.FaceWidthM;
        }
    }

    internal static GearMaterial MaterialOf(this GearTrain train, string id) => train.Plan.Materials.First(m => m.Id == id);
}
