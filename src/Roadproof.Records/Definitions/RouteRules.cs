using System.Globalization;
using Roadproof.Engineering.LoadTest;

namespace Roadproof.Records.Definitions;

/// <summary>What must hold between plant, lines, parts and routes: names that are used are declared, and the order of steps makes sense.</summary>
static class RouteRules
{
    public static void Check(BoundFiles files, Findings findings)
    {
        // Ids first: what refers to a malformed id has not slipped itself.
        foreach (var line in files.Plant.Lines) CheckId(line, nameof(line.Id), line.Id, findings);
        foreach (var station in files.Plant.Lines.SelectMany(l => l.Stations)) CheckId(station, nameof(station.Id), station.Id, findings);
        foreach (var part in files.Parts.Parts) CheckId(part, nameof(part.Id), part.Id, findings);
        foreach (var product in files.Products) CheckId(product, nameof(product.Id), product.Id, findings);
        foreach (var step in files.Routes.SelectMany(r => r.Steps)) CheckId(step, nameof(step.Id), step.Id, findings);
        CheckPlant(files.Plant, findings);
        LineRules.Check(files, findings);
        CheckParts(files.Parts.Parts, findings);
        foreach (var route in files.Routes)
        {
            CheckStations(route, files.Plant.Lines.FirstOrDefault(l => l.Product == route.Product), findings);
            CheckSteps(route, files.Parts.Parts, findings);
            CheckOrder(route, files.Parts.Parts, findings);
        }

        CurveRules.Check(files, findings);
        TradeRules.Check(files, findings);
        VariantRules.Check(files, findings);
    }

    /// <summary>Ids stand in keys, addresses and file names: lower case, digits and hyphens; points of a cycle also carry a decimal point.</summary>
    public static void CheckId(object owner, string property, string id, Findings findings)
    {
        if (id.Length is > 0 and <= 40 && id.All(c => char.IsAsciiLetterLower(c) || char.IsAsciiDigit(c) || c is '-' or '.') && id[0] != '-' && id[^1] != '-') return;
        findings.Wrong(owner, property, $"'{id}'", "an id of small letters, digits and hyphens, at most 40 long");
        findings.Break(owner, property);
    }

    /// <summary>No two items share an id; the second one is told.</summary>
    public static void CheckDistinct<T>(IEnumerable<T> items, string property, Func<T, string> id, string what, Findings findings)
        where T : class
    {
        var seen = new HashSet<string>(StringComparer.Ordinal);
        foreach (var item in items.Where(i => findings.Sound(i, property)))
        {
            if (!seen.Add(id(item))) findings.Wrong(item, property, $"'{id(item)}' a second time", $"{what} once only");
        }
    }

    /// <summary>Lower and upper edge stand the right way round, and the guard bands leave something between them.</summary>
    public static void CheckEdges(object owner, double? lower, double? upper, double guardBand, string unit, Findings findings)
    {
        if (!findings.Sound(owner, "Lower", "Upper", "StandardUncertainty", "GuardFactor")) return;
        if (lower > upper)
            findings.Wrong(owner, "Lower", $"lower {Figure(lower)} above upper {Figure(upper)}", "lower below upper", "The two may have been swapped.");
        else if (lower + guardBand >= upper - guardBand)
            findings.Wrong(owner, "Lower", $"{Figure(upper - lower)} {unit} between the edges and a guard band of {Figure(guardBand)} {unit} on each side", "room to pass between the guard bands", "Measure better, or widen the limits if their owner agrees.");
    }

    static void CheckPlant(PlantFile plant, Findings findings)
    {
        if (plant.Customers.Count == 0) findings.Wrong(plant, nameof(plant.Customers), "no customer", "at least one customer to pack for");
        for (var i = 1; i < plant.Customers.Count; i++)
        {
            if (plant.Customers.Take(i).Contains(plant.Customers[i], StringComparer.Ordinal) && findings.Sound(plant, nameof(plant.Customers)))
                findings.Wrong(plant, Findings.Item(nameof(plant.Customers), i), $"'{plant.Customers[i]}' a second time", "each customer once");
        }
    }

