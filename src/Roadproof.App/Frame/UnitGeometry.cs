using Roadproof.Engineering.Drive;

namespace Roadproof.App.Frame;

/// <summary>Where the parts of a drive unit stand in a front view, mm, the rotor axis at the origin, y downwards.</summary>
/// <remarks>
/// To scale: teeth, modules, centre distances. Schematic, because a product's definition does not hold them: how the shafts are folded, the diameters of stator
/// and rotor, the shell around them. Pages say so beside the picture.
/// </remarks>
public sealed class UnitGeometry
{
    const double FirstTurnDeg = -25;
    const double SecondTurnDeg = 17;
    const double WallMm = 7;

    UnitGeometry(IReadOnlyList<DrawnShaft> shafts, IReadOnlyList<DrawnGear> gears, double statorMm)
    {
        Shafts = shafts;
        Gears = gears;
        StatorRadiusMm = statorMm;
        var circles = gears.Select(g => (g.XMm, g.YMm, Radius: g.TipRadiusMm + WallMm)).Append((0, 0, statorMm + WallMm)).ToList();
        Hull = HullOf(circles);
        (LeftMm, RightMm) = (Hull.Min(p => p.X), Hull.Max(p => p.X));
        (TopMm, BottomMm) = (Hull.Min(p => p.Y), Hull.Max(p => p.Y));
    }

    /// <summary>From the rotor to the output.</summary>
    public IReadOnlyList<DrawnShaft> Shafts { get; }
    public IReadOnlyList<DrawnGear> Gears { get; }
    public double StatorRadiusMm { get; }
    public double RotorRadiusMm => 0.6 * StatorRadiusMm;
    public DrawnShaft Output => Shafts[^1];

    /// <summary>The shell's outline, in order around it.</summary>
    public IReadOnlyList<(double X, double Y)> Hull { get; }
    public double LeftMm { get; }
    public double RightMm { get; }
    public double TopMm { get; }
    public double BottomMm { get; }
    public string HullPath => $"M{string.Join('L', Hull.Select(p => $"{Figure.Svg(p.X)} {Figure.Svg(p.Y)}"))}Z";

    public static UnitGeometry Of(DriveUnit unit)
    {
        var shafts = new List<DrawnShaft> { new(0, 0) };
        var gears = new List<DrawnGear>();
        foreach (var (gear, stage) in unit.Gears.Select((g, i) => (g, i)))
        {
            var at = shafts[^1];
            if (gear is { PlanetTeeth: { } planet, Planets: { } planets })
            {
                gears.Add(Drawn(gear, stage, gear.PinionTeeth, "sun", at, 0));
                var arm = GearOutline.PitchRadiusMm(gear.PinionTeeth + planet, gear.NormalModuleM, gear.HelixDeg);
                for (var i = 0; i < planets; i++)
                {
                    var deg = 360.0 / planets * i - 90;
                    gears.Add(Drawn(gear, stage, planet, "planet", new(at.XMm + arm * Cos(deg), at.YMm + arm * Sin(deg)), deg + 180 + 180.0 / planet));
                }

                gears.Add(Drawn(gear, stage, gear.WheelTeeth, "ring", at, 0));
                shafts.Add(at);
                continue;
            }

            var turn = stage % 2 == 0 ? FirstTurnDeg : SecondTurnDeg;
            var distance = GearOutline.PitchRadiusMm(gear.PinionTeeth + gear.WheelTeeth, gear.NormalModuleM, gear.HelixDeg);
            var next = new DrawnShaft(at.XMm + distance * Cos(turn), at.YMm + distance * Sin(turn));
            // A tooth of the pinion looks at the wheel, a gap of the wheel looks back.
            gears.Add(Drawn(gear, stage, gear.WheelTeeth, "wheel", next, turn + 180 + 180.0 / gear.WheelTeeth));
            gears.Add(Drawn(gear, stage, gear.PinionTeeth, "pinion", at, turn));
            shafts.Add(next);
        }

        var reach = Math.Sqrt(shafts[^1].XMm * shafts[^1].XMm + shafts[^1].YMm * shafts[^1].YMm);
        return new(shafts, gears, reach > 20 ? 0.52 * reach : 1.15 * gears.Max(g => g.TipRadiusMm));
    }

