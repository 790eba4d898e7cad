using Roadproof.Engineering.Drive;

namespace Roadproof.Engineering.Tests.Fixtures;

/// <summary>The invented 36 V geared hub motor that the checks were printed for: 250 W, 40 N·m, one star stage with fixed planets. It has no crank.</summary>
public static class GearedHub
{
    public static readonly DriveUnit Unit = MidDrive.Unit with
    {
        Name = "AF-40 geared hub motor",
        Supply = new() { NominalV = 36, MaximumV = 42, MinimumV = 30, CurrentLimitA = 16, SourceResistanceOhm = 0.11 },
        Rating = new() { ContinuousOutputW = 250, MaximumTorqueNm = 40, MaximumOutputW = 335, RatedOutputRpm = 190, AssistanceLimitMps = 25 / 3.6 },
        Motor = new()
        {
            PolePairs = 10, Slots = 18,
            PhaseResistance20Ohm = 0.065, ResistancePerK = 0.00393,
            InductanceDH = 220e-6, InductanceQH = 220e-6,
            FluxLinkage20Wb = 18.2e-3, FluxPerK = -0.0011, SaturationAtCurrentLimit = 0.05,
            RotorInertiaKgM2 = 1.6e-3, CoulombFrictionNm = 0.04, ViscousFrictionNmS = 1e-4,
            IronLossHysteresisWPerHz = 0.025, IronLossEddyWPerHz2 = 1e-4,
            CoggingPeakToPeakNm = 0.06, PhaseCurrentLimitPeakA = 42,
            DeratingStartC = 105, DeratingEndC = 130, MagnetMaximumC = 110,
        },
        Gears =
        [
            new() { PinionTeeth = 17, PlanetTeeth = 31, Planets = 3, WheelTeeth = 79, NormalModuleM = 1e-3, HelixDeg = 15, FaceWidthM = 0.016, MeshEfficiency = 0.955, Pinion = "steel sun", Wheel = "steel ring, polyamide planets" },
        ],
        GearDrag = new() { CoulombNm = 0.05, ViscousNmS = 1.5e-4, GreaseMassKg = 0.02 },
        Inverter = new() { StandingLossW = 2, OnResistanceOhm = 0.007, SwitchingLossWPerVA = 0.006, PwmHz = 16_000 },
        Thermal = new()
        {
            WindingJPerK = 150, StatorJPerK = 500, RotorJPerK = 320, ControllerJPerK = 100, HousingJPerK = 900,
            WindingStatorKPerW = 0.25, StatorHousingKPerW = 1.1, RotorStatorKPerW = 1.8, RotorHousingKPerW = 1.2,
            ControllerHousingKPerW = 8, ControllerAmbientKPerW = 2, HousingAmbientStillKPerW = 0.55, HousingAmbientMovingKPerW = 0.24,
        },
        CrankSide = null,
        TorqueSensor = null,
        Seal = new() { FreeVolumeM3 = 3e-4, TestPressurePa = 1e4, LeakLimitM3PerS = 5e-6 / 60 },
        MassKg = 2.8,
    };
}
