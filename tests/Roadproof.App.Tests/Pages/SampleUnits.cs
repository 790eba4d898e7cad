using Roadproof.App.Frame;
using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Judging;
using Roadproof.Engineering.LoadTest;
using Roadproof.Records.ReadModel;

namespace Roadproof.App.Tests.Pages;

/// <summary>Invented views of units, for the pages only: their figures show every kind of row and are no results of anything.</summary>
static class SampleUnits
{
    public static readonly DateTimeOffset Now = new(2026, 11, 25, 10, 47, 12, TimeSpan.FromHours(1));

    public static readonly DriveUnit Drawn = MidDrive.Unit;

    public static readonly DrawnScrews Screws = new(6, 8);

    public static readonly (string Step, int Number, string Name, string Station, string Word)[] Route =
    [
        ("shell-in", 10, "Load shell", "st10", "wiped"), ("stator-in", 20, "Stator in", "st20", "154 °C"), ("rotor-in", 30, "Rotor in", "st30", "231 N"), ("carrier-screws", 40, "Carrier screws", "st40", "6 of 6"),
        ("controller-in", 50, "Controller in", "st50", "2.21 g paste"), ("firmware", 60, "Firmware and rotor angle", "st60", "0.2° el."), ("gears-in", 70, "Gears, clutches, shafts", "st70", "12.1 g grease"),
        ("functional-check", 80, "Functional check", "st80", "drag 0.20 N·m"), ("cover", 90, "Cover", "st90", "8 of 8"), ("leak-check", 100, "Leak check", "st100", "1.2 cm³/min"),
        ("load-test", 110, "Load test", "rig2", "no-load 19.6 W"), ("label", 120, "Label", "st120", "read"), ("mark", 130, "Laser mark", "st130", "grade 3.4"), ("pack", 140, "Pack", "st140", "box B-0731"),
    ];

    /// <summary>A unit that is unusual at no load and stands on hold, with an undecided leak.</summary>
    public static UnitView Held => new(
        "SH-0001842", null, "AF-85 mid-drive unit", "af-85/14", "held", "Held: no-load power is 19.6 W where sound units read 17.2 W. Bearing or gear drag is most likely.", "hold rack",
        Now.AddMinutes(-48), null, null, null, Steps(11, 10), Parts("held"), Readings(4.7), [Test(12.4, RunVerdict.Hold, "kept")],
        [new("Load test: no-load power unusual", "load-test", Now.AddMinutes(-9), null, null, null), new("Rotor lot RT-0712 is on hold", "lot:RT-0712", Now.AddMinutes(-70), Now.AddMinutes(-60), "Flux measured on five rotors, as drawn", "p-07")],
        Events(), new(26, true, "chain whole"));

    /// <summary>The same after a fail, when it may be tested once more.</summary>
    public static UnitView Failed => Held with
    {
        Sentence = "Held: Load test: torque at 50 N·m and 60 rpm too low.",
        Retest = new("load-test", "Load test", true, "Once more without repair. It then has to pass twice in a row.", RetestScheme.TwoOfTwo, 1, ["fail"], Now.AddMinutes(3), 3,
            RetestMeaning.Of(Requirement("torque-delivered-50-60", "Torque at 50 N·m and 60 rpm", "N·m", 47.2, 47.5, 52.5, 0.12) with { UncertaintyOfRun = 0.04, UncertaintyOfRig = 0.1 }, new(RetestScheme.TwoOfTwo, 1), hasFailed: true),
            ["Torque at 50 N·m and 60 rpm was read 2.5 standard uncertainties beyond its limit."]) { AsksTwice = true },
    };

    /// <summary>A unit that passed everything and left.</summary>
    public static UnitView Shipped => new(
        "SH-0001817", "AF856K04217W", "AF-85 mid-drive unit", "af-85/14", "shipped", "Passed everything and left for Tarnbeck Cycles in box B-0731.", "shipped, box B-0731",
        Now.AddMinutes(-95), Now.AddMinutes(-20), "Tarnbeck Cycles", "B-0731", Steps(14, -1), Parts("open"), Readings(1.2), [Test(0.4, RunVerdict.Pass, "kept")], [], Events(), new(34, true, "chain whole"));

    /// <summary>A unit on its way, before its load test.</summary>
    public static UnitView Building => new(
        "SH-0001898", null, "AF-85 mid-drive unit", "af-85/14", "building", "Gears, clutches, shafts is running at st70.", "st70",
        Now.AddMinutes(-9), null, null, null, Steps(6, -1, running: true), [.. Parts("open").Where(p => p.StepNumber < 70)], [.. Readings(1.2).Take(3)], [], [], [.. Events().Take(4)], new(13, true, "chain whole"));

    /// <summary>A shell that was scanned a second ago: nothing else is known.</summary>
    public static UnitView Empty => new(
        "SH-0001907", null, "AF-85 mid-drive unit", "af-85/14", "building", "Waits for Stator in.", "before st20", Now, null, null, null, Steps(0, -1), [], [], [], [], [], new(1, true, "chain whole"));

