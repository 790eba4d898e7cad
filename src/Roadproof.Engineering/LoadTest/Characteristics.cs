using System.Globalization;

namespace Roadproof.Engineering.LoadTest;

/// <summary>Something that a load test measures of a unit.</summary>
/// <param name="Id">As in limits, verdicts and files.</param>
/// <param name="Unit">As written on pages.</param>
public sealed record Characteristic(string Id, string Name, string Unit);

/// <summary>Every characteristic that is expected of sound units, and the names of those that a load test computes beside them.</summary>
public static class Characteristics
{
    public const string Resistance = "resistance-20";
    public const string Flux = "flux-20";
    public const string RotorOffset = "rotor-offset";
    public const string CurrentGain = "current-gain";
    public const string WindingRise = "winding-rise";
    public const string ControllerRise = "controller-rise";
    public const string Ripple = "ripple-6";
    public const string WheelTooth = "wheel-tooth";
    public const string TorqueSensorZero = "torque-sensor-zero";
    public const string SelfStartTorque = "self-start-torque";
    public const string SelfStartSpeed = "self-start-speed";
    public const string PhaseCurrentLimit = "phase-current-limit";
    public const string BusCurrentLimit = "bus-current-limit";

    /// <summary>Expectations that take phase voltages.</summary>
    public static readonly IReadOnlySet<string> OfVoltages = new HashSet<string>(StringComparer.Ordinal) { Resistance, Flux, RotorOffset };

    public static string Current(string point) => "current-" + point;

    public static string Power(string point) => "power-" + point;

    public static string TorqueDelivered(string point) => "torque-delivered-" + point;

    /// <summary>What sound units are expected to read, judged together.</summary>
    public static IReadOnlyList<Characteristic> Expectations(LoadTestPlan plan)
    {
        var list = new List<Characteristic>
        {
            new(Resistance, "Phase resistance at 20 °C", "mΩ"),
            new(Flux, "Flux linkage at 20 °C", "mWb"),
            new(RotorOffset, "Error of the stored rotor angle", "° el."),
            new(CurrentGain, "Reported by true phase current", "1"),
        };
        // The same point again late in the cycle tells a drag that loosens from one that stays.
        list.AddRange(NoLoad(plan).Select((p, i) => new Characteristic(p.Id, $"Power without load at {Rpm(p)}{(NoLoad(plan).Take(i).Any(q => q.OutputRpm == p.OutputRpm) ? ", later" : "")}", "W")));
        list.AddRange(Loaded(plan).Select(p => new Characteristic(Current(p.Id), $"Phase current for {Torque(p)} at {Rpm(p)}", "A")));
        list.AddRange(Loaded(plan).Select(p => new Characteristic(Power(p.Id), $"Bus power for {Torque(p)} at {Rpm(p)}", "W")));
        list.Add(new(WindingRise, "Rise of the winding over the cycle", "K"));
        list.Add(new(ControllerRise, "Rise of the controller over the cycle", "K"));
        list.AddRange(plan.Population.Select(p => OfPopulation(p.Id)));
        return list;
    }

    /// <summary>One that is expected from proven units.</summary>
    public static Characteristic OfPopulation(string id) => PopulationNames.GetValueOrDefault(id) ?? new(id, id, "1");

    public static IEnumerable<LoadPoint> Loaded(LoadTestPlan plan) => plan.Cycle.Points.Where(p => p.TorqueNm > 0);

    public static IEnumerable<LoadPoint> NoLoad(LoadTestPlan plan) => plan.Cycle.Points.Where(p => p.TorqueNm == 0 && p.OutputRpm > 0);

    static readonly Dictionary<string, Characteristic> PopulationNames = new Characteristic[]
    {
        new(Ripple, "Torque ripple, sixth electrical order", "N·m"),
        new("mesh-1", "Vibration at the first mesh", "ln m/s²"),
        new("mesh-2", "Vibration at the second mesh", "ln m/s²"),
        new("rotor-1x", "Vibration once per rotor turn", "ln m/s²"),
        new(WheelTooth, "Blow once per turn of the first wheel", "ln"),
    }.ToDictionary(c => c.Id, StringComparer.Ordinal);

    static string Torque(LoadPoint p) => p.TorqueNm.ToString("0.#", CultureInfo.InvariantCulture) + " N·m";

    static string Rpm(LoadPoint p) => p.OutputRpm.ToString("0.#", CultureInfo.InvariantCulture) + " rpm";
}
