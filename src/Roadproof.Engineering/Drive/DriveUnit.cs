using Roadproof.Engineering.Quantities;

namespace Roadproof.Engineering.Drive;

/// <summary>A drive unit as drawn: everything that the physics needs, in SI units (temperatures in °C).</summary>
/// <remarks>Read from a product definition file. Peak-value dq convention throughout: a current of 1 A is 1 A peak in a phase.</remarks>
public sealed record DriveUnit
{
    public required string Name { get; init; }
    public required Supply Supply { get; init; }
    public required Rating Rating { get; init; }
    public required Motor Motor { get; init; }

    /// <summary>From the rotor to the output; at least one stage.</summary>
    public required IReadOnlyList<GearStage> Gears { get; init; }

    /// <summary>Rolling bearings whose defects a spectrum should name; none where their insides are not known.</summary>
    public IReadOnlyList<Bearing> Bearings { get; init; } = [];
    public required GearDrag GearDrag { get; init; }
    public required Inverter Inverter { get; init; }
    public required Thermal Thermal { get; init; }

    /// <summary>Null where the unit has no crank: it then sits in a wheel, and its output turns with that.</summary>
    public CrankSide? CrankSide { get; init; }

    /// <summary>Null where the crank's torque is not read by the unit.</summary>
    public TorqueSensor? TorqueSensor { get; init; }
    public required Seal Seal { get; init; }
    public required double MassKg { get; init; }

    /// <summary>A hub: the rig drives and brakes its shell, and nobody pedals.</summary>
    public bool SitsInWheel => CrankSide is null;

    /// <summary>Rotor turns per output turn.</summary>
    public double Ratio
    {
        get
        {
            // Plain loops: these two are read at every operating point, and a LINQ sum would allocate each time.
            var ratio = 1.0;
            for (var i = 0; i < Gears.Count; i++) ratio *= Gears[i].Ratio;
            return ratio;
        }
    }

    /// <summary>Mesh efficiency of all stages together, without drag.</summary>
    public double MeshEfficiency
    {
        get
        {
            var efficiency = 1.0;
            for (var i = 0; i < Gears.Count; i++) efficiency *= Gears[i].MeshEfficiency;
            return efficiency;
        }
    }
}

/// <summary>The battery or line supply that feeds the unit.</summary>
public sealed record Supply
{
    public required double NominalV { get; init; }
    public required double MaximumV { get; init; }
    public required double MinimumV { get; init; }

    /// <summary>Bus current at which the controller holds back, A.</summary>
    public required double CurrentLimitA { get; init; }

    /// <summary>Battery and cable resistance, Ω; the printed points assume a stiff supply (0 Ω).</summary>
    public required double SourceResistanceOhm { get; init; }
}

/// <summary>What the unit is sold as.</summary>
public sealed record Rating
{
    public required double ContinuousOutputW { get; init; }
    public required double MaximumTorqueNm { get; init; }
    public required double MaximumOutputW { get; init; }
    public required double RatedOutputRpm { get; init; }

    /// <summary>Assistance ends at this road speed, m/s.</summary>
    public required double AssistanceLimitMps { get; init; }
}

/// <summary>Permanent-magnet synchronous motor in the rotor's dq frame.</summary>
public sealed record Motor
{
    public required int PolePairs { get; init; }
    public required int Slots { get; init; }
    public required double PhaseResistance20Ohm { get; init; }

    /// <summary>Copper's change of resistance, 1/K of the 20 °C value (0.00393, IEC 60028).</summary>
    public required double ResistancePerK { get; init; }
    public required double InductanceDH { get; init; }
    public required double InductanceQH { get; init; }
    public required double FluxLinkage20Wb { get; init; }

    /// <summary>Change of the magnets' flux, 1/K of the 20 °C value; negative.</summary>
    public required double FluxPerK { get; init; }

    /// <summary>Share of the torque constant lost to saturation at the phase current limit; grows with the square of the q current.</summary>
    public required double SaturationAtCurrentLimit { get; init; }
    public required double RotorInertiaKgM2 { get; init; }
    public required double CoulombFrictionNm { get; init; }
    public required double ViscousFrictionNmS { get; init; }