    static List<UnitStep> Steps(int done, int bad, bool running = false) => [.. Route.Select((s, i) => new UnitStep(s.Step, s.Number, s.Name, i < done ? s.Station : null,
        i == bad ? "hold" : i == bad - 1 && bad == 10 ? "undecided" : i < done ? "pass" : running && i == done ? "running" : "waiting",
        i < done || (running && i == done) ? Now.AddMinutes(-48 + 3 * i) : null, i < done ? Now.AddMinutes(-47.1 + 3 * i) : null, i < done ? 1 : 0, i < done ? s.Word : "", "p-03"))];

    static List<UnitPart> Parts(string rotorLot) =>
    [
        Part("shell", "Shell", 10, null, "SH-0001842", 1), Part("stator", "Stator", 20, "ST-0419", "ST-26-30418", 188), Part("rotor", "Rotor", 30, "RT-0712", "RT-26-30377", 41, rotorLot),
        Part("carrier-screw", "Carrier screw", 40, "CS-118", null, 640), Part("controller", "Controller", 50, "CB-0655", "CB-26-30502", 92), Part("thermal-paste", "Thermal paste", 50, "TP-31", null, 310),
        Part("gear-set", "Gear set", 70, "GS-0386", "", 74), Part("grease", "Grease", 70, "GR-205", null, 212), Part("clutch", "Clutch", 70, "CL-77", null, 320), Part("gasket", "Gasket", 90, "GK-340", null, 880), Part("cover-screw", "Cover screw", 90, "M5-88", null, 405),
    ];

    static UnitPart Part(string id, string name, int step, string? lot, string? serial, int units, string state = "open") =>
        new(id, name, Route.First(r => r.Number == step).Step, step, lot, string.IsNullOrEmpty(serial) ? null : serial, state, units, Now.AddMinutes(-40));

    static List<UnitReading> Readings(double leak) =>
    [
        Reading("stator-in", "st20", Requirement("stator-temperature", "Temperature at the fit", "°C", 154.2, 140, 170, 1)),
        Reading("rotor-in", "st30", Requirement("insertion-force", "Largest insertion force", "N", 231, 100, 400, 5)),
        Reading("controller-in", "st50", Requirement("paste-mass", "Paste laid", "g", 2.21, 1.8, 2.6, 0.02)),
        Reading("firmware", "st60", Requirement("rotor-offset-repeat", "Repeatability of the rotor angle", "° el.", 0.21, -1, 1, 0.05)),
        new("firmware", "st60", Now.AddMinutes(-30), 1, null, "firmware-hash", "7c1d9e40a2b85f36"), new("firmware", "st60", Now.AddMinutes(-30), 1, null, "region", "EU-25"),
        Reading("gears-in", "st70", Requirement("grease-mass", "Grease dosed", "g", 12.11, 10.8, 13.2, 0.05)),
        Reading("functional-check", "st80", Requirement("drag-forward", "Drag forward", "N·m", 0.204, 0.1, 0.3, 0.005)),
        Reading("functional-check", "st80", Requirement("clutch-lock", "Torque held by the clutch", "N·m", 131.8, 127.5, null, 0.6, safety: true)),
        Reading("leak-check", "st100", Requirement("leak", "Leak", "cm³/min", leak, null, 5, 0.3)),
    ];

    static UnitReading Reading(string step, string station, RequirementReading r) => new(step, station, Now.AddMinutes(-20), 1, r, r.Id, null);

    public static RequirementReading Requirement(string id, string name, string unit, double value, double? lower, double? upper, double u, bool safety = false) =>
        Engineering.Judging.Requirement.Judge(new RequirementLimit { Id = id, Name = name, Unit = unit, Lower = lower, Upper = upper, StandardUncertainty = u, Safety = safety, Origin = "invented" }, value);

