using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Life;
using Roadproof.Engineering.Statistics;
using static System.FormattableString;

namespace Roadproof.Engineering.CycleDesign;

/// <summary>How a sweep picks designs from its ranges.</summary>
public enum SweepKind
{
    /// <summary>Every range cut into as many even pieces as designs, each piece once, paired by a seeded draw.</summary>
    LatinHypercube,

    /// <summary>Every step of every range with every other.</summary>
    Full,
}

/// <summary>What a range moves.</summary>
public enum Swept
{
    PinionTeeth,
    WheelTeeth,

    /// <summary>The stage's ratio, by its wheel's teeth.</summary>
    Ratio,
    NormalModuleM,
    FaceWidthM,
    HelixDeg,
    PinionShift,
    WheelShift,
}

/// <summary>A range of one parameter of one stage.</summary>
public sealed record SweptRange
{
    /// <summary>From 1 at the rotor.</summary>
    public required int Stage { get; init; }
    public required Swept What { get; init; }

    /// <summary>In the unit of what is moved: teeth, m, ° or modules.</summary>
    public required double From { get; init; }
    public required double To { get; init; }

    /// <summary>Steps of a full sweep.</summary>
    public int Steps { get; init; } = 3;

    /// <summary>The value at a place of the range, 0 to 1, on a step that can be bought or cut: whole teeth, 0.05 mm of module, 0.5 mm of width, whole degrees, 0.01 of shift.</summary>
    public double At(double place)
    {
        var step = What switch { Swept.NormalModuleM => 5e-5, Swept.FaceWidthM => 5e-4, Swept.PinionShift or Swept.WheelShift => 0.01, Swept.Ratio => 0, _ => 1 };
        var value = From + place * (To - From);
        return step == 0 ? value : Math.Round(Math.Round(value / step) * step, 9);
    }
}

/// <summary>Designs left out for one reason.</summary>
public sealed record LeftOutDesigns(string Reason, int Designs);

/// <summary>Designs that a sweep came to, and how many it had to leave out.</summary>
public sealed record SweptDesigns(IReadOnlyList<GearTrain> Possible, IReadOnlyList<LeftOutDesigns> LeftOut);

/// <summary>Many designs from ranges of a few parameters.</summary>
/// <remarks>Where no range names the last stage's wheel or ratio, its teeth are those that come nearest to the drawn total ratio. The planets of a planetary stage follow sun and ring.</remarks>
public sealed record TrainSweep
{
    public const int MostDesigns = 2000;

    public SweepKind Kind { get; init; } = SweepKind.LatinHypercube;

    /// <summary>To draw by a Latin hypercube; a full sweep has as many as its steps make.</summary>
    public int Designs { get; init; } = 40;

    /// <summary>The same seed draws the same designs.</summary>
    public int Seed { get; init; } = 1;

    /// <summary>How far the total ratio may be off the drawn one, as a share.</summary>
    public double RatioWithin { get; init; } = 0.02;
    public required IReadOnlyList<SweptRange> Ranges { get; init; }

    /// <summary>How many designs are drawn before any is left out.</summary>
    public long Count => Kind == SweepKind.Full ? Ranges.Aggregate(1L, (n, r) => Math.Min(long.MaxValue / 1000, n) * Math.Max(1, r.Steps)) : Designs;

    /// <summary>Draws, makes and sieves; names are d1, d2 … in the order of drawing.</summary>
    public SweptDesigns Of(DriveUnit unit, LifePlan plan)
    {
        ArgumentNullException.ThrowIfNull(unit);
        ArgumentNullException.ThrowIfNull(plan);
        List<GearTrain> possible = [];
        var seen = new HashSet<string>(StringComparer.Ordinal);
        var left = new SortedDictionary<string, int>(StringComparer.Ordinal);
        var number = 0;
        foreach (var places in Kind == SweepKind.Full ? Grid() : LatinHypercube.Sample(Designs, Ranges.Count, (ulong)Seed))
        {
            number++;
            if (Made(Invariant($"d{number}"), places, unit, plan, out var why) is not { } train)
            {
                left[why] = left.GetValueOrDefault(why) + 1;
                continue;
            }

            if (seen.Add(Key(train))) possible.Add(train);
            else left["the same design again"] = left.GetValueOrDefault("the same design again") + 1;
        }

        return new(possible, [.. left.OrderByDescending(l => l.Value).Select(l => new LeftOutDesigns(l.Key, l.Value))]);
    }

