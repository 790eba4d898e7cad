using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Road;

namespace Roadproof.Engineering.CycleDesign;

/// <summary>A ride seen from both sides of a <see cref="ShiftingTransmission"/>: what the unit's own stages turn and carry, and what arrives at the chainring.</summary>
/// <remarks>
/// In front of the box the unit turns faster by the gear's ratio and carries less torque: T = T_chainring / (ratio · efficiency). The motor's share of the pull is taken at the chainring, as without a box.
/// A ratio and an efficiency of 1 change nothing.
/// </remarks>
sealed class TransmittedRide
{
    readonly RoadLoad load;
    readonly TransmissionGear[] gearOf;
    readonly int[] gears;

    public TransmittedRide(RoadLoad load, DriveUnit unit, ShiftingTransmission box)
    {
        this.load = load;
        gears = box.GearsOver(load.CadenceRadPerS, unit.Ratio);
        gearOf = [.. gears.Select(g => box.Gears[g])];
        AtUnit = load with
        {
            TotalTorqueNm = [.. load.TotalTorqueNm.Select((nm, i) => nm / (gearOf[i].Ratio * gearOf[i].Efficiency))],
            CadenceRadPerS = [.. load.CadenceRadPerS.Select((w, i) => w * gearOf[i].Ratio)],
            RiderMostNm = double.PositiveInfinity, // The rider pushes behind the box, not at the unit.
        };
    }

    /// <summary>What the unit is asked for.</summary>
    public RoadLoad AtUnit { get; }

    public int Shifts => gears.Zip(gears.Skip(1), (one, next) => one == next ? 0 : 1).Sum();

    /// <summary>Motor's work at the chainring, J.</summary>
    public double GivenJ(UnitOnRoad ran)
    {
        var sumJ = 0.0;
        for (var i = 0; i < gearOf.Length; i++) sumJ += ran.MotorTorqueNm[i] * ran.OutputRadPerS[i] * gearOf[i].Efficiency;
        return sumJ;
    }

    /// <summary>The same ride in front of the box, with the rider's true torque beside it.</summary>
    public UnitOnRoad InFront(UnitOnRoad ran) => ran with { RiderTorqueNm = RiderNm(ran) };

    /// <summary>The same ride at the chainring.</summary>
    /// <param name="unit">With a rating that holds what the box makes of the torque.</param>
    public UnitOnRoad Behind(UnitOnRoad ran, DriveUnit unit) => ran with
    {
        Load = load, Unit = unit,
        MotorTorqueNm = [.. ran.MotorTorqueNm.Select(Multiplied)],
        MostTorqueNm = [.. ran.MostTorqueNm.Select(Multiplied)],
        OutputRadPerS = [.. ran.OutputRadPerS.Select((w, i) => w / gearOf[i].Ratio)],
        RiderTorqueNm = RiderNm(ran),
    };

    /// <summary>Of a ride <see cref="Behind"/> the box only the seconds of one gear; the others stand still.</summary>
    public UnitOnRoad Only(int gear, UnitOnRoad behind) => behind with
    {
        MotorTorqueNm = Kept(gear, behind.MotorTorqueNm), MostTorqueNm = Kept(gear, behind.MostTorqueNm), RiderTorqueNm = Kept(gear, behind.RiderTorqueNm),
    };

    double Multiplied(double nm, int i) => nm * gearOf[i].Ratio * gearOf[i].Efficiency;

    double[] Kept(int gear, double[] values) => [.. values.Select((v, i) => gears[i] == gear ? v : 0)];

    double[] RiderNm(UnitOnRoad ran) => [.. load.CadenceRadPerS.Select((w, i) => w > 0 ? Math.Min(load.RiderMostNm, load.TotalTorqueNm[i] - ran.MotorTorqueNm[i] * ran.OutputRadPerS[i] * gearOf[i].Efficiency / w) : 0)];
}
