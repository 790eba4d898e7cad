using Roadproof.Engineering.Drive;

namespace Roadproof.Engineering.Life;

/// <summary>A pair of gears as it meets: geometry, and the stresses of a torque.</summary>
/// <remarks>
/// External pairs; a planetary stage is its sun against one planet (the planet against the ring is milder at the flank and bends the planet the other way).
/// Sources: ISO 21771 (geometry), ISO 6336-2 and -3, method B with the force at the tip and Y_ε (equations from memory); polymer gears by the same nominal stress without stress correction, as VDI 2736-2 has it (from memory).
/// Limits: standard basic rack, no tip or root relief, load factor as data. Not for the release of a gear: for that, tests of the pair itself.
/// </remarks>
public sealed class GearMesh
{
    /// <summary>A planet's tooth is bent to and fro: it bears so much less (ISO 6336-5, mean stress of idlers; from memory).</summary>
    const double BentBothWays = 0.7;
    const double PolymerBelowPa = 2e10;

    readonly GearStage stage;
    readonly GearPair pair;
    readonly double wheelTeeth, baseHelixRad, contactRatio, overlap, diameterM;
    readonly ToothForm pinionForm, wheelForm;

    /// <exception cref="ArgumentOutOfRangeException">The teeth cannot be: cut away or pointed.</exception>
    public GearMesh(GearStage stage, GearPair pair)
    {
        ArgumentNullException.ThrowIfNull(stage);
        ArgumentNullException.ThrowIfNull(pair);
        (this.stage, this.pair) = (stage, pair);
        wheelTeeth = stage.PlanetTeeth ?? stage.WheelTeeth;
        var helixRad = stage.HelixDeg * Math.PI / 180;
        var normalRad = 20 * Math.PI / 180;
        TransverseRad = Math.Atan(Math.Tan(normalRad) / Math.Cos(helixRad));
        baseHelixRad = Math.Asin(Math.Sin(helixRad) * Math.Cos(normalRad));
        var transverseModuleM = stage.NormalModuleM / Math.Cos(helixRad);
        diameterM = transverseModuleM * stage.PinionTeeth;
        WheelDiameterM = transverseModuleM * wheelTeeth;
        WorkingRad = WorkingAngleRad(TransverseRad, 2 * (pair.PinionShift + pair.WheelShift) * Math.Tan(normalRad) / (stage.PinionTeeth + wheelTeeth));
        CentreDistanceM = (diameterM + WheelDiameterM) / 2 * Math.Cos(TransverseRad) / Math.Cos(WorkingRad);
        contactRatio = TipRatio(stage.PinionTeeth, diameterM, pair.PinionShift) + TipRatio(wheelTeeth, WheelDiameterM, pair.WheelShift);
        overlap = stage.FaceWidthM * Math.Sin(helixRad) / (Math.PI * stage.NormalModuleM);
        var virtualPerTooth = 1 / (Math.Cos(baseHelixRad) * Math.Cos(baseHelixRad) * Math.Cos(helixRad));
        pinionForm = ToothForm.Of(stage.PinionTeeth * virtualPerTooth, pair.PinionShift);
        wheelForm = ToothForm.Of(wheelTeeth * virtualPerTooth, pair.WheelShift);
    }

    /// <summary>Pressure angle across the shafts, at the reference and at the working circle.</summary>
    public double TransverseRad { get; }
    public double WorkingRad { get; }
    public double CentreDistanceM { get; }
    public double ContactRatio => contactRatio;
    public double Overlap => overlap;
    public double PinionDiameterM => diameterM;
    public double WheelDiameterM { get; }

    /// <summary>Teeth of what meets the pinion: the wheel, or a planet.</summary>
    public double WheelTeeth => wheelTeeth;

    /// <summary>Working pressure angle of a pair whose profile shifts add up: inv α_w = inv α + 2·Σx·tan α_n/Σz.</summary>
    public static double WorkingAngleRad(double transverseRad, double involuteGain)
    {
        var target = ToothForm.Involute(transverseRad) + involuteGain;
        var rad = transverseRad;
        for (var round = 0; round < 50; round++)
        {
            var tan = Math.Tan(rad);
            rad -= (tan - rad - target) / (tan * tan);
        }

        return rad;
    }

    /// <summary>Tangential force of one mesh at the reference circle, N; planets share it.</summary>
    public double TangentialN(double pinionNm) => 2 * pinionNm / diameterM / (stage.Planets ?? 1);

    /// <summary>Force across the shafts, tangential and radial together, N.</summary>
    public double TransverseN(double pinionNm) => TangentialN(pinionNm) / Math.Cos(TransverseRad);

    /// <summary>Along the shafts, N.</summary>
    public double AxialN(double pinionNm) => TangentialN(pinionNm) * Math.Tan(stage.HelixDeg * Math.PI / 180);

