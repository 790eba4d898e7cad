using Roadproof.Engineering.Life;

namespace Roadproof.Engineering.Tests.Fixtures;

/// <summary>Figures for the life of the invented mid-drive unit, after those of the demo.</summary>
public static class LifeOf85
{
    public static FatigueLine Line(double pivotCycles, double slope, double value, double uncertainty = 0.08, double? lower = null, double? upper = null) => new()
    {
        PivotCycles = pivotCycles, Slope = slope, SlopeLower = lower ?? slope, SlopeUpper = upper ?? slope,
        Strength = [new() { TemperatureC = 20, Value = value }], StrengthUncertaintyShare = uncertainty, Origin = "test",
    };

    public static readonly LifePlan Plan = new()
    {
        ChainringRadiusM = 0.077,
        TargetKm = 20_000,
        Materials =
        [
            new() { Id = "steel", Name = "case-hardened steel", YoungPa = 206e9, PoissonRatio = 0.3, DensityKgPerM3 = 7830, Root = Line(3e6, 8.7, 925e6), Flank = Line(5e7, 13.2, 1500e6, 0.06) },
            new()
            {
                Id = "polyamide", Name = "polyamide", YoungPa = 7e9, PoissonRatio = 0.38, DensityKgPerM3 = 1410, WearM3PerNm = 1e-16, WearUncertaintyShare = 0.5, WearOrigin = "test",
                Root = Line(1e6, 9, 90e6, 0.1, 7, 12) with { Strength = [new() { TemperatureC = 23, Value = 90e6 }, new() { TemperatureC = 80, Value = 64e6 }, new() { TemperatureC = 120, Value = 48e6 }] },
            },
        ],
        Gears = [new() { Pinion = "steel", Wheel = "polyamide", PinionShift = 0.35, WheelShift = -0.35 }, new() { Pinion = "steel", Wheel = "steel", PinionShift = 0.4, WheelShift = -0.4, LoadFactor = 1.3 }],
        Bearings =
        [
            new() { Name = "rotor bearing at the pinion", Shaft = 0, DynamicN = 5100, StaticN = 2360, Forces = [new() { Stage = 1, Share = 1.15, DirectionDeg = 90, TakesAxial = true }], PreloadN = 40, Origin = "test" },
            new() { Name = "sleeve bearing at the chain", Shaft = 2, DynamicN = 9560, StaticN = 7350, GeometryFactor = 15, Forces = [new() { Stage = 2, Share = 0.4, DirectionDeg = 270 }, new() { Stage = 0, Share = 1.3, DirectionDeg = 180 }], Origin = "test" },
        ],
        Ageing = [new() { Name = "Winding insulation", Part = WarmPart.Winding, LifeH = 20_000, AtC = 155, HalvingK = 10, HalvingLowerK = 8, HalvingUpperK = 12, HotSpotK = 15, NoLongerBelowC = 60, Origin = "test" }],
        Bent = [new() { Name = "Crank axle", By = BendingTorque.Total, Line = Line(1e5, 7, 442, 0.1, 5, 10) }],
        Clutch = Line(1e6, 4, 95, 0.15, 3, 6),
    };
}