    GearTrain? Made(string name, double[] places, DriveUnit unit, LifePlan plan, out string why)
    {
        var changes = Changes(places, unit);
        GearTrain train;
        try
        {
            train = new GearTrainVariant { Name = name, Stages = changes }.Of(unit, plan);
        }
        catch (ArgumentOutOfRangeException e)
        {
            why = e.Message.Contains("pointed", StringComparison.Ordinal) ? "teeth come to a point" : "teeth are cut away at the root";
            return null;
        }

        why = TrainObjections.Of(train).FirstOrDefault() ?? (Math.Abs(train.Unit.Ratio / unit.Ratio - 1) > RatioWithin ? Invariant($"total ratio more than {100 * RatioWithin:0.#} % off") : "");
        return why.Length == 0 ? train : null;
    }

    List<StageChange> Changes(double[] places, DriveUnit unit)
    {
        var changes = unit.Gears.Select((_, s) => new StageChange { Stage = s + 1 }).ToArray();
        var ratios = new double?[changes.Length];
        foreach (var (range, place) in Ranges.Zip(places))
        {
            var (s, value) = (range.Stage - 1, range.At(place));
            if (range.What == Swept.Ratio) ratios[s] = value;
            else changes[s] = With(changes[s], range.What, value);
        }

        for (var s = 0; s < changes.Length; s++)
            if (ratios[s] is { } ratio) changes[s] = changes[s] with { WheelTeeth = WheelFor(ratio, changes[s], unit.Gears[s]) };
        var last = changes.Length - 1;
        if (Ranges.All(r => r.Stage != last + 1 || r.What is not (Swept.WheelTeeth or Swept.Ratio)))
        {
            var before = 1.0;
            for (var s = 0; s < last; s++) before *= RatioOf(changes[s], unit.Gears[s]);
            changes[last] = changes[last] with { WheelTeeth = WheelFor(unit.Ratio / before, changes[last], unit.Gears[last]) };
        }

        return [.. changes.Select((c, s) => unit.Gears[s].PlanetTeeth is null ? c : c with { PlanetTeeth = ((c.WheelTeeth ?? unit.Gears[s].WheelTeeth) - (c.PinionTeeth ?? unit.Gears[s].PinionTeeth)) / 2 })];
    }

    static int WheelFor(double ratio, StageChange change, GearStage stage) =>
        (int)Math.Round((stage.Held == HeldMember.Ring ? ratio - 1 : ratio) * (change.PinionTeeth ?? stage.PinionTeeth));

    static double RatioOf(StageChange change, GearStage stage) => (stage with { PinionTeeth = change.PinionTeeth ?? stage.PinionTeeth, WheelTeeth = change.WheelTeeth ?? stage.WheelTeeth }).Ratio;

    static StageChange With(StageChange change, Swept what, double value) => what switch
    {
        Swept.PinionTeeth => change with { PinionTeeth = (int)value },
        Swept.WheelTeeth => change with { WheelTeeth = (int)value },
        Swept.NormalModuleM => change with { NormalModuleM = value },
        Swept.FaceWidthM => change with { FaceWidthM = value },
        Swept.HelixDeg => change with { HelixDeg = value },
        Swept.PinionShift => change with { PinionShift = value },
        Swept.WheelShift => change with { WheelShift = value },
        _ => throw new InvalidOperationException($"Bug in Roadproof: a sweep cannot move {what}."),
    };

    IEnumerable<double[]> Grid()
    {
        var place = new int[Ranges.Count];
        for (long n = 0; n < Count; n++)
        {
            yield return [.. Ranges.Select((r, i) => r.Steps <= 1 ? 0.5 : (double)place[i] / (r.Steps - 1))];
            for (var i = 0; i < place.Length && ++place[i] == Math.Max(1, Ranges[i].Steps); i++) place[i] = 0;
        }
    }

    static string Key(GearTrain train) => string.Join('|', train.Unit.Gears.Zip(train.Plan.Gears, (g, p) => Invariant($"{g.PinionTeeth} {g.PlanetTeeth} {g.WheelTeeth} {g.NormalModuleM} {g.FaceWidthM} {g.HelixDeg} {p.PinionShift} {p.WheelShift}")));
}
