using Roadproof.Engineering.CycleDesign;

namespace Roadproof.Records.Definitions;

/// <summary>What a number of a gear-train study can be at all; a changed stage may have what a drawn one may.</summary>
static class StudyRanges
{
    public static IEnumerable<KeyValuePair<string, NumberRange>> All =>
    [
        For<GearStudyFile>(nameof(GearStudyFile.BatteryWh), new(0, 5_000, "Wh", LeastExcluded: true)),
        For<StudyRider>(nameof(StudyRider.RiderMassKg), new(0, 300, "kg", LeastExcluded: true)),
        For<StudyRider>(nameof(StudyRider.BikeMassKg), new(0, 300, "kg", LeastExcluded: true)),
        For<StudyRider>(nameof(StudyRider.AssistanceFactor), new(0, 10, "")),
        For<StudyRider>(nameof(StudyRider.CadenceRadPerS), new(3, 15, "rad/s")),
        For<StageChange>(nameof(StageChange.Stage), new(1, 20, "")),
        For<StageChange>(nameof(StageChange.PinionTeeth), new(4, 500, "")),
        For<StageChange>(nameof(StageChange.WheelTeeth), new(4, 500, "")),
        For<StageChange>(nameof(StageChange.PlanetTeeth), new(4, 500, "")),
        For<StageChange>(nameof(StageChange.NormalModuleM), new(0, 0.01, "m", LeastExcluded: true)),
        For<StageChange>(nameof(StageChange.FaceWidthM), new(0, 0.2, "m", LeastExcluded: true)),
        For<StageChange>(nameof(StageChange.HelixDeg), new(0, 45, "°")),
        For<StageChange>(nameof(StageChange.PinionShift), new(-1, 1, "")),
        For<StageChange>(nameof(StageChange.WheelShift), new(-1, 1, "")),
        For<StageChange>(nameof(StageChange.MeshEfficiency), new(0.5, 1, "", LeastExcluded: true)),
        For<ShiftingTransmission>(nameof(ShiftingTransmission.RotorRadPerS), new(1, 3_000, "rad/s")),
        For<ShiftingTransmission>(nameof(ShiftingTransmission.MassKg), new(0, 20, "kg")),
        For<TransmissionGear>(nameof(TransmissionGear.Ratio), new(0.1, 10, "")),
        For<TransmissionGear>(nameof(TransmissionGear.Efficiency), new(0.5, 1, "", LeastExcluded: true)),
        For<TrainSweep>(nameof(TrainSweep.Designs), new(2, TrainSweep.MostDesigns, "")),
        For<TrainSweep>(nameof(TrainSweep.Seed), new(0, 2_000_000_000, "")),
        For<TrainSweep>(nameof(TrainSweep.RatioWithin), new(0, 1, "", LeastExcluded: true)),
        For<SweptRange>(nameof(SweptRange.Stage), new(1, 20, "")),
        For<SweptRange>(nameof(SweptRange.From), new(-1, 500, "")),
        For<SweptRange>(nameof(SweptRange.To), new(-1, 500, "")),
        For<SweptRange>(nameof(SweptRange.Steps), new(1, 100, "")),
    ];

    static KeyValuePair<string, NumberRange> For<T>(string property, NumberRange range) => new($"{typeof(T).Name}.{property}", range);
}
