using System.Globalization;
using Roadproof.Engineering.CycleDesign;
using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Life;

namespace Roadproof.Records.Definitions;

/// <summary>What must hold inside a study of a gear train.</summary>
static class GearStudyRules
{
    /// <summary>The trains to compute; empty lists and no product where something is wrong.</summary>
    public static (IReadOnlyList<GearTrain> Trains, SweptDesigns? Swept, ProductDefinition? Product) Check(GearStudyFile file, IReadOnlyList<RouteRevision> plant, Findings findings)
    {
        CheckLists(file, findings);
        if (ProductOf(file, plant, findings) is not { LoadTest.Unit: { } unit, Life: { } life } product) return ([], null, null);
        List<GearTrain> trains = [new GearTrainVariant { Name = GearStudy.BaseName }.Of(unit, life)];
        foreach (var variant in file.Variants)
        {
            if (!CheckStages(variant, unit, life, findings) | !CheckTransmission(variant, unit, findings)) continue;
            if (Made(variant, unit, life, findings) is { } train) trains.Add(train);
        }

        var swept = file.Sweep is { } sweep && CheckSweep(sweep, unit, findings) ? sweep.Of(unit, life) : null;
        return (trains, swept, product);
    }

    static void CheckLists(GearStudyFile file, Findings findings)
    {
        if (file.Rides.Count == 0) findings.Wrong(file, nameof(file.Rides), "no ride", "one ride file or folder at least");
        if (file.Riders.Count == 0) findings.Wrong(file, nameof(file.Riders), "no rider", "one rider at least");
        RouteRules.CheckDistinct(file.Riders, nameof(StudyRider.Name), r => r.Name, "a rider's name", findings);
        RouteRules.CheckDistinct(file.Variants, nameof(GearTrainVariant.Name), v => v.Name, "a variant's name", findings);
        foreach (var variant in file.Variants.Where(v => v.Name == GearStudy.BaseName))
            findings.Wrong(variant, nameof(variant.Name), $"'{variant.Name}'", "another name", "The product itself is told under this one, without being named.");
        if (file.Variants.Count == 0 && file.Sweep is null && findings.Sound(file, nameof(file.Variants), nameof(file.Sweep)))
            findings.Wrong(file, nameof(file.Variants), "neither variants nor a sweep", "variants, a sweep, or both");
    }

    static ProductDefinition? ProductOf(GearStudyFile file, IReadOnlyList<RouteRevision> plant, Findings findings)
    {
        if (!findings.Sound(file, nameof(file.Product))) return null;
        var living = plant.Where(r => r.Product is { Life: not null, LoadTest: not null }).Select(r => r.Product.Id).ToList();
        var found = plant.FirstOrDefault(r => r.Product.Id == file.Product)?.Product;
        if (found is { Life: not null, LoadTest: not null }) return found;
        findings.Wrong(file, nameof(file.Product), found is null ? $"'{file.Product}'" : $"'{file.Product}', which has no life in its definition",
            $"a product with life: {string.Join(", ", living)}", NearestWord.To(file.Product, living) is { } near ? $"Did you mean '{near}'?" : null);
        return null;
    }

    static bool CheckStages(GearTrainVariant variant, DriveUnit unit, LifePlan life, Findings findings)
    {
        var sound = findings.Sound(variant, "", nameof(variant.Stages));
        var materials = life.Materials.Select(m => m.Id).ToList();
        var seen = new HashSet<int>();
        foreach (var change in variant.Stages)
        {
            sound &= CheckStage(change, nameof(change.Stage), change.Stage, unit, findings);
            if (!seen.Add(change.Stage)) sound &= Wrong(change, nameof(change.Stage), $"stage {Figure(change.Stage)} a second time", "each stage once in a variant");
            foreach (var (property, id) in new[] { (nameof(change.PinionMaterial), change.PinionMaterial), (nameof(change.WheelMaterial), change.WheelMaterial) })
            {
                if (id is not null && !materials.Contains(id))
                    sound &= Wrong(change, property, $"material '{id}'", $"one of the product's materials: {string.Join(", ", materials)}", NearestWord.To(id, materials) is { } near ? $"Did you mean '{near}'?" : null);
            }

            if (change.PlanetTeeth is not null && sound && unit.Gears[change.Stage - 1].PlanetTeeth is null)
                sound &= Wrong(change, nameof(change.PlanetTeeth), "planetTeeth of a plain pair", "planetTeeth only at a stage with planets");
            sound &= findings.Sound(change, "", nameof(change.PinionTeeth), nameof(change.WheelTeeth), nameof(change.NormalModuleM), nameof(change.FaceWidthM), nameof(change.HelixDeg), nameof(change.PinionShift), nameof(change.WheelShift), nameof(change.MeshEfficiency), nameof(change.PlanetTeeth));
        }

        if (variant.Stages.Count == 0 && variant.Transmission is null && sound)
            sound = Wrong(variant, nameof(variant.Stages), "a variant that changes nothing", "stages, a transmission, or both");
        return sound;

        bool Wrong(object owner, string property, string found, string expected, string? hint = null)
        {
            findings.Wrong(owner, property, found, expected, hint);
            return false;
        }
    }

