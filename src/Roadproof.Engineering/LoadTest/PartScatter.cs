using Roadproof.Engineering.Drive;

namespace Roadproof.Engineering.LoadTest;

/// <summary>Units made of parts that scatter as their tolerances say, by standard normal numbers.</summary>
sealed class PartScatter(PartTolerances tolerances)
{
    /// <summary>How many parameters scatter.</summary>
    public const int Count = 8;

    /// <param name="z">One standard normal number per parameter, shape [Count].</param>
    public Deviation At(ReadOnlySpan<double> z) => On(Deviation.None, z);

    /// <summary>A unit with a fault and scattering parts: factors multiply, additions add.</summary>
    public Deviation On(Deviation fault, ReadOnlySpan<double> z) => fault with
    {
        FluxFactor = fault.FluxFactor * (1 + z[0] * tolerances.FluxShare / 3),
        ResistanceFactor = fault.ResistanceFactor * (1 + z[1] * tolerances.ResistanceShare / 3),
        AddedMotorDragNm = fault.AddedMotorDragNm + z[2] * tolerances.MotorDragNm / 3,
        GearDragFactor = fault.GearDragFactor * (1 + z[3] * tolerances.GearDragShare / 3),
        MeshFactor = fault.MeshFactor * (1 + z[4] * tolerances.MeshShare / 3),
        RotorOffsetRad = fault.RotorOffsetRad + z[5] * tolerances.RotorOffsetDeg / 3 * Math.PI / 180,
        CurrentGainFactor = fault.CurrentGainFactor * (1 + z[6] * tolerances.CurrentGainShare / 3),
        TorqueSensorZeroNm = fault.TorqueSensorZeroNm + z[7] * tolerances.TorqueSensorZeroNm / 3,
    };

    public Deviation One(int part, double z) => Two(part, z, part, z);

    public Deviation Two(int part, double z, int other, double zOther)
    {
        Span<double> draw = stackalloc double[Count];
        draw[part] = z;
        draw[other] = zOther;
        return At(draw);
    }
}