    /// <summary>Hysteresis loss at rated flux, W per Hz of electrical frequency.</summary>
    public required double IronLossHysteresisWPerHz { get; init; }

    /// <summary>Eddy-current loss at rated flux, W per Hz² of electrical frequency.</summary>
    public required double IronLossEddyWPerHz2 { get; init; }
    public required double CoggingPeakToPeakNm { get; init; }
    public required double PhaseCurrentLimitPeakA { get; init; }
    public required double DeratingStartC { get; init; }
    public required double DeratingEndC { get; init; }
    public required double MagnetMaximumC { get; init; }

    /// <summary>Resistance of one phase at a winding temperature, Ω.</summary>
    public double PhaseResistanceOhm(double windingC) => PhaseResistance20Ohm * (1 + ResistancePerK * (windingC - ReferenceConditions.TemperatureC));

    /// <summary>Flux linkage of one phase at a magnet temperature, Wb peak.</summary>
    public double FluxLinkageWb(double magnetC) => FluxLinkage20Wb * (1 + FluxPerK * (magnetC - ReferenceConditions.TemperatureC));
}

/// <summary>One pinion and wheel; or sun and ring, where planets stand between them.</summary>
/// <remarks>
/// Kinematics of the planetary stage (Willis; textbook): seen from the carrier, sun and ring turn like a plain train, so that teeth meet
/// sun teeth × (sun − carrier) times a turn. Carrier held: the ring drives on, backwards. Ring held: the carrier drives on.
/// </remarks>
public sealed record GearStage
{
    public required int PinionTeeth { get; init; }
    public required int WheelTeeth { get; init; }

    /// <summary>Teeth of each planet between sun (pinion) and ring (wheel); null for a plain pair.</summary>
    public int? PlanetTeeth { get; init; }

    /// <summary>How many planets stand around the sun; null for a plain pair.</summary>
    public int? Planets { get; init; }

    /// <summary>What stands still in a planetary stage; the other one of the two drives on.</summary>
    public HeldMember Held { get; init; }
    public required double NormalModuleM { get; init; }
    public required double HelixDeg { get; init; }
    public required double FaceWidthM { get; init; }
    public required double MeshEfficiency { get; init; }
    public required string Pinion { get; init; }
    public required string Wheel { get; init; }

    /// <summary>From the wheel's rim to the housing, through grease and hub, K/W; null for a wheel that is as warm as the housing (steel).</summary>
    public double? WheelToHousingKPerW { get; init; }

    /// <summary>Heat that the wheel's rim holds, J/K; asked for beside <see cref="WheelToHousingKPerW"/>.</summary>
    public double? WheelJPerK { get; init; }

    /// <summary>Turns in for one turn out.</summary>
    public double Ratio => Held == HeldMember.Ring ? 1 + (double)WheelTeeth / PinionTeeth : (double)WheelTeeth / PinionTeeth;

    /// <summary>Teeth that meet in one turn in: the pinion's, less what a turning carrier runs along with them.</summary>
    public double MeshesPerTurn => Held == HeldMember.Ring ? PinionTeeth * (1 - 1 / Ratio) : PinionTeeth;

    /// <summary>Turns of the wheel against the pins of what meshes with it, in one turn in.</summary>
    public double WheelTurnsPerTurn => MeshesPerTurn / WheelTeeth;

    /// <summary>How often one tooth of the wheel meets a fellow in one of those turns: once, or once at each planet.</summary>
    public int MeetingsPerWheelTurn => Planets ?? 1;
}

/// <summary>What of a planetary stage is fixed to the axle or shell.</summary>
public enum HeldMember
{
    /// <summary>The planets' pins stand still (a star gear), the ring turns.</summary>
    Carrier,

    /// <summary>The ring stands still, the carrier turns with its planets.</summary>
    Ring,
}

/// <summary>Drag of gears, bearings and grease, as seen at the rotor.</summary>
public sealed record GearDrag
{
    public required double CoulombNm { get; init; }
    public required double ViscousNmS { get; init; }
    public required double GreaseMassKg { get; init; }

