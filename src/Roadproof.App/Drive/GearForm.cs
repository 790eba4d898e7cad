using Roadproof.Engineering.CycleDesign;
using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Life;
using Roadproof.Engineering.Quantities;

namespace Roadproof.App.Drive;

/// <summary>A number of a stage as the form shows it.</summary>
/// <param name="Drawn">What the drawing says.</param>
public sealed record GearNumber(string Name, string Label, string Unit, string Value, string Drawn)
{
    public bool Changed => Value != Drawn;
}

/// <summary>A material of a stage's gear as the form shows it.</summary>
public sealed record GearChoice(string Name, string Label, string Value, string Drawn, IReadOnlyList<(string Id, string Name)> Materials);

/// <summary>A stage of the train as the form shows it.</summary>
public sealed record GearStageForm(int Stage, string Name, IReadOnlyList<GearNumber> Numbers, IReadOnlyList<GearChoice> Choices);

/// <summary>The form of a gear train: what was typed, read strictly, and what it changes.</summary>
/// <remarks>Lengths are in mm here, as on a drawing; inside and in files they are in m.</remarks>
public sealed class GearForm
{
    sealed record Slot(string Name, string Label, string Unit, double Least, double Most, bool Whole, Func<GearStage, GearPair, double?> Read, Func<StageChange, double, StageChange> Write);

    static readonly Slot[] Slots =
    [
        new("pinion", "Pinion teeth", "", 4, 500, true, (g, _) => g.PinionTeeth, (c, v) => c with { PinionTeeth = (int)v }),
        new("planet", "Planet teeth", "", 4, 500, true, (g, _) => g.PlanetTeeth, (c, v) => c with { PlanetTeeth = (int)v }),
        new("wheel", "Wheel teeth", "", 4, 500, true, (g, _) => g.WheelTeeth, (c, v) => c with { WheelTeeth = (int)v }),
        new("module", "Normal module", "mm", 0.2, 10, false, (g, _) => 1e3 * g.NormalModuleM, (c, v) => c with { NormalModuleM = v / 1e3 }),
        new("width", "Face width", "mm", 1, 200, false, (g, _) => 1e3 * g.FaceWidthM, (c, v) => c with { FaceWidthM = v / 1e3 }),
        new("helix", "Helix", "°", 0, 45, false, (g, _) => g.HelixDeg, (c, v) => c with { HelixDeg = v }),
        new("shift", "Pinion shift", "modules", -1, 1, false, (_, p) => p.PinionShift, (c, v) => c with { PinionShift = v }),
        new("wheel-shift", "Wheel shift", "modules", -1, 1, false, (_, p) => p.WheelShift, (c, v) => c with { WheelShift = v }),
    ];

    GearForm(IReadOnlyList<GearStageForm> stages, IReadOnlyList<StageChange> changes, GearboxForm gearbox, IReadOnlyList<InputError> errors) => (Stages, Changes, Gearbox, Errors) = (stages, changes, gearbox, errors);

    public IReadOnlyList<GearStageForm> Stages { get; }

    /// <summary>Only stages of which something differs from the drawing.</summary>
    public IReadOnlyList<StageChange> Changes { get; }

    public GearboxForm Gearbox { get; }

    /// <summary>Something differs from the drawing.</summary>
    public bool IsChanged => Changes.Count > 0 || Gearbox.Box is not null;

    /// <summary>Everything that was typed and is no such number.</summary>
    public IReadOnlyList<InputError> Errors { get; }