    static void CheckStations(RouteFile route, LineDefinition? line, Findings findings)
    {
        if (line is null) return; // told where lines and routes are held together
        var steps = route.Steps.Select(s => s.Id).ToList();
        var stepsKnown = findings.Sound(route, nameof(route.Steps)) && route.Steps.All(s => findings.Sound(s, nameof(s.Id)));
        foreach (var station in line.Stations)
        {
            if (stepsKnown && !steps.Contains(station.Step))
                findings.Wrong(station, nameof(station.Step), $"'{station.Step}'", "a step of the route", NearestWord.Hint(station.Step, steps));
        }

        if (!findings.Sound(line, nameof(line.Stations)) || !line.Stations.All(s => findings.Sound(s, nameof(s.Step)))) return;

        // A station that names an unknown step was most likely meant for a step that now has none: one mistake.
        var astray = line.Stations.Count(s => !steps.Contains(s.Step));
        var unserved = route.Steps.Where(step => StationsOf(step) == 0).ToList();
        if (!stepsKnown || unserved.Count <= astray) return;
        foreach (var step in unserved)
            findings.Wrong(step, nameof(step.Id), $"step '{step.Id}' without a station", "at least one station that does it", "Add one to the line's stations, or take the step out of the route.");

        int StationsOf(RouteStep step) => line.Stations.Count(s => s.Step == step.Id);
    }

    static void CheckParts(IReadOnlyList<PartDefinition> parts, Findings findings)
    {
        CheckDistinct(parts, nameof(PartDefinition.Id), p => p.Id, "a part", findings);
        foreach (var part in parts)
        {
            if (part is { Shell: true, Serialised: false } && findings.Sound(part, nameof(part.Serialised)))
                findings.Wrong(part, nameof(part.Shell), "a shell without a number of its own", "serialised: true beside shell: true", "A unit is known by its shell's number until it is marked.");
        }

        if (parts.Count > 0 && parts.All(p => !p.Shell && findings.Sound(p, nameof(p.Shell))))
            findings.Wrong(parts[0], "", "no part with shell: true", "a part that a unit starts as");
    }

    static void CheckSteps(RouteFile route, IReadOnlyList<PartDefinition> all, Findings findings)
    {
        var parts = all.Select(p => p.Id).ToList();
        var partsKnown = parts.Count > 0 && all.All(p => findings.Sound(p, nameof(p.Id)));
        CheckDistinct(route.Steps, nameof(RouteStep.Id), s => s.Id, "a step", findings);
        CheckDistinct(route.Steps.SelectMany(s => s.Readings), nameof(StepReading.Id), r => r.Id, "a reading", findings);
        CheckDistinct(route.Steps.SelectMany(s => s.Screws), nameof(ScrewGroup.Id), g => g.Id, "a group of screws", findings);
        foreach (var step in route.Steps)
        {
            CheckDistinct(step.Parts, nameof(StepPart.Part), p => p.Part, "a part of this step", findings);
            foreach (var part in step.Parts.Where(p => partsKnown && !parts.Contains(p.Part)))
                findings.Wrong(part, nameof(part.Part), $"'{part.Part}'", "a part from parts.yaml", NearestWord.Hint(part.Part, parts));
            foreach (var reading in step.Readings) CheckReading(step, reading, findings);
            foreach (var group in step.Screws) CheckScrews(group, findings);
            CheckOwnReadings(step, findings);
            CheckScrewParts(step, findings);
            if (step.Kind is StepKind.LoadTest or StepKind.Mark && step.Caution.Length == 0 && findings.Sound(step, nameof(step.Kind)))
                findings.Wrong(step, nameof(step.Caution), $"no caution for step '{step.Id}'", "the usual caution: rotating rigs and lasers hurt people");
        }
    }

