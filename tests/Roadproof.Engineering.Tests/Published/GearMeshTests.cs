using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Life;

namespace Roadproof.Engineering.Tests.Published;

public sealed class GearMeshTests
{
    static readonly FatigueLine AnyLine = new() { PivotCycles = 1e6, Slope = 8, SlopeLower = 8, SlopeUpper = 8, Strength = [new() { TemperatureC = 20, Value = 1 }], StrengthUncertaintyShare = 0, Origin = "test" };
    static readonly GearMaterial Steel = new() { Id = "steel", Name = "steel", YoungPa = 206e9, PoissonRatio = 0.3, DensityKgPerM3 = 7830, Root = AnyLine };

    static GearStage Stage(int pinion, int wheel, double moduleM, double helixDeg = 0, double faceM = 0.02) => new()
    {
        PinionTeeth = pinion, WheelTeeth = wheel, NormalModuleM = moduleM, HelixDeg = helixDeg, FaceWidthM = faceM, MeshEfficiency = 0.98, Pinion = "steel", Wheel = "steel",
    };

    static GearPair Pair(double pinionShift = 0, double wheelShift = 0) => new() { Pinion = "steel", Wheel = "steel", PinionShift = pinionShift, WheelShift = wheelShift, LoadFactor = 1 };

    /// <summary>Gear makers' technical reference, table of a shifted spur pair: m 3, z 12/24, x 0.6/0.36: α_w 26.0886°, a 56.4999 mm (seen as a cited oracle in a public gear test).</summary>
    [Fact]
    public void A_shifted_pair_works_at_its_own_angle_and_distance()
    {
        var mesh = new GearMesh(Stage(12, 24, 0.003), Pair(0.6, 0.36));
        Assert.Equal(26.0886, mesh.WorkingRad * 180 / Math.PI, 4);
        Assert.Equal(0.0564999, mesh.CentreDistanceM, 6);
    }

    /// <summary>inv 20° = 0.014904 (the same reference).</summary>
    [Fact]
    public void Involute_of_twenty_degrees() => Assert.Equal(0.014904, ToothForm.Involute(20 * Math.PI / 180), 6);

    /// <summary>Shigley, problem 13-4: 3 teeth per inch, 21/28: contact ratio 1.604 (analytic; seen as a cited oracle in a public gear test).</summary>
    [Fact]
    public void Contact_ratio_of_a_textbook_pair() => Assert.Equal(1.60357, new GearMesh(Stage(21, 28, 0.0254 / 3), Pair()).ContactRatio, 4);

    /// <summary>ISO 6336-2: steel on steel 189.8 √(N/mm²) (from memory).</summary>
    [Fact]
    public void Elasticity_of_steel_on_steel() => Assert.Equal(189.8, GearMesh.ElasticFactor(Steel, Steel) / 1e3, 0);

    /// <summary>Hertz's pressure of two cylinders at the pitch point, from the radii there: the standard's zone factor 2.495 and elasticity factor in other clothes.</summary>
    [Fact]
    public void Contact_stress_is_that_of_two_cylinders()
    {
        var mesh = new GearMesh(Stage(20, 60, 0.002), Pair());
        const double torqueNm = 30;
        var (r1, r2) = (mesh.PinionDiameterM / 2 * Math.Sin(mesh.WorkingRad), mesh.WheelDiameterM / 2 * Math.Sin(mesh.WorkingRad));
        var curvature = 1 / r1 + 1 / r2;
        var reduced = 1 / (2 * (1 - 0.09) / 206e9);
        var pitchPa = Math.Sqrt(mesh.TransverseN(torqueNm) / 0.02 * curvature * reduced / Math.PI);
        var shared = Math.Sqrt((4 - mesh.ContactRatio) / 3);
        Assert.Equal(pitchPa * shared, mesh.FlankPa(torqueNm, Steel, Steel), pitchPa * 1e-9);
    }

    /// <summary>A known force: the reference's 192 N and 17.2 MPa nominal of the mid-drive's first stage at rated load follow from its torque.</summary>
    [Fact]
    public void Force_of_the_first_stage_at_rated_load()
    {
        var mesh = new GearMesh(MidDrive.Unit.Gears[0], Pair(0.35, -0.35));
        var pinionNm = 31.8 / (MidDrive.Unit.Ratio * MidDrive.Unit.MeshEfficiency);
        Assert.Equal(192, mesh.TangentialN(pinionNm), 10.0);
        Assert.Equal(17.2e6, mesh.TangentialN(pinionNm) / (0.014 * 0.0008), 0.9e6);
    }

    /// <summary>Friction 0.05 with the loss factor of the pair makes the few percent that such meshes lose (common practice, no source).</summary>
    [Fact]
    public void Loss_factor_gives_a_loss_of_percents()
    {
        Assert.InRange(0.05 * new GearMesh(Stage(12, 83, 0.0008, 20, 0.014), Pair(0.35, -0.35)).LossFactor, 0.005, 0.03);
        Assert.InRange(0.05 * new GearMesh(Stage(13, 68, 0.00125, 0, 0.014), Pair(0.4, -0.4)).LossFactor, 0.005, 0.03);
    }
}
