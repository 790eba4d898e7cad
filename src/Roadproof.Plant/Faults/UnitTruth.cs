using System.Globalization;
using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Statistics;

namespace Roadproof.Plant.Faults;

/// <summary>What a unit really is: its parts' scatter, and at most one fault. Fixed by the demo's seed and the unit's number alone.</summary>
/// <param name="Parts">Scatter of its parts without the fault.</param>
/// <param name="Fault">Null for a sound unit.</param>
/// <param name="Seed">What the rigs draw the unit's own small ways from.</param>
public sealed record UnitTruth(int Number, Deviation Parts, Fault? Fault, ulong Seed)
{
    /// <summary>Share of units that carry a fault; each fault of the list is equally likely.</summary>
    public const double FaultShare = 0.10;

    public static UnitTruth Draw(ulong seed, int number, PartTolerances tolerances)
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
        var fault = fate.Share() < FaultShare ? FaultList.All[(int)(fate.Share() * FaultList.All.Count)] : null;
        return new(number, parts, fault, Noise(seed, "ways of unit", number).NextBits());
    }

    /// <summary>What a part of a cell really is: of its scatter a drive unit takes what the part brings in.</summary>
    public static UnitTruth DrawPart(ulong seed, int number, string product, PartTolerances tolerances)
    {
        var noise = Noise(seed, product, number);
        double About(double toleranceShare) => 1 + toleranceShare / 3 * noise.Normal();
        var parts = new Deviation { FluxFactor = About(tolerances.FluxShare), ResistanceFactor = About(tolerances.ResistanceShare), CurrentGainFactor = About(tolerances.CurrentGainShare) };
        var fate = Noise(seed, "fault of " + product, number);
        var faults = CellFaults.Of(product);
        var fault = fate.Share() < CellFaults.Share && faults.Count > 0 ? faults[(int)(fate.Share() * faults.Count)] : null;
        return new(number, parts, null, Noise(seed, "ways of " + product, number).NextBits()) { CellFault = fault };
    }

    /// <summary>What is wrong with a part of a cell; null where nothing is.</summary>
    public CellFault? CellFault { get; init; }

    static SeededNoise Noise(ulong seed, string purpose, int number) => new(seed, string.Create(CultureInfo.InvariantCulture, $"{purpose} {number}"));
}