    // The number on the metal, and where the unit went: without them no mark could pass and no customer be told.
    static void CheckOwnReadings(RouteStep step, Findings findings)
    {
        string[] own = step.Kind switch { StepKind.Mark => [MarkReadings.ReadBack], StepKind.Pack => [PackReadings.Box, PackReadings.Customer], _ => [] };
        if (!findings.Sound(step, nameof(step.Kind), nameof(step.Readings)) || !step.Readings.All(r => findings.Sound(r, nameof(r.Id)))) return;
        foreach (var id in own)
        {
            var expected = $"the text reading '{id}' in a step of kind {DefinitionKeys.Words(typeof(StepKind))[(int)step.Kind]}";
            if (step.Readings.FirstOrDefault(r => r.Id == id) is not { } reading) findings.Wrong(step, nameof(step.Readings), $"no reading '{id}' in step '{step.Id}'", expected);
            else if (!reading.Text && findings.Sound(reading, nameof(reading.Text))) findings.Wrong(reading, nameof(reading.Text), $"'{id}' as a number", expected, "Write text: true.");
        }
    }

    static void CheckScrewParts(RouteStep step, Findings findings)
    {
        if (!findings.Sound(step, nameof(step.Screws)) || !step.Screws.All(g => findings.Sound(g, nameof(g.Id)))) return;
        foreach (var part in step.Parts.Where(p => p.Part.EndsWith(ScrewGroup.ScrewPart, StringComparison.Ordinal) && step.Screws.All(g => g.PartId() != p.Part)))
            findings.Wrong(part, nameof(part.Part), $"'{part.Part}' without its group", $"a group of screws '{part.Part[..^ScrewGroup.ScrewPart.Length]}' in step '{step.Id}'", "A screw for each of the group is taken from the lot.");
    }

    static void CheckReading(RouteStep step, StepReading reading, Findings findings)
    {
        CheckId(reading, nameof(reading.Id), reading.Id, findings);
        var limited = reading.Lower is not null || reading.Upper is not null;
        if (!findings.Sound(reading, nameof(reading.Text), nameof(reading.Lower), nameof(reading.Upper), nameof(reading.Equal))) return;
        if (reading.Text && limited)
            findings.Wrong(reading, reading.Lower is null ? nameof(reading.Upper) : nameof(reading.Lower), "a limit on a text", "limits on numbers only", "Use equal for a text that must be exact.");
        if (!reading.Text && reading.Equal is not null)
            findings.Wrong(reading, nameof(reading.Equal), $"'{reading.Equal}' for a number", "equal with text: true only", "Use lower and upper for a number.");
        CheckQuantity(reading, findings);
        if (!limited || reading.Text) return;

        if (reading.StandardUncertainty == 0 && !step.IsFromCurve(reading)) // a curve brings its own
            findings.Wrong(reading, nameof(reading.StandardUncertainty), "no standard uncertainty", $"standardUncertainty of '{reading.Id}', which has limits", "Without it there is no guard band; take it from the gauge study.");
        CheckEdges(reading, reading.Lower, reading.Upper, reading.GuardFactor * reading.StandardUncertainty, reading.Unit, findings);
        if (reading.UsualSpread > 0 && (reading.UsualValue < reading.Lower || reading.UsualValue > reading.Upper) && !(reading.Lower > reading.Upper))
            findings.Wrong(reading, nameof(reading.UsualValue), $"a usual value of {Figure(reading.UsualValue)} outside the limits", "sound units inside the limits");
    }

    // Without its unit and its scatter nobody could say what a reading of it decides.
    static void CheckQuantity(StepReading reading, Findings findings)
    {
        if (reading.Quantity is not { } quantity || !findings.Sound(reading, nameof(reading.Quantity), nameof(reading.Unit), nameof(reading.UsualSpread), nameof(reading.StandardUncertainty))) return;
        var unit = MeasuredQuantities.UnitOf(quantity);
        if (reading.Text || reading.Unit != unit)
            findings.Wrong(reading, nameof(reading.Quantity), reading.Text ? "a quantity for a text" : $"a quantity in {(reading.Unit.Length == 0 ? "no unit" : reading.Unit)}", $"a number in {unit}");
        else if (reading.UsualSpread == 0 && reading.StandardUncertainty == 0)
            findings.Wrong(reading, nameof(reading.Quantity), "a quantity without scatter", "usualSpread or standardUncertainty beside quantity", "Without either nobody can say what a reading decides.");
    }