    static bool CheckStage(object owner, string property, int stage, DriveUnit unit, Findings findings)
    {
        if (!findings.Sound(owner, property)) return false;
        if (stage >= 1 && stage <= unit.Gears.Count) return true;
        findings.Wrong(owner, property, Figure(stage), $"a stage from 1 at the rotor to {Figure(unit.Gears.Count)} at the output");
        return false;
    }

    static bool CheckTransmission(GearTrainVariant variant, DriveUnit unit, Findings findings)
    {
        if (variant.Transmission is not { } box) return findings.Sound(variant, nameof(variant.Transmission));
        if (unit.SitsInWheel)
        {
            findings.Wrong(variant, nameof(variant.Transmission), "a transmission behind a unit that sits in the wheel", "one behind a unit at the crank");
            return false;
        }

        if (box.Gears.Count == 0) findings.Wrong(box, nameof(box.Gears), "no gear", "one gear at least");
        return box.Gears.Count > 0 && findings.Sound(box, "", nameof(box.Gears), nameof(box.RotorRadPerS)) && box.Gears.All(g => findings.Sound(g, "", nameof(g.Ratio), nameof(g.Efficiency)));
    }

    static GearTrain? Made(GearTrainVariant variant, DriveUnit unit, LifePlan life, Findings findings)
    {
        try
        {
            var train = variant.Of(unit, life);
            var against = TrainObjections.Of(train);
            foreach (var why in against) findings.Wrong(variant, nameof(variant.Stages), why, "a train that can be cut and put together");
            return against.Count == 0 ? train : null;
        }
        catch (ArgumentOutOfRangeException e)
        {
            findings.Wrong(variant, nameof(variant.Stages), "teeth that cannot be", "teeth with a root and a tip", e.Message.Split('\n')[0].Split(" (Parameter", StringSplitOptions.None)[0]);
            return null;
        }
    }

    static bool CheckSweep(TrainSweep sweep, DriveUnit unit, Findings findings)
    {
        var sound = findings.Sound(sweep, "", nameof(sweep.Ranges), nameof(sweep.Designs), nameof(sweep.RatioWithin), nameof(sweep.Kind), nameof(sweep.Seed));
        if (sweep.Ranges.Count == 0 && sound)
        {
            findings.Wrong(sweep, nameof(sweep.Ranges), "no range", "one range at least");
            return false;
        }

        var seen = new HashSet<(int, Swept)>();
        foreach (var range in sweep.Ranges)
        {
            sound &= CheckStage(range, nameof(range.Stage), range.Stage, unit, findings) && findings.Sound(range, nameof(range.What), nameof(range.From), nameof(range.To), nameof(range.Steps));
            if (!sound) continue;
            if (!seen.Add((range.Stage, range.What)) || (range.What == Swept.Ratio && seen.Contains((range.Stage, Swept.WheelTeeth))) || (range.What == Swept.WheelTeeth && seen.Contains((range.Stage, Swept.Ratio))))
                sound = Wrong(range, nameof(range.What), "a second range for the same teeth or size of the stage", "one range for each");
            if (range.From > range.To) sound = Wrong(range, nameof(range.From), $"from {Figure(range.From)} to {Figure(range.To)}", "from below to", "The two may have been swapped.");
            var (least, most, unitOf) = EdgesOf(range.What);
            if (!(range.From >= least && range.To <= most))
                sound = Wrong(range, nameof(range.From), $"from {Figure(range.From)} to {Figure(range.To)}", $"a range within {Figure(least)} and {Figure(most)}{unitOf}");
        }

        if (sound && sweep.Count > TrainSweep.MostDesigns)
            sound = Wrong(sweep, nameof(sweep.Ranges), $"{sweep.Count.ToString(CultureInfo.InvariantCulture)} designs", $"at most {Figure(TrainSweep.MostDesigns)}", "Take fewer steps, or kind: latin-hypercube.");
        return sound;

        bool Wrong(object owner, string property, string found, string expected, string? hint = null)
        {
            findings.Wrong(owner, property, found, expected, hint);
            return false;
        }
    }

    /// <summary>What a drawn stage may have at all, as in a product's definition.</summary>
    static (double Least, double Most, string Unit) EdgesOf(Swept what) => what switch
    {
        Swept.PinionTeeth or Swept.WheelTeeth => (4, 500, " teeth"),
        Swept.Ratio => (1, 100, ""),
        Swept.NormalModuleM => (0.0002, 0.01, " m"),
        Swept.FaceWidthM => (0.001, 0.2, " m"),
        Swept.HelixDeg => (0, 45, " °"),
        _ => (-1, 1, " modules"),
    };

    static string Figure(double value) => value.ToString("0.######", CultureInfo.InvariantCulture);
}
