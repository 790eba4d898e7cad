using MathNet.Numerics;

namespace Roadproof.Engineering.Drive;

/// <summary>Something in a unit that repeats with the rotor's turning.</summary>
/// <param name="Name">What repeats, in the words of the trade.</param>
/// <param name="PerRotorTurn">How often in one turn of the rotor.</param>
/// <param name="SlipShare">By what share of itself it may be off: teeth and poles are exact, balls slip.</param>
public sealed record NamedOrder(string Name, double PerRotorTurn, double SlipShare = 0)
{
    /// <summary>Its frequency at a rotor speed, Hz.</summary>
    public double Hz(double rotorRadPerS) => PerRotorTurn * rotorRadPerS / (2 * Math.PI);
}

/// <summary>The orders that a unit's teeth, poles, slots and balls can excite, relative to its rotor.</summary>
/// <remarks>
/// Pure counting: exact, but for bearings, whose balls slip by a percent or two (common practice, no source). Shaft k is the rotor for k = 0 and what stage k drives
/// otherwise (its wheel, or the carrier of its planets); the last one is the output. Sidebands of a mesh lie at its order ± multiples of the orders of its two shafts.
/// </remarks>
public sealed class NamedOrders
{
    const double BearingSlipShare = 0.02;
    const int MeshHarmonics = 3;
    const int SidebandPairs = 3;

    readonly IReadOnlyList<GearStage> gears;

    NamedOrders(DriveUnit unit)
    {
        gears = unit.Gears;
        var pairs = unit.Motor.PolePairs;
        PolePairs = new("pole pairs (electrical)", pairs);
        Cogging = new("cogging", Euclid.LeastCommonMultiple(unit.Motor.Slots, 2 * pairs));

        var all = new List<NamedOrder>
        {
            Shaft(0),
            new("twice rotor", 2),
            PolePairs,
            new("twice electrical", 2 * pairs),
            new("six times electrical", 6 * pairs),
            Cogging,
        };
        for (var stage = 1; stage <= gears.Count; stage++)
        {
            all.Add(Mesh(stage));
            all.AddRange(gears[stage - 1] is { PlanetTeeth: { } planetTeeth, Planets: { } planets } ? OfPlanets(stage, planetTeeth, planets) : [SameTeeth(stage)]);
            all.Add(Shaft(stage));
        }

        all.AddRange(unit.Bearings.SelectMany(OfBearing));
        All = all;
        Sidebands = [.. Enumerable.Range(1, gears.Count).SelectMany(SidebandsOf)];
    }

    public static NamedOrders Of(DriveUnit unit) => new(unit);

    /// <summary>Every order: rotor and electrical ones, then from the rotor to the output, then the bearings'.</summary>
    public IReadOnlyList<NamedOrder> All { get; }

    /// <summary>Multiples of each mesh and what stands beside them when a shaft runs out of true: one to three times either shaft's order away.</summary>
    public IReadOnlyList<NamedOrder> Sidebands { get; }

    public NamedOrder PolePairs { get; }

    /// <summary>Least common multiple of slots and poles.</summary>
    public NamedOrder Cogging { get; }

    /// <summary>Every name that a measured order may have, the nearest first; none where nothing of the unit lies so near.</summary>
    /// <param name="within">How finely the order was measured: lines nearer than this cannot be told apart.</param>
    public IReadOnlyList<NamedOrder> Near(double order, double within) =>
    [
        .. All.Concat(Sidebands)
            .Where(o => Math.Abs(o.PerRotorTurn - order) <= within + o.SlipShare * o.PerRotorTurn)
            .OrderBy(o => Math.Abs(o.PerRotorTurn - order) > within) // what only slip could bring here comes last
            .ThenBy(o => Math.Abs(o.PerRotorTurn - order)),
    ];

    /// <summary>Turns of a shaft: 0 is the rotor, k the wheel of stage k, the last the output.</summary>
    public NamedOrder Shaft(int shaft)
    {
        var turns = 1.0;
        for (var stage = 0; stage < shaft; stage++) turns /= gears[stage].Ratio;
        var name = shaft == 0 ? "rotor" : shaft == gears.Count ? "output" : gears.Count == 2 ? "intermediate shaft" : $"intermediate shaft {Digit(shaft)}";
        return new(name, turns);
    }

    /// <summary>Teeth that meet in a stage, counted from 1.</summary>
    public NamedOrder Mesh(int stage) => new($"stage-{Digit(stage)} mesh", Shaft(stage - 1).PerRotorTurn * gears[stage - 1].MeshesPerTurn);

    /// <summary>What planets on their pins repeat, and how often one bad tooth strikes: of the sun and the ring at every planet, of a planet at sun and ring.</summary>
    IEnumerable<NamedOrder> OfPlanets(int stage, int planetTeeth, int planets)
    {
        var (gear, mesh) = (gears[stage - 1], Mesh(stage).PerRotorTurn);
        yield return new($"stage-{Digit(stage)} planets", mesh / planetTeeth);
        yield return new($"stage-{Digit(stage)} sun tooth", planets * mesh / gear.PinionTeeth);
        yield return new($"stage-{Digit(stage)} planet tooth", 2 * mesh / planetTeeth);
        yield return new($"stage-{Digit(stage)} ring tooth", planets * mesh / gear.WheelTeeth);
    }

    /// <summary>The same two teeth of a plain pair meet again (the hunting tooth).</summary>
    public NamedOrder SameTeeth(int stage) =>
        new($"stage-{Digit(stage)} same teeth meet", Mesh(stage).PerRotorTurn / Euclid.LeastCommonMultiple(gears[stage - 1].PinionTeeth, gears[stage - 1].WheelTeeth));

    IEnumerable<NamedOrder> OfBearing(Bearing bearing)
    {
        var shaft = Shaft(bearing.Shaft).PerRotorTurn;
        return bearing.DefectsPerTurn().Select(d => new NamedOrder($"{bearing.Name} {d.Part}", d.PerTurn * shaft, BearingSlipShare));
    }

    IEnumerable<NamedOrder> SidebandsOf(int stage)
    {
        var mesh = Mesh(stage);
        for (var harmonic = 1; harmonic <= MeshHarmonics; harmonic++)
        {
            var (name, order) = (harmonic == 1 ? mesh.Name : $"{Digit(harmonic)} × {mesh.Name}", harmonic * mesh.PerRotorTurn);
            if (harmonic > 1) yield return new(name, order);
            foreach (var shaft in (NamedOrder[])[Shaft(stage - 1), Shaft(stage)])
            {
                for (var k = 1; k <= SidebandPairs; k++)
                {
                    var beside = k == 1 ? shaft.Name : $"{Digit(k)} × {shaft.Name}";
                    if (order > k * shaft.PerRotorTurn) yield return new($"{name} − {beside}", order - k * shaft.PerRotorTurn);
                    yield return new($"{name} + {beside}", order + k * shaft.PerRotorTurn);
                }
            }
        }
    }

    static string Digit(int number) => number.ToString(System.Globalization.CultureInfo.InvariantCulture);
}
