using Roadproof.Engineering.Drive;

namespace Roadproof.App.Frame;

/// <summary>Which picture of the drive unit belongs to a step.</summary>
public static class StepPicture
{
    /// <summary>Null for a step that adds nothing a front view could show.</summary>
    public static DrawingUnit.Layer? LayerOf(string step) => step switch
    {
        "shell-in" => DrawingUnit.Layer.Shell,
        "stator-in" => DrawingUnit.Layer.Stator,
        "rotor-in" => DrawingUnit.Layer.Rotor,
        "carrier-screws" => DrawingUnit.Layer.Screws,
        "controller-in" => DrawingUnit.Layer.Controller,
        "firmware" => DrawingUnit.Layer.Angle,
        "gears-in" => DrawingUnit.Layer.Gears,
        "functional-check" => DrawingUnit.Layer.Check,
        "cover" => DrawingUnit.Layer.Cover,
        "leak-check" => DrawingUnit.Layer.Leak,
        "load-test" => DrawingUnit.Layer.LoadTest,
        "label" => DrawingUnit.Layer.Label,
        "mark" => DrawingUnit.Layer.Mark,
        _ => null,
    };

    /// <summary>What in the picture is to scale and what is not.</summary>
    public static string Caption(DriveUnit unit, DrawingUnit.Layer layer) => layer switch
    {
        DrawingUnit.Layer.Gears or DrawingUnit.Layer.Check => $"Gears to scale: {string.Join(", ", unit.Gears.Select(g => $"{Figure.Count(g.PinionTeeth)} : {Figure.Count(g.WheelTeeth)}"))}, ratio {Figure.Of(unit.Ratio, 2)}. Shell schematic.",
        DrawingUnit.Layer.Stator => $"{Figure.Count(unit.Motor.Slots)} slots; diameters schematic.",
        DrawingUnit.Layer.Rotor => $"{Figure.Count(2 * unit.Motor.PolePairs)} magnets; diameters schematic.",
        _ => "Schematic, from the front.",
    };
}
