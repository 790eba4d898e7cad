using Roadproof.Records.ReadModel;

namespace Roadproof.App.Tests.Pages;

/// <summary>Invented views of a line and its stations, for the pages only.</summary>
static class SampleLines
{
    static DateTimeOffset Now => SampleUnits.Now;

    static readonly double[] Beats = [36, 51, 46, 50, 59, 55, 56, 41, 61, 55, 0, 22, 38, 41];

    public static LineView Busy => View(
        [.. SampleUnits.Route.SelectMany((s, i) => s.Step == "load-test"
            ? new[] { Rig(1, "running", "SH-0001886", 71), Rig(2, "hold", "SH-0001842", 90), Rig(3, "running", "SH-0001888", 12) }
            : [Station(i, i switch { 5 or 12 => "waiting", 8 => "fail", 9 => "undecided", _ => "running" }, i == 8 ? 4 : i % 3)])],
        new(248, 231, 14, 0.948, 0.911, 0.970, 236, 64, 9, [new("Rotor lot RT-0712 is on hold", 5), new("Leak within the guard band: 4.7 cm³/min, limit 5", 3), new("Load test: no-load power unusual", 1)], 4, 2),
        Notes);

    /// <summary>Before the first shell of the day.</summary>
    public static LineView Empty => View(
        [.. SampleUnits.Route.SelectMany((s, i) => s.Step == "load-test" ? new[] { 1, 2, 3 }.Select(r => Bare($"rig{r}", i, $"Rig {r}")) : [Bare(s.Station, i, s.Name)])],
        new(0, 0, 0, null, null, null, 0, null, 0, [], 0, 0), []);

    /// <summary>A bad day: 400 units on hold, each for a reason of its own.</summary>
    public static LineView Huge => Busy with
    {
        Figures = Busy.Figures with { OnHold = 400, Holds = [.. Enumerable.Range(1, 400).Select(i => new HoldGroup($"Reason number {i}", 1))] },
        Notes = [.. Enumerable.Range(1, 400).Select(i => new Note("unit-hold", 70, $"Unit SH-{i:0000000} is on hold. Reason number {i}", "A person releases it with a reason, sends it back or scraps it.", null, $"SH-{i:0000000}", null, Now.AddMinutes(-i), "Decide on the unit", $"/units/SH-{i:0000000}"))],
    };

    static List<Note> Notes =>
    [
        new("lot-shift", 90, "Rotor lot RT-0712 reads 3.1 % low in flux linkage", "41 units on 3 rigs; each may pass, together they differ. Not told apart from stator lot ST-0419: the same units have them.", null, null, "RT-0712", Now.AddMinutes(-38), "Hold the lot", "/lots/RT-0712"),
        new("refusal", 85, "st90 was refused: this unit needs a passed functional check", "Take SH-0001891 back to station 80.", "st90", "SH-0001891", null, Now.AddSeconds(-74), "See the station", "/stations/st90"),
        new("unit-hold", 70, "Unit SH-0001842 is on hold. Load test: no-load power unusual", "A person releases it with a reason, sends it back or scraps it.", null, "SH-0001842", null, Now.AddMinutes(-9), "Decide on the unit", "/units/SH-0001842"),
        new("unit-hold", 70, "3 units are on hold. Leak within the guard band: 4.7 cm³/min, limit 5", "SH-0001870, SH-0001877, SH-0001889.", "st100", null, null, Now.AddMinutes(-140), "Decide on the units", "/units?state=held"),
        new("lot-expiry", 40, "Grease lot GR-205 expires on 25 Nov 13:10", "62 left of it.", "st70", null, "GR-205", Now.AddHours(-4), "See the lot", "/lots/GR-205"),
    ];

    public static LineView View(IReadOnlyList<StationState> stations, LineFigures figures, IReadOnlyList<Note> notes) =>
        new("Alderfen Works", "Line 1", "AF-85 mid-drive unit", Now, 57, 400, stations, figures, notes, 90_612, "7be140c9f2a1d0875521");

    static StationState Station(int i, string state, int waiting)
    {
        var (step, number, name, station, word) = SampleUnits.Route[i];
        var busy = state != "waiting";
        return new(station, number, name, step, state, busy ? $"SH-{1907 - 2 * i:0000000}" : null, Now.AddSeconds(busy ? -(11 + 7 * i % 43) : -95), Beats[i], Beats[i] + 2, waiting, 240 - i, word);
    }

    static StationState Rig(int rig, string state, string unit, double sinceS) => new($"rig{rig}", 110, $"Rig {rig}", "load-test", state, unit, Now.AddSeconds(-sinceS), 192, 190, 1, 77, "no-load 19.6 W");

    static StationState Bare(string id, int i, string name) => new(id, SampleUnits.Route[i].Number, name, SampleUnits.Route[i].Step, "waiting", null, null, null, null, 0, 0, "");

    public static UnitListView Units => new(1_248, [.. Enumerable.Range(0, 18).Select(i => new UnitLine($"SH-{1907 - i:0000000}", i % 5 == 4 ? $"AF856K0421{i:00}W" : null,
        i switch { 3 => "held", 7 => "scrapped", _ when i % 5 == 4 => "shipped", 10 => "passed", _ => "building" }, "st70", "gears-in",
        i switch { 3 => "Load test: no-load power unusual", 7 => "tooth-root crack found after the load test", _ when i % 5 == 4 => "Tarnbeck Cycles", _ => $"st{10 * (i + 1)}" }, Now.AddMinutes(-i), i % 5 == 4 ? Now : null))]);

    public static StationView Gears => new("st70", 70, "Gears, clutches, shafts", "gears-in", "Set the gear set and the clutch, dose the grease, close the circlips, turn once by hand.", "AF-85 mid-drive unit", 57, "SH-0001898", Now.AddSeconds(-31),
        [
            new("part", "gear-set", "Scan the gear set", "It must read ratio 36.18.", "", null, null, 1, false), new("part", "clutch", "Scan the clutch tray", "", "", null, null, 1, false),
            new("part", "grease", "Scan the grease drum", "An open drum lasts 72 h.", "", null, null, 1, false), new("reading", "grease-mass", "Grease dosed", "", "g", 10.8, 13.2, 1, false),
        ],
        ["SH-0001900", "SH-0001902"], null, 182, 56, "");

    public static StationView Refused => Gears with { LastRefusal = new(Now.AddSeconds(-4), "SH-0001898", "Wrong gear set", "Put tray GS-27-0418 in the return rack, take one marked 36.18 and scan it.", "ratio 36.18", "ratio 33.9") };

    public static StationView Rotor => Gears with
    {
        Station = "st30", Number = 30, Name = "Rotor guide", Step = "rotor-in", Caution = "Strong magnets pull suddenly and crush fingers. Keep steel tools, watches and cards away; people with a pacemaker do not work here.",
        Needs = [new("part", "rotor", "Scan the rotor", "Leave it in its sleeve until the guide has it.", "", null, null, 1, true), new("reading", "insertion-force", "Largest insertion force", "", "N", 100, 400, 1, false)],
    };

    public static StationView Screws => Gears with
    {
        Station = "st40", Number = 40, Name = "Carrier screws", Step = "carrier-screws", Instruction = "Set six screws and follow the light.",
        Needs = [new("part", "carrier-screw", "Scan the screw tray", "", "", null, null, 1, false), new("screws", "carrier", "Tighten the six carrier screws", "", "N·m", 2.7, 3.3, 6, false)],
    };

    public static StationView Free => Rotor with { Unit = null, BeganAt = null, Next = ["SH-0001903", "SH-0001904", "SH-0001905", "SH-0001906"] };
}
