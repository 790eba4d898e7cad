using Roadproof.Engineering.Drive;
using Roadproof.Engineering.LoadTest;

namespace Roadproof.Plant.Tests;

/// <summary>The AF-85 mid-drive unit and its load test, built by hand. Values: the fictional mid-drive parameter set of the trade notes (invented, self-consistent).</summary>
public static class Fixtures
{
    public static readonly DriveUnit Unit = new()
    {
        Name = "AF-85 mid-drive unit",
        Supply = new() { NominalV = 48, MaximumV = 54.6, MinimumV = 39, CurrentLimitA = 17.5, SourceResistanceOhm = 0.11 },
        Rating = new() { ContinuousOutputW = 250, MaximumTorqueNm = 85, MaximumOutputW = 620, RatedOutputRpm = 75, AssistanceLimitMps = 25 / 3.6 },
        Motor = new()
        {
            PolePairs = 7, Slots = 12, PhaseResistance20Ohm = 0.055, ResistancePerK = 0.00393, InductanceDH = 110e-6, InductanceQH = 135e-6,
            FluxLinkage20Wb = 7.74e-3, FluxPerK = -0.0011, SaturationAtCurrentLimit = 0.03, RotorInertiaKgM2 = 1.2e-4,
            CoulombFrictionNm = 0.008, ViscousFrictionNmS = 1e-5, IronLossHysteresisWPerHz = 0.012, IronLossEddyWPerHz2 = 3e-5,
            CoggingPeakToPeakNm = 0.02, PhaseCurrentLimitPeakA = 35, DeratingStartC = 110, DeratingEndC = 140, MagnetMaximumC = 130,
        },
        Gears =
        [
            new() { PinionTeeth = 12, WheelTeeth = 83, NormalModuleM = 0.8e-3, HelixDeg = 20, FaceWidthM = 14e-3, MeshEfficiency = 0.965, Pinion = "steel", Wheel = "polyamide on steel hub" },
            new() { PinionTeeth = 13, WheelTeeth = 68, NormalModuleM = 1.25e-3, HelixDeg = 0, FaceWidthM = 14e-3, MeshEfficiency = 0.975, Pinion = "hardened steel", Wheel = "hardened steel" },
        ],
        GearDrag = new() { CoulombNm = 0.012, ViscousNmS = 1.5e-5, GreaseMassKg = 0.012 },
        Inverter = new() { StandingLossW = 2.5, OnResistanceOhm = 0.005, SwitchingLossWPerVA = 0.006, PwmHz = 20_000 },
        Thermal = new()
        {
            WindingJPerK = 85, StatorJPerK = 276, RotorJPerK = 160, ControllerJPerK = 120, HousingJPerK = 1170,
            WindingStatorKPerW = 0.45, StatorHousingKPerW = 0.35, RotorStatorKPerW = 2.5, RotorHousingKPerW = 4, ControllerHousingKPerW = 0.6,
            HousingAmbientStillKPerW = 0.9, HousingAmbientMovingKPerW = 0.4,
        },
        CrankSide = new() { SealDragNm = 0.12, MotorClutchOverrunDragNm = 0.08, CrankClutchOverrunDragNm = 0.05, ClutchEngageDeg = 4, TorsionStiffnessNmPerRad = 6500 },
        TorqueSensor = new() { RangeNm = 120, NoiseRmsNm = 0.1, NonlinearityShareOfRange = 0.015, ZeroDriftNmPerK = 0.02 },
        Seal = new() { FreeVolumeM3 = 6e-4, TestPressurePa = 2e4, LeakLimitM3PerS = 5e-6 / 60 },
        MassKg = 2.9,
    };

    public static readonly LoadTestPlan Plan = new()
    {
        Unit = Unit,
        Tolerances = new()
        {
            FluxShare = 0.04, ResistanceShare = 0.05, MotorDragNm = 0.004, GearDragShare = 0.25, MeshShare = 0.009,
            RotorOffsetDeg = 3, CurrentGainShare = 0.01, TorqueSensorZeroNm = 0.6,
        },
        Cycle = new()
        {
            Id = "af-85-90s",
            Points =
            [
                Point("no-load-75", 0, 75, 12, 8, 3), Point("no-load-110", 0, 110, 6, 3, 2.5), Point("10-90", 10, 90, 8, 5, 2),
                Point("31.8-75", 31.8, 75, 20, 16, 3), Point("50-60", 50, 60, 12, 8.5, 3), Point("85-60", 85, 60, 8, 4.5, 2.5),
                Point("85-30", 85, 30, 4, 1.7, 2.05), Point("45-100", 45, 100, 8, 5, 2), Point("no-load-110-end", 0, 110, 6, 4, 0),
                Point("rest", 0, 0, 6, 0, 0),
            ],
            Functions =
            [
                Test(FunctionTestKind.StopPedalling, 3, 1.5), Test(FunctionTestKind.Brake, 3, 1.5), Test(FunctionTestKind.CutOff, 5, 0.5),
                Test(FunctionTestKind.WalkAssist, 4, 0.3), Test(FunctionTestKind.CurrentLimit, 3, 0.8), Test(FunctionTestKind.Quiescent, 2, 0),
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
                Gauge("reported_phase_current_a", 0, 0, 0.1, inUnit: true), Gauge("reported_torque_nm", 0, 0, 0.1, inUnit: true),
                Gauge("vibration_m_s2", 0.02, 0, 0.3),
            ],
        },
        Requirements = [],
        Population = [],
        WheelRadiusM = 0.35,
    };

    /// <summary>The same plan with instruments that make no noise and no error.</summary>
    public static readonly LoadTestPlan Noiseless = Plan with
    {
        Gauges = new() { Gauges = [.. Plan.Gauges.Gauges.Select(g => g with { GainShare = 0, Zero = 0, NoiseRms = 0 })] },
    };

    static LoadPoint Point(string id, double torqueNm, double outputRpm, double holdS, double fromS, double forS) =>
        new() { Id = id, TorqueNm = torqueNm, OutputRpm = outputRpm, HoldS = holdS, WindowFromS = fromS, WindowForS = forS };

    static FunctionTest Test(FunctionTestKind kind, double holdS, double eventAtS) => new() { Kind = kind, HoldS = holdS, EventAtS = eventAtS };

    static Gauge Gauge(string channel, double gainShare, double zero, double noiseRms, bool inUnit = false) =>
        new() { Channel = channel, GainShare = gainShare, Zero = zero, NoiseRms = noiseRms, InUnit = inUnit };
}
