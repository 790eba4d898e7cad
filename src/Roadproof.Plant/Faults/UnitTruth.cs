using System.Globalization;
using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Statistics;

namespace Roadproof.Plant.Faults;

/// <summary>What a unit really is: its parts' scatter, and at most one fault of either kind. Fixed by the demo's seed and the unit's number alone.</summary>
/// <param name="Parts">Scatter of its parts without the fault.</param>
/// <param name="Fault">Null for a sound unit, and for one with a fault of the other kind.</param>
/// <param name="Seed">What the rigs draw the unit's own small ways from.</param>
public sealed record UnitTruth(int Number, Deviation Parts, Fault? Fault, ulong Seed)
{
    /// <summary>Share of units that carry a fault; each fault of the list is equally likely.</summary>
    public const double FaultShare = 0.10;

    /// <param name="faults">What the load test or the route can show.</param>
    /// <param name="checkFaults">What a check on the way can show.</param>
    public static UnitTruth Draw(ulong seed, int number, PartTolerances tolerances, IReadOnlyList<Fault> faults, IReadOnlyList<CheckFault> checkFaults)
    {
        var noise = Noise(seed, "unit", number);
        double About(double toleranceShare) => 1 + toleranceShare / 3 * noise.Normal();
        double Around(double tolerance) => tolerance / 3 * noise.Normal();
        var parts = new Deviation
        {
            FluxFactor = About(tolerances.FluxShare),
            ResistanceFactor = About(tolerances.ResistanceShare),
            AddedMotorDragNm = Around(tolerances.MotorDragNm),
            GearDragFactor = About(tolerances.GearDragShare),
            MeshFactor = About(tolerances.MeshShare),
            RotorOffsetRad = double.DegreesToRadians(Around(tolerances.RotorOffsetDeg)),
            CurrentGainFactor = About(tolerances.CurrentGainShare),
            TorqueSensorZeroNm = Around(tolerances.TorqueSensorZeroNm),
        };
        var fate = Noise(seed, "fault", number);
        var which = fate.Share() < FaultShare && faults.Count > 0 ? (int)(fate.Share() * (faults.Count + checkFaults.Count)) : -1;
        return new(number, parts, which >= 0 && which < faults.Count ? faults[which] : null, Noise(seed, "ways of unit", number).NextBits())
        {
            CheckFault = which >= faults.Count ? checkFaults[which - faults.Count] : null,
        };
    }

    /// <summary>What a part of a cell really is: of its scatter a drive unit takes what the part brings in.</summary>
    public static UnitTruth DrawPart(ulong seed, int number, string product, PartTolerances tolerances)
    {
        var noise = Noise(seed, product, number);
        double About(double toleranceShare) => 1 + toleranceShare / 3 * noise.Normal();
        var parts = new Deviation { FluxFactor = About(tolerances.FluxShare), ResistanceFactor = About(tolerances.ResistanceShare), CurrentGainFactor = About(tolerances.CurrentGainShare) };
        var fate = Noise(seed, "fault of " + product, number);
        var faults = CheckFaults.Of(product);
        var fault = fate.Share() < CheckFaults.Share && faults.Count > 0 ? faults[(int)(fate.Share() * faults.Count)] : null;
        return new(number, parts, null, Noise(seed, "ways of " + product, number).NextBits()) { CheckFault = fault };
    }

    /// <summary>What a check may show of it, beside or instead of the load test; null where there is nothing of that kind.</summary>
    public CheckFault? CheckFault { get; init; }

    static SeededNoise Noise(ulong seed, string purpose, int number) => new(seed, string.Create(CultureInfo.InvariantCulture, $"{purpose} {number}"));
}