    static void CheckScrews(ScrewGroup group, Findings findings)
    {
        CheckId(group, nameof(group.Id), group.Id, findings);
        if (group.TorqueLowerNm >= group.TorqueUpperNm)
            findings.Wrong(group, nameof(group.TorqueLowerNm), $"{Figure(group.TorqueLowerNm)}, not below torqueUpperNm {Figure(group.TorqueUpperNm)}", "the lower torque below the upper one");
        if (group.AngleLowerDeg >= group.AngleUpperDeg && findings.Sound(group, nameof(group.AngleUpperDeg)))
            findings.Wrong(group, nameof(group.AngleLowerDeg), $"{Figure(group.AngleLowerDeg)}, not below angleUpperDeg {Figure(group.AngleUpperDeg)}", "the lower angle below the upper one");
        if (group.Class is not ("A" or "B" or "C"))
            findings.Wrong(group, nameof(group.Class), $"'{group.Class}'", "hazard class A, B or C");
    }

    static void CheckOrder(RouteFile route, IReadOnlyList<PartDefinition> parts, Findings findings)
    {
        var steps = route.Steps;
        for (var i = 1; i < steps.Count; i++)
        {
            if (steps[i].Number <= steps[i - 1].Number && findings.Sound(steps[i - 1], nameof(RouteStep.Number)))
                findings.Wrong(steps[i], nameof(RouteStep.Number), string.Create(CultureInfo.InvariantCulture, $"{steps[i].Number} after {steps[i - 1].Number}"), "numbers that rise from step to step", "Steps run in the order in which they stand.");
        }

        if (steps.Count == 0 && findings.Sound(route, nameof(route.Steps))) findings.Wrong(route, nameof(route.Steps), "no step", "at least one step");
        if (steps.Count == 0 || !steps.All(s => findings.Sound(s, nameof(s.Kind), nameof(s.Parts)))) return;

        var shells = parts.Where(p => p.Shell).Select(p => p.Id).ToList();
        if (shells.Count > 0 && steps[0].Parts.All(p => findings.Sound(p, nameof(p.Part))))
        {
            var starts = steps[0].Parts.Where(p => shells.Contains(p.Part)).ToList();
            if (starts.Count == 0)
                findings.Wrong(steps[0], nameof(RouteStep.Parts), "no part with shell: true in the first step", $"the part that the unit starts as, such as '{shells[0]}'");
            foreach (var second in starts.Skip(1).Concat(steps.Skip(1).SelectMany(s => s.Parts).Where(p => shells.Contains(p.Part))))
                findings.Wrong(second, nameof(second.Part), $"'{second.Part}' as a second shell", "one part that a unit starts as, in the first step");
        }

        StepKind[] once = [StepKind.LoadTest, StepKind.Label, StepKind.Mark, StepKind.Pack];
        foreach (var kind in once)
        {
            foreach (var second in steps.Where(s => s.Kind == kind).Skip(1))
                findings.Wrong(second, nameof(second.Kind), $"a second step of kind {Word(kind)}", $"one step of kind {Word(kind)}");
        }

        var found = once.Select(k => steps.Where(s => s.Kind == k).ToList()).Where(of => of.Count == 1).Select(of => of[0]).ToList();
        for (var i = 1; i < found.Count; i++)
        {
            if (steps.ToList().IndexOf(found[i]) < steps.ToList().IndexOf(found[i - 1]))
                findings.Wrong(found[i], nameof(RouteStep.Kind), $"step '{found[i].Id}' before '{found[i - 1].Id}'", "load test, label, mark and pack in this order", "No label without a passed load test, no mark without a label.");
        }

        if (steps[^1].Kind != StepKind.Pack && found.Exists(s => s.Kind == StepKind.Pack))
            findings.Wrong(steps[^1], nameof(RouteStep.Id), $"step '{steps[^1].Id}' after packing", "packing as the last step");
    }

    internal static string Word(StepKind kind) => DefinitionKeys.Words(typeof(StepKind))[(int)kind];

    static string Figure(double? number) => (number ?? double.NaN).ToString("0.######", CultureInfo.InvariantCulture);
}