    /// <summary>Stress at the root, Pa, of a torque at the pinion: of a pulsating load that does the same. Without the notch's stress correction for a polymer, which creeps there.</summary>
    /// <param name="material">Of the gear that is looked at.</param>
    public double RootPa(double pinionNm, bool wheel, GearMaterial material)
    {
        ArgumentNullException.ThrowIfNull(material);
        var polymer = material.YoungPa < PolymerBelowPa;
        var form = wheel ? wheelForm : pinionForm;
        var normalContact = contactRatio / (Math.Cos(baseHelixRad) * Math.Cos(baseHelixRad));
        var share = 0.25 + 0.75 / normalContact;
        var helix = 1 - Math.Min(1, overlap) * Math.Min(30, stage.HelixDeg) / 120;
        return pair.LoadFactor * TangentialN(pinionNm) / (stage.FaceWidthM * stage.NormalModuleM) * form.Form * (polymer ? 1 : form.Stress) * share * helix / (wheel && stage.PlanetTeeth is not null ? BentBothWays : 1);
    }

    /// <summary>Contact stress at the flank, Pa, of a torque at the pinion: grows with its root.</summary>
    public double FlankPa(double pinionNm, GearMaterial pinion, GearMaterial wheel)
    {
        ArgumentNullException.ThrowIfNull(pinion);
        ArgumentNullException.ThrowIfNull(wheel);
        var zone = Math.Sqrt(2 * Math.Cos(baseHelixRad) * Math.Cos(WorkingRad) / (Math.Cos(TransverseRad) * Math.Cos(TransverseRad) * Math.Sin(WorkingRad)));
        var contact = overlap < 1
            ? Math.Sqrt((4 - contactRatio) / 3 * (1 - overlap) + overlap / contactRatio)
            : Math.Sqrt(1 / contactRatio);
        var helix = 1 / Math.Sqrt(Math.Cos(stage.HelixDeg * Math.PI / 180));
        var ratio = wheelTeeth / stage.PinionTeeth;
        return zone * ElasticFactor(pinion, wheel) * contact * helix
            * Math.Sqrt(pair.LoadFactor * TangentialN(pinionNm) / (stage.FaceWidthM * diameterM) * (ratio + 1) / ratio);
    }

    /// <summary>√(1/π/((1−ν₁²)/E₁ + (1−ν₂²)/E₂)), √Pa.</summary>
    public static double ElasticFactor(GearMaterial one, GearMaterial other)
    {
        ArgumentNullException.ThrowIfNull(one);
        ArgumentNullException.ThrowIfNull(other);
        return Math.Sqrt(1 / (Math.PI * ((1 - one.PoissonRatio * one.PoissonRatio) / one.YoungPa + (1 - other.PoissonRatio * other.PoissonRatio) / other.YoungPa)));
    }

    /// <summary>Depth worn off a wheel's flank by one meeting of its tooth, m: wear · force · way slid / (face width · flank's length).</summary>
    /// <remarks>
    /// Loss factor H_V by Niemann and Winter: π(u+1)/(z₁·u·cos β_b)·(1 − ε_α + ε₁² + ε₂²), the way slid per unit of way rolled (from memory).
    /// Archard's form as VDI 2736-2 has it: T·2π·H_V·k/(b·z·l), flank length l taken as 2 modules (from memory).
    /// </remarks>
    public double WearM(double pinionNm, double wearM3PerNm)
    {
        var wheelNm = pinionNm * wheelTeeth / stage.PinionTeeth / (stage.Planets ?? 1);
        return wearM3PerNm * pair.LoadFactor * wheelNm * 2 * Math.PI * LossFactor / (stage.FaceWidthM * wheelTeeth * 2 * stage.NormalModuleM);
    }

    /// <summary>Share of the power that slides, H_V: the mesh's loss is friction times this.</summary>
    public double LossFactor
    {
        get
        {
            var (first, second) = (TipRatio(stage.PinionTeeth, diameterM, pair.PinionShift), TipRatio(wheelTeeth, WheelDiameterM, pair.WheelShift));
            var ratio = wheelTeeth / stage.PinionTeeth;
            return Math.PI * (ratio + 1) / (stage.PinionTeeth * ratio * Math.Cos(baseHelixRad)) * (1 - contactRatio + first * first + second * second);
        }
    }

    /// <summary>A gear's part of the contact ratio, from the pitch point to its tip.</summary>
    double TipRatio(double teeth, double referenceM, double shift)
    {
        var tipM = referenceM + 2 * stage.NormalModuleM * (1 + shift);
        var baseM = referenceM * Math.Cos(TransverseRad);
        return teeth / (2 * Math.PI) * (Math.Sqrt(tipM * tipM / (baseM * baseM) - 1) - Math.Tan(WorkingRad));
    }
}