    /// <summary>A place on the outline, drawn inwards.</summary>
    /// <param name="share">0 … 1 around the shell by length.</param>
    public (double X, double Y) Rim(double share, double inwardsMm)
    {
        var lengths = Hull.Select((p, i) => Distance(p, Hull[(i + 1) % Hull.Count])).ToArray();
        var wanted = share * lengths.Sum();
        var at = 0;
        while (at < lengths.Length - 1 && wanted > lengths[at]) wanted -= lengths[at++];
        var (a, b) = (Hull[at], Hull[(at + 1) % Hull.Count]);
        var t = lengths[at] > 0 ? wanted / lengths[at] : 0;
        var (dx, dy) = ((b.X - a.X) / Math.Max(lengths[at], 1e-9), (b.Y - a.Y) / Math.Max(lengths[at], 1e-9));
        return (a.X + t * (b.X - a.X) - dy * inwardsMm, a.Y + t * (b.Y - a.Y) + dx * inwardsMm);
    }

    static DrawnGear Drawn(GearStage stage, int index, int teeth, string role, DrawnShaft at, double toothAtDeg) => new(
        index + 1, role, teeth, at.XMm, at.YMm, GearOutline.PitchRadiusMm(teeth, stage.NormalModuleM, stage.HelixDeg), 1e3 * stage.NormalModuleM,
        GearOutline.Path(teeth, stage.NormalModuleM, stage.HelixDeg, toothAtDeg, at.XMm, at.YMm));

    // Convex hull (Andrew's monotone chain) of points on all circles; clockwise on the screen.
    static List<(double X, double Y)> HullOf(List<(double XMm, double YMm, double Radius)> circles)
    {
        var points = circles
            .SelectMany(c => Enumerable.Range(0, 90).Select(i => (X: c.XMm + c.Radius * Cos(4 * i), Y: c.YMm + c.Radius * Sin(4 * i))))
            .OrderBy(p => p.X).ThenBy(p => p.Y).ToList();
        var half = Half(points);
        points.Reverse();
        return [.. half.SkipLast(1), .. Half(points).SkipLast(1)];

        static List<(double X, double Y)> Half(List<(double X, double Y)> sorted)
        {
            var chain = new List<(double X, double Y)>();
            foreach (var p in sorted)
            {
                while (chain.Count > 1 && Cross(chain[^2], chain[^1], p) <= 0) chain.RemoveAt(chain.Count - 1);
                chain.Add(p);
            }

            return chain;
        }
    }

    static double Cross((double X, double Y) o, (double X, double Y) a, (double X, double Y) b) => (a.X - o.X) * (b.Y - o.Y) - (a.Y - o.Y) * (b.X - o.X);

    static double Distance((double X, double Y) a, (double X, double Y) b) => Math.Sqrt((a.X - b.X) * (a.X - b.X) + (a.Y - b.Y) * (a.Y - b.Y));

    static double Cos(double degrees) => Math.Cos(degrees * Math.PI / 180);

    static double Sin(double degrees) => Math.Sin(degrees * Math.PI / 180);
}

/// <summary>An axis in the front view, mm.</summary>
public sealed record DrawnShaft(double XMm, double YMm);

/// <summary>A gear in the front view.</summary>
/// <param name="Role">pinion, wheel, sun, planet or ring.</param>
public sealed record DrawnGear(int Stage, string Role, int Teeth, double XMm, double YMm, double PitchRadiusMm, double ModuleMm, string Path)
{
    public double TipRadiusMm => PitchRadiusMm + ModuleMm;
}
