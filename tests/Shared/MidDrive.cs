using Roadproof.Engineering.Drive;

namespace Roadproof.Tests.Shared;

/// <summary>The invented 48 V mid-drive unit that the checks of the drive model were printed for: 250 W, 85 N·m, two stages.</summary>
static class MidDrive
{
    public const double RadPerSPerRpm = Math.PI / 30;

    public static readonly DriveUnit Unit = new()
    {
        Name = "AF-85 mid-drive unit",
        Supply = new() { NominalV = 48, MaximumV = 54.6, MinimumV = 39, CurrentLimitA = 17.5, SourceResistanceOhm = 0.11 },
        Rating = new() { ContinuousOutputW = 250, MaximumTorqueNm = 85, MaximumOutputW = 620, RatedOutputRpm = 75, AssistanceLimitMps = 25 / 3.6 },
        Motor = new()
        {
            PolePairs = 7, Slots = 12,
            PhaseResistance20Ohm = 0.055, ResistancePerK = 0.00393,
            InductanceDH = 110e-6, InductanceQH = 135e-6,
            FluxLinkage20Wb = 7.74e-3, FluxPerK = -0.0011, SaturationAtCurrentLimit = 0.03,
            RotorInertiaKgM2 = 1.2e-4, CoulombFrictionNm = 0.008, ViscousFrictionNmS = 1e-5,
            IronLossHysteresisWPerHz = 0.012, IronLossEddyWPerHz2 = 3e-5,
            CoggingPeakToPeakNm = 0.02, PhaseCurrentLimitPeakA = 35,
            DeratingStartC = 110, DeratingEndC = 140, MagnetMaximumC = 130,
        },
        Gears =
        [
            new() { PinionTeeth = 12, WheelTeeth = 83, NormalModuleM = 0.8e-3, HelixDeg = 20, FaceWidthM = 0.014, MeshEfficiency = 0.965, Pinion = "steel, cut on the rotor shaft", Wheel = "polyamide on a steel hub" },
            new() { PinionTeeth = 13, WheelTeeth = 68, NormalModuleM = 1.25e-3, HelixDeg = 0, FaceWidthM = 0.014, MeshEfficiency = 0.975, Pinion = "hardened steel", Wheel = "hardened steel" },
        ],
        GearDrag = new() { CoulombNm = 0.012, ViscousNmS = 1.5e-5, GreaseMassKg = 0.012, TemperaturePerK = -0.01 },
        Inverter = new() { StandingLossW = 2.5, OnResistanceOhm = 0.005, SwitchingLossWPerVA = 0.006, PwmHz = 20_000 },
        Thermal = new()
        {
            WindingJPerK = 85, StatorJPerK = 276, RotorJPerK = 160, ControllerJPerK = 120, HousingJPerK = 1170,
            WindingStatorKPerW = 0.45, StatorHousingKPerW = 0.35, RotorStatorKPerW = 2.5, RotorHousingKPerW = 4,
            ControllerHousingKPerW = 0.6, HousingAmbientStillKPerW = 0.9, HousingAmbientMovingKPerW = 0.4,
        },
        CrankSide = new() { SealDragNm = 0.12, MotorClutchOverrunDragNm = 0.08, CrankClutchOverrunDragNm = 0.05, ClutchEngageDeg = 4, TorsionStiffnessNmPerRad = 6500 },
        TorqueSensor = new() { RangeNm = 120, NoiseRmsNm = 0.1, NonlinearityShareOfRange = 0.015, ZeroDriftNmPerK = 0.02 },
        Seal = new() { FreeVolumeM3 = 6e-4, TestPressurePa = 2e4, LeakLimitM3PerS = 5e-6 / 60 },
        MassKg = 2.9,
    };
}
