using Roadproof.Engineering.Judging;
using Roadproof.Engineering.LoadTest;

namespace Roadproof.Tests.Shared;

/// <summary>A load-test plan of the invented mid-drive unit: 90 s cycle, gauges and tolerances of common practice, no source.</summary>
static class DemoPlan
{
    public static readonly LoadTestPlan Plan = new()
    {
        Unit = MidDrive.Unit,
        Tolerances = new()
        {
            FluxShare = 0.04, ResistanceShare = 0.05, MotorDragNm = 0.004, GearDragShare = 0.25, MeshShare = 0.009,
            RotorOffsetDeg = 3, CurrentGainShare = 0.01, TorqueSensorZeroNm = 0.6,
        },
        Cycle = new()
        {
            Id = "short-90",
            Points =
            [
                Point("no-load-75", 0, 75, 12, 8, 3), Point("no-load-110", 0, 110, 6, 3, 2.5), Point("10-90", 10, 90, 8, 5, 2), Point("31.8-75", 31.8, 75, 20, 16, 3),
                Point("50-60", 50, 60, 12, 8.5, 3), Point("85-60", 85, 60, 8, 4.5, 2.5), Point("85-30", 85, 30, 4, 1.7, 2.05), Point("45-100", 45, 100, 8, 5, 2),
                Point("no-load-110-end", 0, 110, 6, 4, 0), Point("rest", 0, 0, 6, 0, 0),
            ],
            Functions =
            [
                Function(FunctionTestKind.StopPedalling, 3, 1.5), Function(FunctionTestKind.Brake, 3, 1.5), Function(FunctionTestKind.CutOff, 5, 0.5),
                Function(FunctionTestKind.WalkAssist, 4, 0.3), Function(FunctionTestKind.CurrentLimit, 3, 0.8), Function(FunctionTestKind.Quiescent, 2, 0),
            ],
            CrankTorqueNm = 8,
            CrankPulsationShare = 0.75,
        },
        Gauges = new()
        {
            Gauges =
            [
                Gauge("bus_voltage_v", 0.0005, 0.005, 0.05), Gauge("bus_current_a", 0.001, 0.003, 0.02),
                Gauge("phase_voltage_u_v", 0.001, 0.005, 0.15), Gauge("phase_voltage_v_v", 0.001, 0.005, 0.15), Gauge("phase_voltage_w_v", 0.001, 0.005, 0.15),
                Gauge("phase_current_u_a", 0.002, 0.02, 0.1), Gauge("phase_current_v_a", 0.002, 0.02, 0.1), Gauge("phase_current_w_a", 0.002, 0.02, 0.1),
                Gauge("output_torque_nm", 0.0015, 0.03, 0.4), Gauge("crank_torque_nm", 0.002, 0.02, 0.2),
                Gauge("motor_speed_rad_s", 0.0002, 0, 0.2), Gauge("output_speed_rad_s", 0.0002, 0, 0.01), Gauge("crank_speed_rad_s", 0.0002, 0, 0.01),
                Gauge("wheel_speed_rad_s", 0.001, 0, 0.02),
                Gauge("winding_c", 0, 0.7, 0.05, inUnit: true), Gauge("controller_c", 0, 0.7, 0.05, inUnit: true), Gauge("shell_c", 0, 0.5, 0.05), Gauge("ambient_c", 0, 0.3, 0.05),
                Gauge("reported_phase_current_a", 0, 0, 0.1, inUnit: true), Gauge("reported_torque_nm", 0, 0, 0.1, inUnit: true), Gauge("vibration_m_s2", 0.02, 0, 0.3),
            ],
        },
        Requirements =
        [
            Share("torque-delivered-31.8-75", 31.8), Share("torque-delivered-50-60", 50), Share("torque-delivered-85-60", 85), Share("torque-delivered-85-30", 85), Share("torque-delivered-45-100", 45),
            Share("phase-current-limit", 35, "A"), Share("bus-current-limit", 17.5, "A"),
            new() { Id = "cut-off-speed", Name = "Cut-off speed", Unit = "km/h", Lower = 22.5, Upper = 27.5, Safety = true, Origin = "test" },
            new() { Id = "quiescent-current", Name = "Quiescent current", Unit = "mA", Upper = 60, Origin = "test" },
            new() { Id = "stop-response", Name = "Torque gone after pedalling stops", Unit = "s", Upper = 0.288, Safety = true, Origin = "test" },
            new() { Id = "brake-response", Name = "Torque gone after the brake is pulled", Unit = "s", Upper = 0.288, Safety = true, Origin = "test" },
            new() { Id = "walk-speed", Name = "Walk assistance speed", Unit = "km/h", Upper = 6, Safety = true, Origin = "test" },
            new() { Id = "walk-release", Name = "Torque gone after walk assistance", Unit = "s", Upper = 0.5, Safety = true, Origin = "test" },
            new() { Id = "torque-sensor-zero", Name = "Crank torque sensor at no torque", Unit = "N·m", Lower = -1, Upper = 1, Origin = "test" },
        ],
        Population =
        [
            Of("ripple-6", 0.435, 0.055), Of("mesh-1", 0.20, 0.16), Of("mesh-2", -0.72, 0.18), Of("rotor-1x", -1.37, 0.21), Of("wheel-tooth", 0.34, 0.075),
        ],
        WheelRadiusM = 0.347,
    };

    static LoadPoint Point(string id, double torqueNm, double rpm, double holdS, double windowFromS, double windowForS) =>
        new() { Id = id, TorqueNm = torqueNm, OutputRpm = rpm, HoldS = holdS, WindowFromS = windowFromS, WindowForS = windowForS };

    static FunctionTest Function(FunctionTestKind kind, double holdS, double eventAtS) => new() { Kind = kind, HoldS = holdS, EventAtS = eventAtS };

    static Gauge Gauge(string channel, double gainShare, double zero, double noiseRms, bool inUnit = false) =>
        new() { Channel = channel, GainShare = gainShare, Zero = zero, NoiseRms = noiseRms, InUnit = inUnit };

    static RequirementLimit Share(string id, double nominal, string unit = "N·m") =>
        new() { Id = id, Name = id, Unit = unit, Lower = 0.95 * nominal, Upper = 1.05 * nominal, Origin = "test" };

    static PopulationExpectation Of(string id, double mean, double sd) => new() { Id = id, Mean = mean, StandardDeviation = sd, Origin = "test" };
}
