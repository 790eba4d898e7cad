using System.Globalization;
using Roadproof.App.Frame;

namespace Roadproof.App.Tests.Pages;

/// <summary>Gears as drawn against the geometry of involute gears (textbook; ISO 21771, from memory): pitch radius = teeth · module / (2 cos helix), base radius = pitch · cos α,
/// tooth as thick as its gap on the pitch circle, and inv 20° = 0.014904 (tables of the involute function).</summary>
public sealed class GearOutlineTests
{
    [Fact]
    public void Pitch_radii_give_the_centre_distances_of_the_drawing()
    {
        // 0.8 · (12 + 83) / (2 cos 20°) and 1.25 · (13 + 68) / 2.
        Assert.Equal(40.439, GearOutline.PitchRadiusMm(12 + 83, 0.8e-3, 20), 3);
        Assert.Equal(50.625, GearOutline.PitchRadiusMm(13 + 68, 1.25e-3, 0), 9);
        var drawn = UnitGeometry.Of(SampleUnits.Drawn);
        var (a, b, c) = (drawn.Shafts[0], drawn.Shafts[1], drawn.Shafts[2]);
        Assert.Equal(40.439, Math.Sqrt(Math.Pow(b.XMm - a.XMm, 2) + Math.Pow(b.YMm - a.YMm, 2)), 3);
        Assert.Equal(50.625, Math.Sqrt(Math.Pow(c.XMm - b.XMm, 2) + Math.Pow(c.YMm - b.YMm, 2)), 9);
    }

    [Fact]
    public void A_tooth_is_as_thick_as_its_gap_on_the_pitch_circle() =>
        Assert.Equal(Math.PI / (2 * 40), GearOutline.HalfToothRad(40, 25, 25 * Math.Cos(20 * Math.PI / 180), 25), 12);

    [Fact]
    public void At_the_base_circle_a_tooth_is_wider_by_the_involute_of_20_degrees()
    {
        var baseRadius = 25 * Math.Cos(20 * Math.PI / 180);
        Assert.Equal(Math.PI / 80 + 0.014904, GearOutline.HalfToothRad(40, 25, baseRadius, baseRadius), 6);
    }

    [Fact]
    public void Every_tooth_is_drawn_between_root_and_tip()
    {
        var path = GearOutline.Path(68, 1.25e-3, 0, 0);
        var radii = path.Trim('M', 'Z').Split('L').Select(p => p.Split(' ').Select(n => double.Parse(n, CultureInfo.InvariantCulture)).ToArray()).Select(p => Math.Sqrt(p[0] * p[0] + p[1] * p[1])).ToList();
        Assert.Equal(42.5 + 1.25, radii.Max(), 1);
        Assert.Equal(42.5 - 1.25 * 1.25, radii.Min(), 1);
        Assert.Equal(2 * 68, radii.Count(r => r > 42.5 + 1.25 - 0.02));
    }

    [Fact]
    public void The_shell_holds_every_gear()
    {
        var drawn = UnitGeometry.Of(SampleUnits.Drawn);
        foreach (var gear in drawn.Gears)
        {
            Assert.InRange(gear.XMm - gear.TipRadiusMm, drawn.LeftMm, drawn.RightMm);
            Assert.InRange(gear.XMm + gear.TipRadiusMm, drawn.LeftMm, drawn.RightMm);
            Assert.InRange(gear.YMm - gear.TipRadiusMm, drawn.TopMm, drawn.BottomMm);
            Assert.InRange(gear.YMm + gear.TipRadiusMm, drawn.TopMm, drawn.BottomMm);
        }
    }
}
