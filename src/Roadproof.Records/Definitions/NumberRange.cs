using System.Globalization;
using System.Reflection;
using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Judging;
using Roadproof.Engineering.Life;
using Roadproof.Engineering.LoadTest;
using Roadproof.Engineering.LoadTest.Rigs;
using Roadproof.Engineering.Road;

namespace Roadproof.Records.Definitions;

/// <summary>What a number in a definition can be at all, and its unit. Wide enough for every drive unit of a bicycle, narrow enough to catch a slip of the unit (55 for mΩ).</summary>
/// <remarks>The edges are plausibility by common practice, no source; what the law or a customer asks stands in requirement limits.</remarks>
public sealed record NumberRange(double Least, double Most, string Unit, bool LeastExcluded = false)
{
    static NumberRange From(double least, double most, string unit = "") => new(least, most, unit);
    static NumberRange Above(double least, double most, string unit = "") => new(least, most, unit, LeastExcluded: true);
    static readonly NumberRange AnyValue = new(-1e9, 1e9, "");
    static readonly NumberRange Uncertainty = new(0, 1e9, "");

    static readonly Dictionary<string, NumberRange> Known = new(StudyRanges.All, StringComparer.Ordinal)
    {
        [On<LineDefinition>(nameof(LineDefinition.TaktS))] = Above(0, 86_400, "s"),
        [On<LineDefinition>(nameof(LineDefinition.DueToday))] = From(0, 100_000),
        [On<PlantFile>(nameof(PlantFile.KeepPassedCaptures))] = From(0, 10_000_000),
        [On<PlantFile>(nameof(PlantFile.KeepStoppedCaptures))] = From(0, 10_000_000),
        [On<RouteStep>(nameof(RouteStep.Number))] = From(1, 9_999),
        [On<ProductDefinition>(nameof(ProductDefinition.RepairsAtMost))] = From(0, 10),
        [On<PartDefinition>(nameof(PartDefinition.OpenH))] = Above(0, 17_520, "h"),
        [On<RouteStep>(nameof(RouteStep.RetestsAtMost))] = From(0, 10),
        [On<RouteStep>(nameof(RouteStep.CoolDownS))] = Above(0, 86_400, "s"),
        [On<RouteStep>(nameof(RouteStep.CoolDownK))] = Above(0, 100, "K"),
        [On<RouteStep>(nameof(RouteStep.WorkS))] = Above(0, 86_400, "s"),
        [On<StepReading>(nameof(StepReading.Lower))] = AnyValue,
        [On<StepReading>(nameof(StepReading.Upper))] = AnyValue,
        [On<StepReading>(nameof(StepReading.StandardUncertainty))] = Uncertainty,
        [On<StepReading>(nameof(StepReading.GuardFactor))] = From(0, 5),
        [On<StepReading>(nameof(StepReading.UsualSpread))] = Uncertainty,
        [On<StepReading>(nameof(StepReading.UsualValue))] = AnyValue,
        [On<ScrewGroup>(nameof(ScrewGroup.Count))] = From(1, 100),
        [On<ScrewGroup>(nameof(ScrewGroup.TorqueLowerNm))] = Above(0, 500, "N·m"),
        [On<ScrewGroup>(nameof(ScrewGroup.TorqueUpperNm))] = Above(0, 500, "N·m"),
        [On<ScrewGroup>(nameof(ScrewGroup.AngleLowerDeg))] = From(0, 7_200, "°"),
        [On<ScrewGroup>(nameof(ScrewGroup.AngleUpperDeg))] = From(0, 7_200, "°"),
        [On<ScrewGroup>(nameof(ScrewGroup.StandardUncertaintyNm))] = Above(0, 50, "N·m"),
        [On<TighteningPlan>(nameof(TighteningPlan.StandardUncertaintyDeg))] = From(0, 90, "°"),
        [On<TighteningPlan>(nameof(TighteningPlan.AngleFromNm))] = Above(0, 500, "N·m"),
        [On<TighteningPlan>(nameof(TighteningPlan.RundownLowerDeg))] = From(0, 36_000, "°"),
        [On<TighteningPlan>(nameof(TighteningPlan.RundownUpperDeg))] = From(0, 36_000, "°"),
        [On<TighteningPlan>(nameof(TighteningPlan.PrevailingLowerNm))] = From(0, 500, "N·m"),
        [On<TighteningPlan>(nameof(TighteningPlan.PrevailingUpperNm))] = From(0, 500, "N·m"),
        [On<TighteningPlan>(nameof(TighteningPlan.SlopeLowerNmPerDeg))] = From(0, 50, "N·m/°"),
        [On<TighteningPlan>(nameof(TighteningPlan.SlopeUpperNmPerDeg))] = From(0, 50, "N·m/°"),
        [On<TighteningPlan>(nameof(TighteningPlan.DiameterMm))] = Above(0.5, 100, "mm"),
        [On<TighteningPlan>(nameof(TighteningPlan.Order))] = From(1, 100),
        [On<PlaceMm>(nameof(PlaceMm.Mm))] = From(-2_000, 2_000, "mm"),
        [On<ScrewPlaces>(nameof(ScrewPlaces.CircleMm))] = Above(1, 2_000, "mm"),
        [On<PressPlan>(nameof(PressPlan.EntryUpperN))] = Above(0, 1_000_000, "N"),
        [On<PressPlan>(nameof(PressPlan.SlopeLowerNPerMm))] = From(-100_000, 1_000_000, "N/mm"),
        [On<PressPlan>(nameof(PressPlan.SlopeUpperNPerMm))] = From(-100_000, 1_000_000, "N/mm"),
        [On<PressPlan>(nameof(PressPlan.PressLowerN))] = From(0, 1_000_000, "N"),
        [On<PressPlan>(nameof(PressPlan.PressUpperN))] = Above(0, 1_000_000, "N"),
        [On<PressPlan>(nameof(PressPlan.SeatLowerMm))] = From(-1_000, 1_000, "mm"),
        [On<PressPlan>(nameof(PressPlan.SeatUpperMm))] = From(-1_000, 1_000, "mm"),
        [On<PressPlan>(nameof(PressPlan.EndLowerMm))] = From(-1_000, 1_000, "mm"),
        [On<PressPlan>(nameof(PressPlan.EndUpperMm))] = From(-1_000, 1_000, "mm"),
        [On<PressPlan>(nameof(PressPlan.SlipUpperN))] = Above(0, 1_000_000, "N"),
        [On<PressPlan>(nameof(PressPlan.ForceUncertaintyShare))] = From(0, 0.2),
        [On<PressPlan>(nameof(PressPlan.DistanceUncertaintyMm))] = From(0, 5, "mm"),
        [On<PressBand>(nameof(PressBand.FromMm))] = From(-1_000, 1_000, "mm"),
        [On<PressBand>(nameof(PressBand.ToMm))] = From(-1_000, 1_000, "mm"),
        [On<PressBand>(nameof(PressBand.LowerN))] = From(-10_000, 1_000_000, "N"),
        [On<PressBand>(nameof(PressBand.UpperN))] = From(-10_000, 1_000_000, "N"),
        [On<FunctionalPlan>(nameof(FunctionalPlan.TurnDegPerS))] = From(5, 720, "°/s"),
        [On<FunctionalPlan>(nameof(FunctionalPlan.RampToNm))] = Above(0, 1_000, "N·m"),
        [On<FunctionalPlan>(nameof(FunctionalPlan.TorqueUncertaintyShare))] = From(0, 0.2),
        [On<FunctionalPlan>(nameof(FunctionalPlan.TorqueZeroUncertaintyNm))] = From(0, 5, "N·m"),
        [On<FunctionalPlan>(nameof(FunctionalPlan.AngleUncertaintyDeg))] = From(0, 10, "°"),
        [On<LeakPlan>(nameof(LeakPlan.VolumeCm3))] = Above(0, 10_000, "cm³"),
        [On<LeakPlan>(nameof(LeakPlan.VolumeUncertaintyCm3))] = From(0, 1_000, "cm³"),
        [On<LeakPlan>(nameof(LeakPlan.TestPressurePa))] = From(-90_000, 200_000, "Pa above the room's"),
        [On<LeakPlan>(nameof(LeakPlan.PressureStepPa))] = From(0, 1_000, "Pa"),
        [On<LeakPlan>(nameof(LeakPlan.LeastS))] = Above(0.5, 600, "s"),

        [On<DriveUnit>(nameof(DriveUnit.MassKg))] = Above(0, 30, "kg"),
        [On<Supply>(nameof(Supply.NominalV))] = Above(0, 120, "V"),
        [On<Supply>(nameof(Supply.MaximumV))] = Above(0, 120, "V"),
        [On<Supply>(nameof(Supply.MinimumV))] = Above(0, 120, "V"),
        [On<Supply>(nameof(Supply.CurrentLimitA))] = Above(0, 200, "A"),
        [On<Supply>(nameof(Supply.SourceResistanceOhm))] = From(0, 5, "Ω"),
        [On<Rating>(nameof(Rating.ContinuousOutputW))] = Above(0, 5_000, "W"),
        [On<Rating>(nameof(Rating.MaximumTorqueNm))] = Above(0, 500, "N·m"),
        [On<Rating>(nameof(Rating.MaximumOutputW))] = Above(0, 10_000, "W"),
        [On<Rating>(nameof(Rating.RatedOutputRpm))] = Above(0, 1_000, "rpm"),
        [On<Rating>(nameof(Rating.AssistanceLimitMps))] = Above(0, 14, "m/s"),
        [On<Motor>(nameof(Motor.PolePairs))] = From(1, 60),
        [On<Motor>(nameof(Motor.Slots))] = From(3, 120),
        [On<Motor>(nameof(Motor.PhaseResistance20Ohm))] = Above(0, 5, "Ω"),
        [On<Motor>(nameof(Motor.ResistancePerK))] = Above(0, 0.01, "1/K"),
        [On<Motor>(nameof(Motor.InductanceDH))] = Above(0, 0.1, "H"),
        [On<Motor>(nameof(Motor.InductanceQH))] = Above(0, 0.1, "H"),
        [On<Motor>(nameof(Motor.FluxLinkage20Wb))] = Above(0, 1, "Wb"),
        [On<Motor>(nameof(Motor.FluxPerK))] = From(-0.01, 0, "1/K"),
        [On<Motor>(nameof(Motor.SaturationAtCurrentLimit))] = From(0, 0.333), // from a third on more current gives less torque below the limit
        [On<Motor>(nameof(Motor.RotorInertiaKgM2))] = Above(0, 0.1, "kg·m²"),
        [On<Motor>(nameof(Motor.CoulombFrictionNm))] = From(0, 5, "N·m"),
        [On<Motor>(nameof(Motor.ViscousFrictionNmS))] = From(0, 0.1, "N·m·s"),
        [On<Motor>(nameof(Motor.IronLossHysteresisWPerHz))] = From(0, 1, "W/Hz"),
        [On<Motor>(nameof(Motor.IronLossEddyWPerHz2))] = From(0, 0.1, "W/Hz²"),
        [On<Motor>(nameof(Motor.CoggingPeakToPeakNm))] = From(0, 5, "N·m"),
        [On<Motor>(nameof(Motor.PhaseCurrentLimitPeakA))] = Above(0, 500, "A peak"),
        [On<Motor>(nameof(Motor.DeratingStartC))] = From(40, 250, "°C"),
        [On<Motor>(nameof(Motor.DeratingEndC))] = From(40, 250, "°C"),
        [On<Motor>(nameof(Motor.MagnetMaximumC))] = From(40, 250, "°C"),
        [On<GearStage>(nameof(GearStage.PinionTeeth))] = From(4, 500),
        [On<GearStage>(nameof(GearStage.WheelTeeth))] = From(4, 500),
        [On<GearStage>(nameof(GearStage.PlanetTeeth))] = From(4, 500),
        [On<GearStage>(nameof(GearStage.Planets))] = From(1, 12),
        [On<GearStage>(nameof(GearStage.NormalModuleM))] = Above(0, 0.01, "m"),
        [On<GearStage>(nameof(GearStage.HelixDeg))] = From(0, 45, "°"),
        [On<GearStage>(nameof(GearStage.FaceWidthM))] = Above(0, 0.2, "m"),
        [On<GearStage>(nameof(GearStage.MeshEfficiency))] = Above(0.5, 1),
        [On<GearStage>(nameof(GearStage.WheelToHousingKPerW))] = Above(0, 100, "K/W"),
        [On<GearStage>(nameof(GearStage.WheelJPerK))] = Above(0, 10_000, "J/K"),
        [On<Bearing>(nameof(Bearing.Shaft))] = From(0, 20),
        [On<Bearing>(nameof(Bearing.Balls))] = From(3, 200),
        [On<Bearing>(nameof(Bearing.BallDiameterM))] = Above(0, 0.1, "m"),
        [On<Bearing>(nameof(Bearing.PitchDiameterM))] = Above(0, 1, "m"),
        [On<Bearing>(nameof(Bearing.ContactDeg))] = From(0, 60, "°"),
        [On<GearDrag>(nameof(GearDrag.CoulombNm))] = From(0, 5, "N·m"),
        [On<GearDrag>(nameof(GearDrag.ViscousNmS))] = From(0, 0.1, "N·m·s"),
        [On<GearDrag>(nameof(GearDrag.GreaseMassKg))] = From(0, 0.5, "kg"),
        [On<GearDrag>(nameof(GearDrag.TemperaturePerK))] = From(-0.1, 0.1, "1/K"),
        [On<GearDrag>(nameof(GearDrag.SettledShare))] = From(0, 3),
        [On<GearDrag>(nameof(GearDrag.SettlingH))] = From(0, 1_000, "h"),
        [On<GearDrag>(nameof(GearDrag.WorkedTurns))] = From(0, 100_000),
        [On<Inverter>(nameof(Inverter.StandingLossW))] = From(0, 100, "W"),
        [On<Inverter>(nameof(Inverter.OnResistanceOhm))] = From(0, 1, "Ω"),
        [On<Inverter>(nameof(Inverter.SwitchingLossWPerVA))] = From(0, 0.2, "W/(V·A)"),
        [On<Inverter>(nameof(Inverter.PwmHz))] = Above(0, 1_000_000, "Hz"),
        [On<Inverter>(nameof(Inverter.UsableVoltageShare))] = Above(0, 1),
        [On<Thermal>(nameof(Thermal.WindingJPerK))] = Above(0, 10_000, "J/K"),
        [On<Thermal>(nameof(Thermal.StatorJPerK))] = Above(0, 10_000, "J/K"),
        [On<Thermal>(nameof(Thermal.RotorJPerK))] = Above(0, 10_000, "J/K"),
        [On<Thermal>(nameof(Thermal.ControllerJPerK))] = Above(0, 10_000, "J/K"),
        [On<Thermal>(nameof(Thermal.HousingJPerK))] = Above(0, 50_000, "J/K"),
        [On<Thermal>(nameof(Thermal.WindingStatorKPerW))] = Above(0, 100, "K/W"),
        [On<Thermal>(nameof(Thermal.StatorHousingKPerW))] = Above(0, 100, "K/W"),
        [On<Thermal>(nameof(Thermal.RotorStatorKPerW))] = Above(0, 100, "K/W"),
        [On<Thermal>(nameof(Thermal.RotorHousingKPerW))] = Above(0, 100, "K/W"),
        [On<Thermal>(nameof(Thermal.ControllerHousingKPerW))] = Above(0, 100, "K/W"),
        [On<Thermal>(nameof(Thermal.ControllerAmbientKPerW))] = Above(0, 100, "K/W"),
        [On<Thermal>(nameof(Thermal.HousingAmbientStillKPerW))] = Above(0, 100, "K/W"),
        [On<Thermal>(nameof(Thermal.HousingAmbientMovingKPerW))] = Above(0, 100, "K/W"),
        [On<CrankSide>(nameof(CrankSide.SealDragNm))] = From(0, 10, "N·m"),
        [On<CrankSide>(nameof(CrankSide.MotorClutchOverrunDragNm))] = From(0, 10, "N·m"),
        [On<CrankSide>(nameof(CrankSide.CrankClutchOverrunDragNm))] = From(0, 10, "N·m"),
        [On<CrankSide>(nameof(CrankSide.ClutchEngageDeg))] = From(0, 45, "°"),
        [On<CrankSide>(nameof(CrankSide.TorsionStiffnessNmPerRad))] = Above(0, 1_000_000, "N·m/rad"),
        [On<TorqueSensor>(nameof(TorqueSensor.RangeNm))] = Above(0, 1_000, "N·m"),
        [On<TorqueSensor>(nameof(TorqueSensor.NoiseRmsNm))] = From(0, 10, "N·m"),
        [On<TorqueSensor>(nameof(TorqueSensor.NonlinearityShareOfRange))] = From(0, 0.2),
        [On<TorqueSensor>(nameof(TorqueSensor.ZeroDriftNmPerK))] = From(-1, 1, "N·m/K"),
        [On<Seal>(nameof(Seal.FreeVolumeM3))] = Above(0, 0.01, "m³"),
        [On<Seal>(nameof(Seal.TestPressurePa))] = From(-90_000, 200_000, "Pa above the room's"),
        [On<Seal>(nameof(Seal.LeakLimitM3PerS))] = Above(0, 1e-4, "m³/s"),

        [On<Spread>(nameof(Spread.Mean))] = From(-60, 1_000),
        [On<Spread>(nameof(Spread.StandardDeviation))] = From(0, 1_000),
        [On<Spread>(nameof(Spread.Least))] = From(-60, 1_000),
        [On<Spread>(nameof(Spread.Most))] = From(-60, 1_000),
        [On<AssistanceShare>(nameof(AssistanceShare.Factor))] = From(0, 10),
        [On<AssistanceShare>(nameof(AssistanceShare.Share))] = From(0, 1_000),
        [On<TerrainShare>(nameof(TerrainShare.BelowAscentPerKmM))] = Above(0, 1_000, "m per km"),
        [On<TerrainShare>(nameof(TerrainShare.Share))] = From(0, 1_000),

        [On<LifePlan>(nameof(LifePlan.ChainringRadiusM))] = Above(0.02, 0.2, "m"),
        [On<LifePlan>(nameof(LifePlan.TargetKm))] = Above(0, 1_000_000, "km"),
        [On<GearMaterial>(nameof(GearMaterial.YoungPa))] = From(1e8, 1e12, "Pa"),
        [On<GearMaterial>(nameof(GearMaterial.PoissonRatio))] = From(0, 0.5),
        [On<GearMaterial>(nameof(GearMaterial.DensityKgPerM3))] = From(500, 25_000, "kg/m³"),
        [On<GearMaterial>(nameof(GearMaterial.WearM3PerNm))] = From(0, 1e-11, "m³/(N·m)"),
        [On<GearMaterial>(nameof(GearMaterial.WearUncertaintyShare))] = From(0, 3),
        [On<FatigueLine>(nameof(FatigueLine.PivotCycles))] = From(1, 1e10),
        [On<FatigueLine>(nameof(FatigueLine.Slope))] = From(1, 50),
        [On<FatigueLine>(nameof(FatigueLine.SlopeLower))] = From(1, 50),
        [On<FatigueLine>(nameof(FatigueLine.SlopeUpper))] = From(1, 50),
        [On<FatigueLine>(nameof(FatigueLine.StrengthUncertaintyShare))] = From(0, 1),
        [On<StrengthAt>(nameof(StrengthAt.TemperatureC))] = From(-100, 300, "°C"),
        [On<StrengthAt>(nameof(StrengthAt.Value))] = Above(0, 1e10, "Pa for a stress, N·m for a torque"),
        [On<GearPair>(nameof(GearPair.PinionShift))] = From(-1, 1),
        [On<GearPair>(nameof(GearPair.WheelShift))] = From(-1, 1),
        [On<GearPair>(nameof(GearPair.LoadFactor))] = From(1, 5),
        [On<GearPair>(nameof(GearPair.WornOutModules))] = Above(0, 1),
        [On<LoadedBearing>(nameof(LoadedBearing.Shaft))] = From(0, 20),
        [On<LoadedBearing>(nameof(LoadedBearing.DynamicN))] = Above(0, 1e6, "N"),
        [On<LoadedBearing>(nameof(LoadedBearing.StaticN))] = Above(0, 1e6, "N"),
        [On<LoadedBearing>(nameof(LoadedBearing.GeometryFactor))] = From(5, 20),
        [On<LoadedBearing>(nameof(LoadedBearing.LifeFactor))] = Above(0, 50),
        [On<LoadedBearing>(nameof(LoadedBearing.LoadUncertaintyShare))] = From(0, 1),
        [On<LoadedBearing>(nameof(LoadedBearing.PreloadN))] = From(0, 100_000, "N"),
        [On<BearingForce>(nameof(BearingForce.Stage))] = From(0, 20),
        [On<BearingForce>(nameof(BearingForce.Share))] = Above(0, 5),
        [On<BearingForce>(nameof(BearingForce.DirectionDeg))] = From(-360, 360, "°"),
        [On<ThermalAgeing>(nameof(ThermalAgeing.LifeH))] = Above(0, 1e7, "h"),
        [On<ThermalAgeing>(nameof(ThermalAgeing.AtC))] = From(0, 300, "°C"),
        [On<ThermalAgeing>(nameof(ThermalAgeing.HalvingK))] = Above(1, 50, "K"),
        [On<ThermalAgeing>(nameof(ThermalAgeing.HalvingLowerK))] = Above(1, 50, "K"),
        [On<ThermalAgeing>(nameof(ThermalAgeing.HalvingUpperK))] = Above(1, 50, "K"),
        [On<ThermalAgeing>(nameof(ThermalAgeing.HotSpotK))] = From(0, 100, "K"),
        [On<ThermalAgeing>(nameof(ThermalAgeing.NoLongerBelowC))] = From(-50, 200, "°C"),

        [On<PartTolerances>(nameof(PartTolerances.FluxShare))] = From(0, 0.5),
        [On<PartTolerances>(nameof(PartTolerances.ResistanceShare))] = From(0, 0.5),
        [On<PartTolerances>(nameof(PartTolerances.MotorDragNm))] = From(0, 5, "N·m"),
        [On<PartTolerances>(nameof(PartTolerances.GearDragShare))] = From(0, 2),
        [On<PartTolerances>(nameof(PartTolerances.MeshShare))] = From(0, 0.2),
        [On<PartTolerances>(nameof(PartTolerances.RotorOffsetDeg))] = From(0, 90, "° electrical"),
        [On<PartTolerances>(nameof(PartTolerances.CurrentGainShare))] = From(0, 0.5),
        [On<PartTolerances>(nameof(PartTolerances.TorqueSensorZeroNm))] = From(0, 50, "N·m"),
        [On<PartTolerances>(nameof(PartTolerances.CrankDragShare))] = From(0, 2),
        [On<PartTolerances>(nameof(PartTolerances.TakeUpDeg))] = From(0, 45, "°"),

        [On<LoadTestPlan>(nameof(LoadTestPlan.FalseAlarm))] = Above(0, 0.2),
        [On<LoadTestPlan>(nameof(LoadTestPlan.WheelRadiusM))] = Above(0.1, 0.6, "m"),
        [On<LoadTestPlan>(nameof(LoadTestPlan.CouplingInertiaKgM2))] = From(0, 10, "kg·m²"),
        [On<LoadCycle>(nameof(LoadCycle.CrankTorqueNm))] = From(0, 300, "N·m"),
        [On<LoadCycle>(nameof(LoadCycle.CrankPulsationShare))] = From(0, 1),
        [On<LoadPoint>(nameof(LoadPoint.TorqueNm))] = From(0, 500, "N·m"),
        [On<LoadPoint>(nameof(LoadPoint.OutputRpm))] = From(0, 1_000, "rpm"),
        [On<LoadPoint>(nameof(LoadPoint.HoldS))] = Above(0, 3_600, "s"),
        [On<LoadPoint>(nameof(LoadPoint.WindowFromS))] = From(0, 3_600, "s"),
        [On<LoadPoint>(nameof(LoadPoint.WindowForS))] = From(0, 3_600, "s"),
        [On<FunctionTest>(nameof(FunctionTest.HoldS))] = Above(0, 600, "s"),
        [On<FunctionTest>(nameof(FunctionTest.EventAtS))] = From(0, 600, "s"),
        [On<FunctionTest>(nameof(FunctionTest.OutputRpm))] = Above(0, 1_000, "rpm"),
        [On<Gauge>(nameof(Gauge.GainShare))] = From(0, 0.2),
        [On<Gauge>(nameof(Gauge.Zero))] = Uncertainty,
        [On<Gauge>(nameof(Gauge.NoiseRms))] = Above(0, 1e9), // readings without noise would follow from one another
        [On<Gauge>(nameof(Gauge.Resolution))] = From(0, 1e6),
        [On<RequirementLimit>(nameof(RequirementLimit.Lower))] = AnyValue,
        [On<RequirementLimit>(nameof(RequirementLimit.Upper))] = AnyValue,
        [On<RequirementLimit>(nameof(RequirementLimit.StandardUncertainty))] = Uncertainty,
        [On<RequirementLimit>(nameof(RequirementLimit.GuardFactor))] = From(0, 5),
        [On<RigReferences>(nameof(RigReferences.EveryRuns))] = From(1, 100_000),
        [On<RigReferences>(nameof(RigReferences.EveryH))] = Above(0, 8_760, "h"),
        [On<RigReferences>(nameof(RigReferences.KnownBadEveryH))] = Above(0, 8_760, "h"),
        [On<RigReferences>(nameof(RigReferences.ColdAfterMin))] = Above(0, 100_000, "min"),
        [On<RigReferences>(nameof(RigReferences.WarmUpRuns))] = From(0, 100),
        [On<ReferenceUnit>(nameof(ReferenceUnit.QuiescentMilliA))] = From(0, 10_000, "mA"),
        [On<ReferenceExpectation>(nameof(ReferenceExpectation.Value))] = AnyValue,
        [On<ReferenceExpectation>(nameof(ReferenceExpectation.StandardUncertainty))] = Uncertainty,
        [On<ReferenceExpectation>(nameof(ReferenceExpectation.StandardDeviation))] = Above(0, 1e9),
        [On<PopulationExpectation>(nameof(PopulationExpectation.Mean))] = AnyValue,
        [On<PopulationExpectation>(nameof(PopulationExpectation.StandardDeviation))] = Above(0, 1e9),
    };

    public static NumberRange Of(PropertyInfo property) => Known.TryGetValue($"{property.DeclaringType!.Name}.{property.Name}", out var range)
        ? range
        : throw new InvalidOperationException($"Bug in Roadproof: no range is known for {property.DeclaringType!.Name}.{property.Name}.");

    /// <summary>False for NaN.</summary>
    public bool Holds(double number) => (LeastExcluded ? number > Least : number >= Least) && number <= Most;

    public string? Hint => Unit.Length > 0 ? $"It stands in {Unit}." : null;

    public string WholeNumber => $"as a whole number {Edges}";

    public override string ToString() => this == AnyValue ? "as a number" : Unit.Length == 0 ? $"as a number {Edges}" : $"as a number in {Unit} {Edges}";

    string Edges
    {
        get
        {
            var least = (LeastExcluded ? "above " : "from ") + Figure(Least);
            return Most >= 1e9 ? $"{least} up" : $"{least} to {Figure(Most)}";
        }
    }

    static string Figure(double number) => number.ToString("0.#########", CultureInfo.InvariantCulture);

    static string On<T>(string property) => $"{typeof(T).Name}.{property}";
}
