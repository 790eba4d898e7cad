using System.Globalization;
using Roadproof.Engineering.Drive;
using Roadproof.Engineering.LoadTest;

namespace Roadproof.Records.Definitions;

/// <summary>What a load test can be asked for: the characteristics it computes from a cycle, and the channels it needs for them.</summary>
public static class LoadTestCharacteristics
{
    /// <summary>A characteristic that a requirement may limit.</summary>
    /// <param name="Unit">The unit its limits must stand in.</param>
    /// <param name="Safety">A safety function by its nature: it must be marked so.</param>
    public sealed record Limited(string Id, string Unit, bool Safety);

    /// <summary>Every channel that may have a gauge.</summary>
    public static readonly IReadOnlyList<string> Channels =
    [
        "bus_voltage_v", "bus_current_a",
        "phase_voltage_u_v", "phase_voltage_v_v", "phase_voltage_w_v",
        "phase_current_u_a", "phase_current_v_a", "phase_current_w_a",
        "output_torque_nm", "crank_torque_nm",
        "motor_speed_rad_s", "output_speed_rad_s", "crank_speed_rad_s", "wheel_speed_rad_s",
        "winding_c", "controller_c", "shell_c", "ambient_c",
        "reported_phase_current_a", "reported_torque_nm", "vibration_m_s2", "motor_angle_rad",
    ];

    /// <summary>Channels whose gauges enter the uncertainty of a verdict: those of what the unit has.</summary>
    public static IEnumerable<string> Judged(DriveUnit unit) => Channels.Where(c => c switch
    {
        "crank_torque_nm" or "crank_speed_rad_s" => unit.CrankSide is not null,
        "reported_torque_nm" => unit.TorqueSensor is not null,
        _ => c != "motor_angle_rad",
    });

    /// <summary>What requirements may limit, given the points and functions of its cycle.</summary>
    public static IReadOnlyList<Limited> ForRequirements(LoadTestPlan plan)
    {
        var cycle = plan.Cycle;
        var delivered = cycle.Points.Where(p => p.TorqueNm > 0).Select(p => new Limited($"torque-delivered-{p.Id}", "N·m", Safety: false));
        // Nobody pedals a unit without a crank: a stop of pedalling is refused where it stands.
        var functions = cycle.Functions.Where(f => !(plan.Unit.SitsInWheel && f.Kind == FunctionTestKind.StopPedalling)).SelectMany(f => Of(f.Kind));
        var atRest = plan.Unit.TorqueSensor is null ? [] : (Limited[])[new("torque-sensor-zero", "N·m", Safety: false)];
        return [.. delivered, .. functions, .. atRest];
    }

    /// <summary>What has no model from first principles and is expected from proven units, given the number of gear stages.</summary>
    public static IReadOnlyList<string> FromPopulation(int gearStages) =>
        ["ripple-6", .. Enumerable.Range(1, gearStages).Select(n => string.Create(CultureInfo.InvariantCulture, $"mesh-{n}")), "rotor-1x", "wheel-tooth"];

    static IEnumerable<Limited> Of(FunctionTestKind kind) => kind switch
    {
        FunctionTestKind.StopPedalling => [new("stop-response", "s", Safety: true)],
        FunctionTestKind.Brake => [new("brake-response", "s", Safety: true)],
        FunctionTestKind.CutOff => [new("cut-off-speed", "km/h", Safety: true)],
        FunctionTestKind.WalkAssist => [new("walk-speed", "km/h", Safety: true), new("walk-release", "s", Safety: true)],
        FunctionTestKind.CurrentLimit => [new("phase-current-limit", "A", Safety: false), new("bus-current-limit", "A", Safety: false)],
        FunctionTestKind.Quiescent => [new("quiescent-current", "mA", Safety: false)],
        FunctionTestKind.SelfStart => [new(Characteristics.SelfStartTorque, "N·m", Safety: true), new(Characteristics.SelfStartSpeed, "rad/s", Safety: true)],
        _ => throw new InvalidOperationException($"Bug in Roadproof: function test {kind} has no characteristics."),
    };
}
