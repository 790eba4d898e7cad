using Roadproof.Engineering.Drive;
using Roadproof.Engineering.LoadTest;
using Roadproof.Engineering.LoadTest.Rigs;
using Roadproof.Engineering.Statistics;

namespace Roadproof.Plant.Faults;

/// <summary>What a reference unit really is: chosen once from good parts, the same in every demo, and with one fault where it is known to be bad.</summary>
public static class ReferenceTruth
{
    /// <summary>References are picked from the middle of what is built: half the scatter.</summary>
    const double ScatterShare = 0.5;

    const ulong PickedOnce = 20310304;

    public static Deviation Of(ReferenceUnit unit, LoadTestPlan plan)
    {
        var (noise, t) = (new SeededNoise(PickedOnce, "reference " + unit.Code), plan.Tolerances);
        double About(double toleranceShare) => 1 + ScatterShare * toleranceShare / 3 * noise.NormalWithinThree();
        double Around(double tolerance) => ScatterShare * tolerance / 3 * noise.NormalWithinThree();
        var parts = new Deviation
        {
            FluxFactor = About(t.FluxShare), ResistanceFactor = About(t.ResistanceShare), AddedMotorDragNm = Around(t.MotorDragNm), GearDragFactor = About(t.GearDragShare), MeshFactor = About(t.MeshShare),
            RotorOffsetRad = double.DegreesToRadians(Around(t.RotorOffsetDeg)), CurrentGainFactor = About(t.CurrentGainShare), TorqueSensorZeroNm = Around(t.TorqueSensorZeroNm),
        };
        return FaultList.All.FirstOrDefault(f => f.Id == unit.Fault)?.Change(parts, plan) ?? parts;
    }

    /// <summary>What the rigs draw its own small ways from.</summary>
    public static ulong Seed(ReferenceUnit unit) => new SeededNoise(PickedOnce, "ways of reference " + unit.Code).NextBits();
}
