using Roadproof.Engineering.Drive;

namespace Roadproof.Engineering.Tests.Properties;

/// <summary>The invented AF-85 mid-drive unit, with the figures that a road load asks for; what it does not ask for is left at zero.</summary>
static class RoadTestUnit
{
    public static readonly DriveUnit Af85 = new()
    {
        Name = "AF-85 mid-drive unit",
        Rating = new() { ContinuousOutputW = 250, MaximumTorqueNm = 85, MaximumOutputW = 620, RatedOutputRpm = 75, AssistanceLimitMps = 25 / 3.6 },
        Supply = new() { NominalV = 48, MinimumV = 39, MaximumV = 54.6, CurrentLimitA = 17.5, SourceResistanceOhm = 0 },
        Motor = new()
        {
            PolePairs = 7, Slots = 12, PhaseResistance20Ohm = 0, ResistancePerK = 0, InductanceDH = 0, InductanceQH = 0, FluxLinkage20Wb = 0, FluxPerK = 0,
            SaturationAtCurrentLimit = 0, RotorInertiaKgM2 = 0, CoulombFrictionNm = 0, ViscousFrictionNmS = 0, IronLossHysteresisWPerHz = 0, IronLossEddyWPerHz2 = 0,
            CoggingPeakToPeakNm = 0, PhaseCurrentLimitPeakA = 0, DeratingStartC = 0, DeratingEndC = 0, MagnetMaximumC = 0,
        },
        Gears = [],
        GearDrag = new() { CoulombNm = 0, ViscousNmS = 0, GreaseMassKg = 0 },
        Inverter = new() { StandingLossW = 0, OnResistanceOhm = 0, SwitchingLossWPerVA = 0, PwmHz = 0 },
        Thermal = new()
        {
            WindingJPerK = 0, StatorJPerK = 0, RotorJPerK = 0, ControllerJPerK = 0, HousingJPerK = 0, WindingStatorKPerW = 0, StatorHousingKPerW = 0, RotorStatorKPerW = 0,
            RotorHousingKPerW = 0, ControllerHousingKPerW = 0, HousingAmbientStillKPerW = 0, HousingAmbientMovingKPerW = 0,
        },
        CrankSide = new() { SealDragNm = 0, MotorClutchOverrunDragNm = 0, CrankClutchOverrunDragNm = 0, ClutchEngageDeg = 0, TorsionStiffnessNmPerRad = 0 },
        TorqueSensor = new() { RangeNm = 0, NoiseRmsNm = 0, NonlinearityShareOfRange = 0, ZeroDriftNmPerK = 0 },
        Seal = new() { FreeVolumeM3 = 0, TestPressurePa = 0, LeakLimitM3PerS = 0 },
        MassKg = 2.9,
    };
}
