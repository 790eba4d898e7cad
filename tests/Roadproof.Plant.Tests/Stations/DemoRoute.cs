using System.Text.Json;
using System.Text.Json.Serialization;
using Roadproof.Plant.Line;

namespace Roadproof.Plant.Tests.Stations;

/// <summary>A route of fourteen steps and three rigs, by hand: the steps, work times and windows of common practice, no source.</summary>
static class DemoRoute
{
    public static readonly LineRoute Route = new()
    {
        Id = "af-85/1",
        Plant = new(["Tarnbeck Cycles", "Ostermere Bikes"]),
        Line = new("line-1",
        [
            .. new[]
            {
                ("st10", "shell-in"), ("st20", "stator-in"), ("st30", "rotor-in"), ("st40", "carrier-screws"), ("st50", "controller-in"), ("st60", "firmware"), ("st70", "gears-in"),
                ("st80", "functional-check"), ("st90", "cover"), ("st100", "leak-check"), ("rig1", "load-test"), ("rig2", "load-test"), ("rig3", "load-test"), ("st120", "label"),
                ("st130", "mark"), ("st140", "pack"),
            }.Select(s => new LineStation(s.Item1, s.Item2, s.Item1 == "st50" ? "esd" : null, s.Item1 == "st90" ? ["driver"] : null)),
        ]),
        Product = new("af-85", Fixtures.Plan),
        Parts =
        [
            new("shell", Serialised: true, Shell: true), new("stator", Serialised: true), new("rotor", Serialised: true), new("carrier-screw"), new("controller", Serialised: true),
            new("thermal-paste"), new("gear-set", "Gear set", Variant: "ratio 36.18"), new("gear-set-339", "Gear set", Variant: "ratio 33.9"), new("grease"), new("clutch"), new("gasket"), new("cover-screw"), new("label"),
        ],
        Steps =
        [
            new("shell-in", "assembly", 35, Parts("shell"), [Text("wipe-done")]),
            new("stator-in", "assembly", 50, Parts("stator"), [new("stator-temperature", "°C", 140, 170, UsualValue: 155, UsualSpread: 2.5)]),
            new("rotor-in", "assembly", 45, Parts("rotor"), [new("insertion-force", "N", 100, 400, UsualValue: 230, UsualSpread: 25)]),
            new("carrier-screws", "assembly", 50, Parts("carrier-screw"), null, [new("carrier", 6, 2.7, 3.3, 30, 70)]),
            new("controller-in", "assembly", 54, Parts("controller", "thermal-paste"), [new("paste-mass", "g", 1.8, 2.6, UsualValue: 2.2, UsualSpread: 0.06)], [new("phase", 3, 1.8, 2.2, 25, 65)]),
            new("firmware", "check", 52, null, [Text("firmware-hash", "7c1d"), new("current-zero", "A", -0.25, 0.25, UsualValue: 0, UsualSpread: 0.05)]),
            new("gears-in", "assembly", 54, Parts("gear-set", "clutch", "grease"), [new("grease-mass", "g", 10.8, 13.2, UsualValue: 12, UsualSpread: 0.25)]),
            new("functional-check", "check", 40, null, [new("sensor-zero", "N·m", -3, 3, UsualValue: 0, UsualSpread: 0.25), Text("communication", "ok")]),
            new("cover", "assembly", 54, Parts("gasket", "cover-screw"), null, [new("cover", 8, 4.95, 6.05, 30, 70)]),
            new("leak-check", "check", 52, null, [new("leak", "cm³/min", null, 5, UsualValue: 1.2, UsualSpread: 0.4)]),
            new("load-test", "load-test", 115),
            new("label", "label", 14, Parts("label"), [Text("label-read")]),
            new("mark", "mark", 16, null, [Text("mark-read"), new("mark-grade", "grade", 1.5, UsualValue: 3.2, UsualSpread: 0.25)], Qualification: "laser"),
            new("pack", "pack", 15, null, [new("weight", "g", 2870, 2930, UsualValue: 2900, UsualSpread: 6), Text("box"), Text("customer")]),
        ],
    };

    public static readonly JsonSerializerOptions Json = new(JsonSerializerDefaults.Web)
    {
        Converters = { new JsonStringEnumConverter(JsonNamingPolicy.KebabCaseLower) },
        DefaultIgnoreCondition = JsonIgnoreCondition.WhenWritingNull,
        IgnoreReadOnlyProperties = true,
    };

    public static readonly string RouteJson = JsonSerializer.Serialize(new[] { Route }, Json);

    /// <summary>The same in two variants, whose labels differ.</summary>
    public static readonly LineRoute InTwoVariants = Route with
    {
        Product = Route.Product with { Variants = [new("left", Label: "L"), new("right", Label: "R", Parts: [new("label", "label-right")])] },
        Parts = [.. Route.Parts.Where(p => p.Id != "label"), new("label", "Label", Variant: "left"), new("label-right", "Label", Variant: "right")],
        Steps = [.. Route.Steps.Select(s => s.Id == "label" ? s with { Parts = [new("label", OfVariant: true)], Readings = [new("label-read", Text: true, OfVariant: "label")] } : s)],
    };

    static LineStepPart[] Parts(params string[] parts) => [.. parts.Select(p => new LineStepPart(p))];

    static LineReading Text(string id, string? equal = null) => new(id, Text: true, Equal: equal);
}