    static UnitLoadTest Test(double noLoadSigma, RunVerdict verdict, string captures)
    {
        List<RequirementReading> requirements =
        [
            Requirement("torque-delivered-31.8-75", "Torque delivered at 31.8 N·m, 75 rpm", "N·m", 31.62, 30.21, 33.39, 0.08), Requirement("torque-delivered-50-60", "Torque delivered at 50 N·m, 60 rpm", "N·m", 49.71, 47.5, 52.5, 0.12),
            Requirement("torque-delivered-85-60", "Torque delivered at 85 N·m, 60 rpm", "N·m", 84.4, 80.75, 89.25, 0.2), Requirement("phase-current-limit", "Phase current limit", "A", 35.1, 33.25, 36.75, 0.12),
            Requirement("cut-off-speed", "Speed at which assistance ends", "km/h", 25.06, 22.5, 27.5, 0.08, safety: true), Requirement("stop-response", "Torque gone after pedalling stops", "s", 0.281, null, 0.288, 0.005, safety: true),
            Requirement("quiescent-current", "Quiescent current", "mA", 41.3, null, 60, 0.8), Requirement("torque-sensor-zero", "Torque sensor zero", "N·m", 0.21, -1, 1, 0.05),
        ];
        List<ExpectationReading> expectations =
        [
            Sound("resistance-20", "Phase resistance", "mΩ", 55, 0.92, 0.3), Sound("flux-20", "Flux linkage", "mWb", 7.74, 0.103, -0.2), Sound("rotor-offset", "Rotor offset", "° el.", 0, 1, 0.4), Sound("current-gain", "Current gain", "", 1, 0.0033, -0.7),
            Sound("no-load-75", "No-load power, 75 rpm", "W", 17.2, 0.57, 0.9 * noLoadSigma), Sound("no-load-110", "No-load power, 110 rpm", "W", 27.4, 0.85, 0.74 * noLoadSigma), Sound("no-load-110-end", "No-load power at the end", "W", 26.9, 0.85, 0.72 * noLoadSigma),
            Sound("current-31.8-75", "Current, 31.8 N·m 75 rpm", "A", 12.7, 0.21, 0.11 * noLoadSigma), Sound("power-31.8-75", "Power, 31.8 N·m 75 rpm", "W", 303, 2.6, 0.18 * noLoadSigma), Sound("current-50-60", "Current, 50 N·m 60 rpm", "A", 19.6, 0.31, 0.5), Sound("power-50-60", "Power, 50 N·m 60 rpm", "W", 406, 4.1, 0.8),
            Sound("current-85-60", "Current, 85 N·m 60 rpm", "A", 32.7, 0.5, -0.4), Sound("power-85-60", "Power, 85 N·m 60 rpm", "W", 747, 9, 0.1), Sound("winding-rise", "Winding rise", "K", 12.7, 0.7, 1.1), Sound("controller-rise", "Controller rise", "K", 4.2, 0.4, -0.6),
            Sound("ripple-6", "Torque ripple, 6th order", "N·m", 0.31, 0.05, 0.2), Sound("mesh-1", "Mesh of stage 1", "ln m/s²", -0.4, 0.22, -1.2), Sound("mesh-2", "Mesh of stage 2", "ln m/s²", -1.1, 0.25, 0.9), Sound("rotor-1x", "Rotor once per turn", "ln m/s²", -2.2, 0.3, 2.3), Sound("wheel-tooth", "Impulse once per wheel turn", "ln", 0.2, 0.1, -0.3),
        ];
        var distance = expectations.Sum(e => e.Sigma * e.Sigma);
        return new("rig2", 1, Now.AddMinutes(-11), new LoadTestVerdict(verdict, requirements, expectations, distance, 41.4, 3.6,
            verdict == RunVerdict.Pass ? [] :
            [
                new("motor-drag", "Bearing or rotor drag", 0.62, 8.3, new(6.9, 9.7, 0.95), "mN·m at the rotor", ["stiff-grease"], "Insertion force of station 30: 231 N, usual. Turn the rotor by hand before the gears are out.", "Spin down for 20 s with the gears out; power alone cannot tell motor drag from gear drag."),
                new("stiff-grease", "Grease too stiff", 0.30, 51, new(38, 66, 0.95), "% gear drag", ["motor-drag"], "Grease mass of station 70.", ""), new("unknown", "Something else", 0.06, 0, new(0, 0, 0.95), "", [], "", ""), new("mesh-loss", "Mesh loss", 0.02, 0.4, new(-0.3, 1.1, 0.95), "%", [], "", ""),
            ],
            Windows(), "load test 1.0", verdict == RunVerdict.Pass ? [] : ["The unit came 4 K warmer than the room; readings are corrected, their uncertainty grew by a tenth."]), "",
            [new("9c1f0a5be2d7", "slow", captures, 1_240_000), new("77ab01c2d3e4", "fast", captures, 9_800_000), new("00c4d1aa90be", "vibration", "retired", 4_100_000)], "load test 1.0");
    }

    static ExpectationReading Sound(string id, string name, string unit, double expected, double sd, double sigma) =>
        new(id, name, unit, expected + sigma * sd, expected + sigma * sd, expected, sd, 0.4 * sd, 0.1, sigma, Math.Abs(sigma) > 3.6 ? Verdict.Unusual : Verdict.Usual);

    static List<SteadyPoint> Windows()
    {
        var (windows, t) = (new List<SteadyPoint>(), 0.0);
        foreach (var p in DemoPlan.Plan.Cycle.Points)
        {
            if (p.Id != "rest") windows.Add(new(p.Id, t + 0.55 * p.HoldS, t + 0.95 * p.HoldS, new Dictionary<string, double>(StringComparer.Ordinal)
            {
                ["driveTorqueNm"] = p.TorqueNm, ["busPowerW"] = 16 + p.TorqueNm * p.OutputRpm * 0.128, ["phaseCurrentPeakA"] = 0.4 + 0.38 * p.TorqueNm, ["windingC"] = 25 + 0.15 * t,
            }));
            t += p.HoldS;
        }

        return windows;
    }

    static List<UnitEvent> Events() =>
    [
        .. Route.Take(11).Select((s, i) => new UnitEvent(90_412 + 14 * i, Now.AddMinutes(-47 + 3 * i), "step-done", s.Station, $"{s.Name} passed, {s.Word}.", "p-03")),
        new(90_601, Now.AddMinutes(-9), "judged", "rig2", "Load test judged: hold, no-load 19.6 W. Held: no-load power unusual.", ""),
    ];
}