    /// <param name="asked">What was typed behind a name such as <c>module-1</c>; null for what was not, which stays as drawn.</param>
    public static GearForm Read(DriveUnit unit, LifePlan plan, Func<string, string?> asked)
    {
        ArgumentNullException.ThrowIfNull(unit);
        ArgumentNullException.ThrowIfNull(plan);
        List<GearStageForm> stages = [];
        List<StageChange> changes = [];
        List<InputError> errors = [];
        for (var s = 0; s < unit.Gears.Count; s++)
        {
            var (gears, pair) = (unit.Gears[s], plan.Gears[s]);
            var change = new StageChange { Stage = s + 1 };
            List<GearNumber> numbers = [];
            foreach (var slot in Slots)
            {
                if (slot.Read(gears, pair) is not { } drawn) continue;
                var name = string.Create(CultureInfo.InvariantCulture, $"{slot.Name}-{s + 1}");
                var typed = asked(name)?.Trim();
                numbers.Add(new(name, slot.Label, slot.Unit, string.IsNullOrEmpty(typed) ? Text(drawn) : typed, Text(drawn)));
                if (string.IsNullOrEmpty(typed) || typed == Text(drawn)) continue;
                if (Number(slot, typed) is { } number) change = slot.Write(change, number);
                else errors.Add(new($"stage {(s + 1).ToString(CultureInfo.InvariantCulture)}", 0, slot.Label, $"'{typed}'", $"a {(slot.Whole ? "whole number" : "number")}{(slot.Unit.Length > 0 ? $" in {slot.Unit}" : "")} from {Text(slot.Least)} to {Text(slot.Most)}", typed.Contains(',') ? "Write a decimal point, not a comma." : null));
            }

            List<GearChoice> choices = [];
            foreach (var (name, label, drawn) in new[] { ("pinion-material", "Pinion material", pair.Pinion), ("wheel-material", gears.PlanetTeeth is null ? "Wheel material" : "Planet material", pair.Wheel) })
            {
                var full = string.Create(CultureInfo.InvariantCulture, $"{name}-{s + 1}");
                var value = asked(full) is { Length: > 0 } typed ? typed : drawn;
                choices.Add(new(full, label, value, drawn, [.. plan.Materials.Select(m => (m.Id, m.Name))]));
                if (value == drawn) continue;
                if (plan.Materials.All(m => m.Id != value)) errors.Add(new($"stage {(s + 1).ToString(CultureInfo.InvariantCulture)}", 0, label, $"'{value}'", $"one of {string.Join(", ", plan.Materials.Select(m => m.Id))}"));
                else change = name == "pinion-material" ? change with { PinionMaterial = value } : change with { WheelMaterial = value };
            }

            stages.Add(new(s + 1, unit.Gears.Count == 1 ? "The stage" : s == 0 ? "First stage, at the rotor" : s == unit.Gears.Count - 1 ? "Last stage, at the output" : string.Create(CultureInfo.InvariantCulture, $"Stage {s + 1}"), numbers, choices));
            if (change != new StageChange { Stage = s + 1 }) changes.Add(change);
        }

        var gearbox = GearboxForm.Read(unit, asked);
        return new(stages, changes, gearbox, [.. errors, .. gearbox.Errors]);
    }

    /// <summary>The address behind <c>?</c> that fills the form with a train.</summary>
    public static string QueryOf(string product, GearTrain train)
    {
        ArgumentNullException.ThrowIfNull(train);
        List<string> parts = [$"product={Uri.EscapeDataString(product)}"];
        for (var s = 0; s < train.Unit.Gears.Count; s++)
        {
            foreach (var slot in Slots)
                if (slot.Read(train.Unit.Gears[s], train.Plan.Gears[s]) is { } value) parts.Add(string.Create(CultureInfo.InvariantCulture, $"{slot.Name}-{s + 1}={Text(value)}"));
            parts.Add(string.Create(CultureInfo.InvariantCulture, $"pinion-material-{s + 1}={Uri.EscapeDataString(train.Plan.Gears[s].Pinion)}"));
            parts.Add(string.Create(CultureInfo.InvariantCulture, $"wheel-material-{s + 1}={Uri.EscapeDataString(train.Plan.Gears[s].Wheel)}"));
        }

        if (train.Transmission is { } box) parts.AddRange(GearboxForm.QueryOf(box));
        return string.Join('&', parts);
    }

    static double? Number(Slot slot, string typed)
    {
        if (!double.TryParse(typed, NumberStyles.AllowLeadingSign | NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture, out var number)) return null;
        return number >= slot.Least && number <= slot.Most && (!slot.Whole || number == Math.Floor(number)) ? number : null;
    }

    static string Text(double value) => value.ToString("0.####", CultureInfo.InvariantCulture);
}
