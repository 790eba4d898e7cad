using System.Security.Cryptography;
using System.Text;
using static System.FormattableString;

namespace Roadproof.Tests.Shared;

/// <summary>A curve as a station sends it: its bytes, and the hash that names them.</summary>
sealed record SampleCurve(string Name, byte[] Octets)
{
    public string Sha256 { get; } = Convert.ToHexStringLower(SHA256.HashData(Octets));

    public string Text => Encoding.UTF8.GetString(Octets);
}

/// <summary>Curves drawn from equations, in the form in which stations send them.</summary>
static class SampleCurves
{
    public static readonly IReadOnlyList<int> Crosswise = [1, 5, 3, 7, 2, 6, 4, 8];

    /// <summary>Cover screws in the order given, then the first turned on once more: 600° of run-down at 0.8 N·m, then 0.1 N·m/° up to 5.5 N·m.</summary>
    /// <param name="finalNm">Final torque of a screw by its number, where it is another.</param>
    /// <param name="stripped">The screw whose thread lets go at 4 N·m.</param>
    public static SampleCurve Cover(string item = "", IReadOnlyList<int>? order = null, IReadOnlyDictionary<int, double>? finalNm = null, int stripped = 0, double lossNm = 0.4, bool recheck = true)
    {
        var rows = Head(item, "screw,angle_deg,torque_nm");
        foreach (var n in order ?? Crosswise)
        {
            var final = finalNm?.GetValueOrDefault(n, 5.5) ?? 5.5;
            var top = n == stripped ? 4.0 : final;
            for (var deg = 0.0; deg <= 600 + (top - 0.8) / 0.1 + 1e-9; deg += 0.5) Add(n, deg, 0.8 + 0.1 * Math.Max(0, deg - 600));
            if (n == stripped) for (var k = 1; k <= 100; k++) Add(n, 600 + (top - 0.8) / 0.1 + 0.5 * k, top - 0.032 * k);
            else for (var k = 1; k < 5; k++) Add(n, 600 + (top - 0.8) / 0.1 - 0.5 * k, top * (1 - 0.24 * k));
        }

        if (recheck) for (var a = 0.0; a < 10; a += 0.1) Add((order ?? Crosswise)[0], a, a < 6 ? (5.5 - lossNm) / 6 * a : 5.5 - lossNm + 0.1 * (a - 6));
        return Of("cover", rows);

        // A little of everything that a bench shakes with.
        void Add(int n, double deg, double nm) => rows.Add(Invariant($"{n},{deg:0.00},{nm + 0.004 * Math.Sin(7 * deg + n):0.0000}"));
    }

    /// <summary>A bearing pressed in: touch at 2 mm, 120 N/mm, a seat, 20 kN/mm behind it.</summary>
    public static SampleCurve Press(string item = "", double seatMm = 10, double newtonPerMm = 120, double endMm = 10.12)
    {
        var rows = Head(item, "distance_mm,force_n");
        for (var i = 0; i < 500; i++)
        {
            var x = endMm * i / 499;
            var force = x < 2 ? 0 : 150 + newtonPerMm * (Math.Min(x, seatMm) - 2) + 20_000 * Math.Max(0, x - seatMm);
            rows.Add(Invariant($"{x:0.0000},{force + 4 * Math.Sin(91 * i):0.00}"));
        }

        return Of("bearing-force", rows);
    }

    /// <summary>20 kPa held for so long in 600 cm³ that leak so much, and a wall that warms or cools.</summary>
    public static SampleCurve Leak(string item = "", double cm3PerMin = 1.2, double wallKPerS = 0, double forS = 30)
    {
        var rows = Head(item, "time_s,gauge_pressure_pa,part_c,room_c");
        for (var i = 0; i <= 10 * forS; i++)
        {
            var t = 0.1 * i;
            var wallK = 295.15 + wallKPerS * t;
            var lost = cm3PerMin / 60e6 * t * 101_325 / 293.15;
            var pressure = (121_325 * 6e-4 / 295.15 - lost) * wallK / 6e-4 - 101_325;
            rows.Add(Invariant($"{t:0.0},{pressure + 2 * Math.Sin(91 * i):0.00},{wallK - 273.15 + 0.01 * Math.Sin(57 * i):0.0000},22"));
        }

        return Of("leak", rows);
    }

    /// <summary>An AF-85 turned at 60 °/s: torques as docs/methods/functional-check.md tells them, and what may be wrong.</summary>
    public static SampleCurve Functional(string item = "", double forward = 0.20, double backward = 0.17, double driven = 1.49, double rampNm = 140, double degPerS = 60, double sensor = 0.1, bool phases = true)
    {
        var (rows, t, row) = (Head(item, $"time_s,section,angle_deg,torque_nm,sensor_torque_nm,part_c,messages_missed{(phases ? ",phase_current_u_a,phase_current_v_a,phase_current_w_a" : "")}"), 0.0, 0);
        Turn(1, 1, _ => forward);
        Turn(2, -1, _ => backward);
        Turn(3, -1, deg => deg < 4 ? 0.02 : driven);
        for (var nm = 0.0; nm <= rampNm; nm += 0.5) Add(4, -nm / 6500 * 180 / Math.PI, -nm);
        Turn(5, 1, _ => 0.13);
        for (var i = 0; i < 200; i++) Add(6, 0, 0);
        return Of("functional", rows);

        void Turn(int section, int way, Func<double, double> torque)
        {
            for (var deg = 0.0; deg < 420; deg += 0.5) Add(section, way * deg, way * torque(deg));
        }

        void Add(int section, double deg, double nm)
        {
            (t, row) = (t + 0.5 / degPerS, row + 1);
            double Phase(double lag) => section < 6 ? 0 : 5 * Math.Cos(0.1 * row - lag);
            rows.Add(Invariant($"{t:0.00000},{section},{deg:0.000},{nm + 0.003 * Math.Sin(37 * row):0.0000},{sensor + 0.05 * Math.Sin(91 * row):0.000},20,0") + (phases ? Invariant($",{Phase(0):0.000},{Phase(2.0944):0.000},{Phase(-2.0944):0.000}") : ""));
        }
    }

    static List<string> Head(string item, string titles) => item.Length == 0 ? [titles] : [$"# item: {item}", titles];

    static SampleCurve Of(string name, List<string> rows) => new(name, Encoding.UTF8.GetBytes(string.Join('\n', rows) + "\n"));
}