    /// <summary>Change of both drags per kelvin that the grease is warmer than 20 °C, as a share; below 0 where warm grease drags less.</summary>
    public double TemperaturePerK { get; init; }

    /// <summary>Drag at a grease temperature over that at 20 °C: e^(k·(T − 20 °C)), which neither ends nor turns round. Common practice for a grease's base oil over a few ten kelvin, no source.</summary>
    public double ShareAt(double greaseC) => TemperaturePerK == 0 ? 1 : Math.Exp(TemperaturePerK * (greaseC - Quantities.ReferenceConditions.TemperatureC));

    /// <summary>By how much both drags are larger at the first turn of a unit that has stood for long, as a share; 0 where its grease does not settle.</summary>
    public double SettledShare { get; init; }

    /// <summary>Hours of standing after which all but 1/e of that has come.</summary>
    public double SettlingH { get; init; }

    /// <summary>Turns of the output after which all but 1/e of it is gone again.</summary>
    public double WorkedTurns { get; init; }

    /// <summary>How far the grease has settled in a unit that stood: 0 right after a run, towards 1.</summary>
    public double SettledAfter(double idleH) => SettledShare == 0 ? 0 : 1 - Math.Exp(-idleH / SettlingH);

    /// <summary>Drag over that with worked grease. Settling while it stands and channelling while it turns go exponentially: common practice, no source.</summary>
    /// <param name="settled">When the run began, 0 to 1.</param>
    /// <param name="outputTurns">Since then.</param>
    public double ShareUnworked(double settled, double outputTurns) => SettledShare == 0 ? 1 : 1 + SettledShare * settled * Math.Exp(-outputTurns / WorkedTurns);
}

/// <summary>Loss of the inverter: P0 + 1.5·R·I² + k·V·I with I the phase peak current.</summary>
public sealed record Inverter
{
    public required double StandingLossW { get; init; }
    public required double OnResistanceOhm { get; init; }
    public required double SwitchingLossWPerVA { get; init; }
    public required double PwmHz { get; init; }

    /// <summary>Share of Vdc/√3 that the modulator can use.</summary>
    public double UsableVoltageShare { get; init; } = 0.95;
}

/// <summary>Lumped heat capacities (J/K) and thermal resistances (K/W) of winding, stator, rotor, controller and housing.</summary>
public sealed record Thermal
{
    public required double WindingJPerK { get; init; }
    public required double StatorJPerK { get; init; }
    public required double RotorJPerK { get; init; }
    public required double ControllerJPerK { get; init; }
    public required double HousingJPerK { get; init; }
    public required double WindingStatorKPerW { get; init; }
    public required double StatorHousingKPerW { get; init; }
    public required double RotorStatorKPerW { get; init; }
    public required double RotorHousingKPerW { get; init; }
    public required double ControllerHousingKPerW { get; init; }

    /// <summary>Controller straight to the air around the unit, K/W; null where the housing holds the controller.</summary>
    public double? ControllerAmbientKPerW { get; init; }
    public required double HousingAmbientStillKPerW { get; init; }

    /// <summary>Housing to air at 20 km/h (5.56 m/s), K/W.</summary>
    public required double HousingAmbientMovingKPerW { get; init; }
}

/// <summary>The crank's own drag, clutches and stiffness.</summary>
public sealed record CrankSide
{
    public required double SealDragNm { get; init; }
    public required double MotorClutchOverrunDragNm { get; init; }
    public required double CrankClutchOverrunDragNm { get; init; }
    public required double ClutchEngageDeg { get; init; }
    public required double TorsionStiffnessNmPerRad { get; init; }
}

/// <summary>The crank torque sensor.</summary>
public sealed record TorqueSensor
{
    public required double RangeNm { get; init; }
    public required double NoiseRmsNm { get; init; }
    public required double NonlinearityShareOfRange { get; init; }
    public required double ZeroDriftNmPerK { get; init; }
}

/// <summary>The sealed volume and its leak test.</summary>
public sealed record Seal
{
    public required double FreeVolumeM3 { get; init; }
    public required double TestPressurePa { get; init; }

    /// <summary>Largest leak allowed, m³/s at standard conditions.</summary>
    public required double LeakLimitM3PerS { get; init; }
}
