using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Road;

namespace Roadproof.App.Road;

/// <summary>What a ride asked of one shaft of the unit, of what turns with it and of what carries it.</summary>
/// <param name="Name">The rotor, the shaft between two stages, or the output.</param>
/// <param name="Carries">Gears and bearings on it.</param>
/// <param name="MeanNm">Mean over its turns with torque.</param>
/// <param name="LargestNm">Of a whole second; a push within it may be higher.</param>
/// <param name="WarmestC">Of the wheel's rim or the magnets on it; null where the definitions do not say how they warm.</param>
public sealed record ShaftOfRide(string Name, string Carries, double MeanNm, double LargestNm, double MeanRpm, double FastestRpm, double? WarmestC)
{
    /// <summary>From the rotor to the output. A stiff train: speeds go by the teeth, torques by the teeth and what each mesh before it has taken.</summary>
    public static IReadOnlyList<ShaftOfRide> Of(UnitOnRoad on)
    {
        var (unit, shafts) = (on.Unit, new List<ShaftOfRide>());
        for (var k = 0; k <= unit.Gears.Count; k++)
        {
            var (turns, pull) = (1.0, 1.0);
            foreach (var stage in unit.Gears.Skip(k)) (turns, pull) = (turns * stage.Ratio, pull / (stage.Ratio * stage.MeshEfficiency));
            var (work, turned, largest, fastest) = (0.0, 0.0, 0.0, 0.0);
            for (var i = 0; i < on.MotorTorqueNm.Length; i++)
            {
                if (!(on.MotorTorqueNm[i] > 0)) continue;
                var speed = on.OutputRadPerS[i] * turns;
                work += on.MotorTorqueNm[i] * pull * speed;
                turned += speed;
                largest = Math.Max(largest, on.MotorTorqueNm[i] * pull);
                fastest = Math.Max(fastest, speed);
            }

            var seconds = on.MotorTorqueNm.Count(nm => nm > 0);
            shafts.Add(new(Named(k, unit.Gears.Count), string.Join(", ", Carried(on, k)), turned > 0 ? work / turned : 0, largest,
                seconds > 0 ? turned / seconds / ReferenceConditions.RadPerSPerRpm : 0, fastest / ReferenceConditions.RadPerSPerRpm, Warmest(on, k)));
        }

        return shafts;
    }

    static string Named(int shaft, int stages) => shaft == 0 ? stages == 0 ? "rotor, which is the output" : "rotor" : shaft == stages ? "output" : stages == 2 ? "middle shaft" : Invariant($"shaft {shaft}");

    static IEnumerable<string> Carried(UnitOnRoad on, int shaft) =>
    [
        .. shaft > 0 ? [Invariant($"{on.Unit.Gears[shaft - 1].WheelTeeth}-tooth wheel")] : (string[])[],
        .. shaft < on.Unit.Gears.Count ? [Invariant($"{on.Unit.Gears[shaft].PinionTeeth}-tooth pinion")] : (string[])[],
        .. on.Unit.Bearings.Where(b => b.Shaft == shaft).Select(b => b.Name),
    ];

    static double? Warmest(UnitOnRoad on, int shaft) => on.MagnetC.Length == 0 ? null
        : shaft == 0 ? on.MagnetC.Max()
        : on.Unit.Gears[shaft - 1] is { WheelToHousingKPerW: not null, WheelJPerK: not null } ? on.WheelC[shaft - 1].Max() : null;
}
