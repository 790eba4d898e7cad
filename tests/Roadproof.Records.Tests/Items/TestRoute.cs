using Roadproof.Records.Definitions;

namespace Roadproof.Records.Tests.Items;

/// <summary>A route of fourteen steps built by hand: the demo's route without its load test's physics.</summary>
static class TestRoute
{
    public static readonly RouteRevision Revision = new()
    {
        Id = "af-85/1",
        Number = 1,
        Plant = new()
        {
            Name = "Alderfen Works", Customers = ["Tarnbeck Cycles"], KeepPassedCaptures = 100, KeepStoppedCaptures = 1000,
        },
        Line = new()
        {
            Id = "line-1", Name = "Line 1", Product = "af-85", SerialPrefix = "AF85", TaktS = 57, DueToday = 400,
            Stations =
            [
                Station("st10", "shell-in"), Station("st20", "stator-in"), Station("st30", "rotor-in"), Station("st40", "carrier-screws"), Station("st50", "controller-in"),
                Station("st60", "firmware"), Station("st70", "gears-in"), Station("st80", "functional-check"), Station("st90", "cover"), Station("st100", "leak-check"),
                Station("rig1", "load-test"), Station("rig2", "load-test"), Station("rig3", "load-test"), Station("st120", "label"), Station("st130", "mark"), Station("st140", "pack"),
            ],
        },
        // The load test's judging is not part of these tests: verdicts are handed in.
        Product = new() { Id = "af-85", Name = "AF-85 mid-drive unit", LoadTest = null },
        Parts =
        [
            new() { Id = "shell", Name = "Shell", Serialised = true, Shell = true },
            new() { Id = "stator", Name = "Stator", Serialised = true, Moves = [ReadingFamily.Resistance, ReadingFamily.Flux, ReadingFamily.Losses] },
            new() { Id = "rotor", Name = "Rotor", Serialised = true, Moves = [ReadingFamily.Flux, ReadingFamily.RotorOffset, ReadingFamily.Vibration, ReadingFamily.Losses] },
            new() { Id = "carrier-screw", Name = "Carrier screws" },
            new() { Id = "controller", Name = "Controller", Serialised = true, Moves = [ReadingFamily.Controller, ReadingFamily.RotorOffset] },
            new() { Id = "thermal-paste", Name = "Thermal paste" },
            new() { Id = "gear-set", Name = "Gear set", Variant = "ratio 36.18" },
            new() { Id = "gear-set-339", Name = "Gear set", Variant = "ratio 33.9" },
            new() { Id = "grease", Name = "Grease" },
            new() { Id = "cover-screw", Name = "Cover screws" },
            new() { Id = "label", Name = "Label" },
        ],
        Steps =
        [
            Step(10, "shell-in", "Shell in", parts: ["shell"], readings: [Text("wipe-done", "Wipe done")]),
            Step(20, "stator-in", "Stator in", parts: ["stator"], readings: [Reading("stator-temperature", "Stator temperature", "°C", null, null)]),
            Step(30, "rotor-in", "Rotor in", parts: ["rotor"], readings: [Reading("insertion-force", "Insertion force", "N", 100, 400, u: 5)]),
            Step(40, "carrier-screws", "Carrier screws", parts: ["carrier-screw"], screws: [Screws("carrier", 6)]),
            Step(50, "controller-in", "Controller in", parts: ["controller", "thermal-paste"], readings: [Reading("paste-mass", "Paste mass", "g", 1.5, 2.5, u: 0.05)], screws: [Screws("phase", 3)]),
            Step(60, "firmware", "Firmware", readings: [Text("region", "Region", equal: "eu")]),
            Step(70, "gears-in", "Gears in", parts: ["gear-set", "grease"], readings: [Reading("grease-mass", "Grease mass", "g", 10.8, 13.2, u: 0.1)]),
            Step(80, "functional-check", "Functional check", StepKind.Check, readings: [Reading("clutch-lock", "Clutch lock torque", "N·m", 30, null, u: 0.5, safety: true)]),
            Step(90, "cover", "Cover", parts: ["cover-screw"], screws: [Screws("cover", 8)]),
            Step(100, "leak-check", "Leak check", StepKind.Check, readings: [Reading("leak", "Leak", "cm³/min", null, 5, u: 0.2)]),
            Step(110, "load-test", "Load test", StepKind.LoadTest),
            Step(120, "label", "Label", StepKind.Label, parts: ["label"], readings: [Text("label-read", "Label read")]),
            Step(130, "mark", "Mark", StepKind.Mark, readings: [Text("mark-read", "Mark read back"), Reading("mark-grade", "Mark grade", "", 1.5, null, u: 0)]),
            Step(140, "pack", "Pack", StepKind.Pack, readings: [Reading("weight", "Weight", "g", 2900, 3100, u: 5), Text("box", "Box"), Text("customer", "Customer")]),
        ],
    };

    static StationDefinition Station(string id, string step) => new() { Id = id, Name = id, Step = step };

    static RouteStep Step(int number, string id, string name, StepKind kind = StepKind.Assembly, string[]? parts = null, StepReading[]? readings = null, ScrewGroup[]? screws = null) => new()
    {
        Id = id, Number = number, Name = name, Kind = kind, Instruction = $"Do {name}.", WorkS = 45,
        Parts = (parts ?? []).Select(p => new StepPart { Part = p, Say = $"Scan the {p}" }).ToList(), Readings = readings ?? [], Screws = screws ?? [],
    };

    static StepReading Reading(string id, string name, string unit, double? lower, double? upper, double u = 0, bool safety = false) => new()
    {
        Id = id, Name = name, Unit = unit, Lower = lower, Upper = upper, StandardUncertainty = u, Safety = safety, Origin = "common practice, no source",
    };

    static StepReading Text(string id, string name, string? equal = null) => new() { Id = id, Name = name, Text = true, Equal = equal, Origin = "common practice, no source" };

    static ScrewGroup Screws(string id, int count) => new()
    {
        Id = id, Name = $"{char.ToUpperInvariant(id[0])}{id[1..]} screws", Count = count, TorqueLowerNm = 5, TorqueUpperNm = 6, AngleLowerDeg = 30, AngleUpperDeg = 70, Class = "B",
        StandardUncertaintyNm = 0.05, Origin = "common practice, no source",
    };
}
