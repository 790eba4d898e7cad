using Roadproof.Engineering.Drive;

namespace Roadproof.Engineering.LoadTest;

/// <summary>What a unit's own parameters are, in the order of every vector and matrix of the identification.</summary>
enum UnitParameter
{
    Resistance, Flux, RotorOffset, CoulombFriction, ViscousFriction, Hysteresis, Eddy, GearDrag, GearEfficiency,
    InductanceD, InductanceQ, Saturation, StandingLoss, OnResistance, Switching,
}

/// <summary>What the drawing knows of the parameters before any run: their values and how far sound units scatter around them.</summary>
/// <remarks>
/// Spreads are a third of the plan's tolerances. What has none there is taken to spread by a share of its value (common practice, no source): viscous friction 20 %, iron loss 10 %, inductances 3 %, saturation 20 %, the inverter's
/// standing, conduction and switching loss 10, 15 and 15 %. Temperature coefficients are the drawing's and stand still.
/// </remarks>
sealed class DrawnParameters
{
    public const int Count = 15;

    const double Viscous = 0.20, Iron = 0.10, Inductance = 0.03, Saturation = 0.20, Standing = 0.10, Conduction = 0.15, Switching = 0.15;

    // A tolerance of nothing: held as drawn, and still a number to divide by.
    const double LeastSpreadShare = 1e-9;

    readonly DriveUnit unit;

    public DrawnParameters(LoadTestPlan plan)
    {
        unit = plan.Unit;
        var (motor, tolerances) = (unit.Motor, plan.Tolerances);
        Value =
        [
            motor.PhaseResistance20Ohm, motor.FluxLinkage20Wb, 0, motor.CoulombFrictionNm, motor.ViscousFrictionNmS,
            motor.IronLossHysteresisWPerHz, motor.IronLossEddyWPerHz2, 1, unit.MeshEfficiency,
            motor.InductanceDH, motor.InductanceQH, motor.SaturationAtCurrentLimit, unit.Inverter.StandingLossW, unit.Inverter.OnResistanceOhm, unit.Inverter.SwitchingLossWPerVA,
        ];
        Spread =
        [
            Value[0] * tolerances.ResistanceShare / 3, Value[1] * tolerances.FluxShare / 3, tolerances.RotorOffsetDeg / 3 * Math.PI / 180, tolerances.MotorDragNm / 3, Value[4] * Viscous,
            Value[5] * Iron, Value[6] * Iron, tolerances.GearDragShare / 3, Value[8] * tolerances.MeshShare / 3,
            Value[9] * Inductance, Value[10] * Inductance, Value[11] * Saturation, Value[12] * Standing, Value[13] * Conduction, Value[14] * Switching,
        ];
        for (var k = 0; k < Count; k++) Spread[k] = Math.Max(Spread[k], LeastSpreadShare * Math.Max(Math.Abs(Value[k]), LeastSpreadShare));
    }

    /// <summary>As drawn, SI, shape [Count]; gear drag and rotor offset are 1 and 0 there.</summary>
    public double[] Value { get; }

    /// <summary>One standard deviation over sound units, shape [Count].</summary>
    public double[] Spread { get; }

    public double At(UnitParameter parameter, ReadOnlySpan<double> z) => Value[(int)parameter] + z[(int)parameter] * Spread[(int)parameter];

    /// <summary>The unit that has these parameters.</summary>
    /// <param name="z">Each in spreads from the drawing, shape [Count].</param>
    public (DriveUnit Unit, Deviation Deviation) Unit(ReadOnlySpan<double> z)
    {
        var motor = unit.Motor with
        {
            ViscousFrictionNmS = At(UnitParameter.ViscousFriction, z),
            IronLossHysteresisWPerHz = At(UnitParameter.Hysteresis, z),
            IronLossEddyWPerHz2 = At(UnitParameter.Eddy, z),
            InductanceDH = At(UnitParameter.InductanceD, z),
            InductanceQH = At(UnitParameter.InductanceQ, z),
            SaturationAtCurrentLimit = At(UnitParameter.Saturation, z),
        };
        var inverter = unit.Inverter with
        {
            StandingLossW = At(UnitParameter.StandingLoss, z),
            OnResistanceOhm = At(UnitParameter.OnResistance, z),
            SwitchingLossWPerVA = At(UnitParameter.Switching, z),
        };
        return (unit with { Motor = motor, Inverter = inverter }, new()
        {
            ResistanceFactor = At(UnitParameter.Resistance, z) / Value[(int)UnitParameter.Resistance],
            FluxFactor = At(UnitParameter.Flux, z) / Value[(int)UnitParameter.Flux],
            RotorOffsetRad = At(UnitParameter.RotorOffset, z),
            AddedMotorDragNm = At(UnitParameter.CoulombFriction, z) - Value[(int)UnitParameter.CoulombFriction],
            GearDragFactor = At(UnitParameter.GearDrag, z),
            MeshFactor = At(UnitParameter.GearEfficiency, z) / Value[(int)UnitParameter.GearEfficiency],
        });
    }

    /// <summary>Drag at the rotor as a sum of parameters, N·m, with rated flux: what Coulomb friction, gear drag and hysteresis make together, and per rad/s what viscous friction, gear drag and
    /// eddy currents make.</summary>
    public (double[] ConstantNm, double[] PerSpeedNmS) Drag()
    {
        var turns = unit.Motor.PolePairs / Math.Tau; // electrical Hz per rad/s
        var (constant, perSpeed) = (new double[Count], new double[Count]);
        constant[(int)UnitParameter.CoulombFriction] = perSpeed[(int)UnitParameter.ViscousFriction] = 1;
        constant[(int)UnitParameter.Hysteresis] = turns;
        perSpeed[(int)UnitParameter.Eddy] = turns * turns;
        constant[(int)UnitParameter.GearDrag] = unit.GearDrag.CoulombNm;
        perSpeed[(int)UnitParameter.GearDrag] = unit.GearDrag.ViscousNmS;
        return (constant, perSpeed);
    }
}
