using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Life;
using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Statistics;

namespace Roadproof.Engineering.CycleDesign;

/// <summary>What a rider uses up on a kilometre, at each place of the slopes that <see cref="RigHours.SlopePlaces"/> names; the plan's own slopes first.</summary>
public sealed record RiderWear(int Number, IReadOnlyList<IReadOnlyDictionary<string, double>> PerKm);

/// <summary>An element on a rig beside the riders.</summary>
/// <param name="Slope">Of life over torque; NaN where it is none.</param>
/// <param name="WhyNot">Why the rig cannot imitate the road for it; null where it can.</param>
/// <param name="HoursNeeded">On the rig, until it is used up as far as by the rider whom a share of all stay below; infinite where the cycle leaves it untouched.</param>
/// <param name="Covered">Share of the riders who use it up less than the hours of the programme; null without hours.</param>
/// <param name="TorqueRatio">Torque of that rider over the programme's, as one torque that does the same in as many turns; null without hours.</param>
public sealed record ElementHours(string Id, string Name, double Slope, string? WhyNot, double HoursNeeded, Interval HoursInterval, double? Covered, Interval? CoveredInterval, double? TorqueRatio);

/// <summary>How long a rig must repeat a cycle until it has done what riders do over their distance, and whom so many hours cover.</summary>
/// <remarks>
/// Damage against damage: the strength of an element is the same on both sides and cancels, its slope does not. Intervals are over the slopes of their ranges and riders drawn anew, the middle 95 %.
/// A share of riders is a share of the mix's draws; how well the mix stands for the buyers is not in it. Equations: <c>docs/methods/cycle-design.md</c>.
/// </remarks>
public sealed class RigHours
{
    /// <summary>Places of every slope in its range; the first, null, is the plan's own.</summary>
    static readonly double?[] SlopePlaces = [null, 0.05, 0.275, 0.5, 0.725, 0.95];
    const int Draws = 200;

    /// <summary>Length of a pass of on and off, s.</summary>
    const int PassS = 600;

    readonly DriveUnit unit;
    readonly LifePlan plan;
    readonly RigRun rig;
    readonly UnitLife[] lives;
    readonly double windingLimitC;

    public RigHours(DriveUnit unit, LifePlan plan, RigLimits limits)
    {
        ArgumentNullException.ThrowIfNull(unit);
        ArgumentNullException.ThrowIfNull(plan);
        ArgumentNullException.ThrowIfNull(limits);
        if (RigLimits.TooHot(limits.WindingC, unit).ToList() is { Count: > 0 } tooHot) throw new InputException(tooHot);
        (this.unit, this.plan) = (unit, plan);
        rig = new(unit, limits);
        lives = [.. SlopePlaces.Select(place => new UnitLife(unit, place is { } p ? plan.AtSlope(p) : plan))];
        windingLimitC = limits.WindingC ?? unit.Motor.DeratingStartC - 10;
    }

    /// <summary>What a rider's ride uses up per kilometre.</summary>
    /// <param name="ride">Of one rider, with a road.</param>
    public RiderWear WearOf(int number, LoadSpectrum ride)
    {
        ArgumentNullException.ThrowIfNull(ride);
        return new(number, [.. lives.Select(life => (IReadOnlyDictionary<string, double>)life.Damages(ride).ToDictionary(d => d.Key, d => d.Value / (ride.DistanceM / 1000), StringComparer.Ordinal))]);
    }

    /// <summary>One torque, on and off, on for as long as the winding stays below its limit when it goes on for hours.</summary>
    /// <returns>Null where not even a second in ten minutes keeps the winding below its limit.</returns>
    public IReadOnlyList<CyclePoint>? OnAndOff(double torqueNm, double radPerS)
    {
        var (fits, tooLong) = (0, PassS + 1);
        while (tooLong - fits > 1)
        {
            var onS = (fits + tooLong) / 2;
            if (rig.Settled(Points(onS)).PeakWindingC <= windingLimitC) fits = onS;
            else tooLong = onS;
        }

        return fits > 0 ? Points(fits) : null;

        List<CyclePoint> Points(int onS) => onS == PassS ? [new(torqueNm, radPerS, onS)] : [new(torqueNm, radPerS, onS), new(0, 0, PassS - onS)];
    }

    /// <summary>Winding at its warmest when a cycle goes on for hours, °C.</summary>
    public double PeakWindingC(IReadOnlyList<CyclePoint> points) => rig.Settled(points).PeakWindingC;

    /// <summary>Each element of the unit, the longest on the rig first; what a rig cannot imitate last.</summary>
    /// <param name="riders">From <see cref="WearOf"/>, one for each drawn rider.</param>
    /// <param name="distanceKm">That each of them rides.</param>
    /// <param name="share">Of the riders who are to be covered, above 0 and below 1.</param>
    /// <param name="points">A cycle that repeats.</param>
    /// <param name="hours">Of the programme; null asks only for what is needed.</param>
    /// <param name="road">All riders together: tells what they do not use up.</param>
    public IReadOnlyList<ElementHours> Of(IReadOnlyList<RiderWear> riders, double distanceKm, double share, IReadOnlyList<CyclePoint> points, double? hours, LoadSpectrum road)
    {
        ArgumentNullException.ThrowIfNull(riders);
        ArgumentNullException.ThrowIfNull(points);
        var pass = rig.Settled(points);
        var perHour = lives.Select(life => life.Damages(pass).ToDictionary(d => d.Key, d => d.Value * 3600 / points.Sum(p => p.HoldS), StringComparer.Ordinal)).ToList();
        var slopes = lives[0].Of(road).ToDictionary(e => e.Id, e => e.Slope, StringComparer.Ordinal);
        return [.. DamageAim.Of(road, lives[0], plan).Select(One).OrderBy(e => e.WhyNot is null ? 0 : 1).ThenByDescending(e => e.HoursNeeded)];

        ElementHours One(DamageAim aim)
        {
            var wear = SlopePlaces.Select((_, s) => riders.Select(r => r.PerKm[s].GetValueOrDefault(aim.Id) * distanceKm).Order().ToArray()).ToList();
            var needed = Hours(wear[0], perHour[0][aim.Id]);
            var covered = hours is { } h ? Below(wear[0], h * perHour[0][aim.Id]) : (double?)null;
            var noise = new SeededNoise(1, "riders drawn anew");
            List<double> ofHours = [], ofCovered = [];
            for (var s = 1; s < SlopePlaces.Length; s++)
            {
                for (var draw = 0; draw < Draws; draw++)
                {
                    var drawn = DrawnAnew(wear[s], noise);
                    ofHours.Add(Hours(drawn, perHour[s][aim.Id]));
                    if (hours is { } ran) ofCovered.Add(Below(drawn, ran * perHour[s][aim.Id]));
                }
            }

            return new(aim.Id, aim.Name, slopes[aim.Id], aim.WhyNot, needed, Middle(ofHours), covered, hours is null ? null : Middle(ofCovered),
                hours is { } planned && needed > 0 && double.IsFinite(slopes[aim.Id]) ? Math.Pow(needed / planned, 1 / slopes[aim.Id]) : null);
        }

        double Hours(double[] sorted, double damagePerHour) => At(sorted) is > 0 and var damage ? damage / damagePerHour : 0;

        // Straight between the sorted values.
        double At(double[] sorted)
        {
            var place = share * (sorted.Length - 1);
            var below = (int)place;
            return below + 1 < sorted.Length ? sorted[below] + ((place - below) * (sorted[below + 1] - sorted[below])) : sorted[below];
        }
    }

    /// <summary>As many, with repeats, in their order.</summary>
    static double[] DrawnAnew(double[] sorted, SeededNoise noise)
    {
        var times = new int[sorted.Length];
        for (var i = 0; i < sorted.Length; i++) times[(int)(noise.Share() * sorted.Length)]++;
        var drawn = new double[sorted.Length];
        var at = 0;
        for (var i = 0; i < sorted.Length; i++)
        {
            for (var n = 0; n < times[i]; n++) drawn[at++] = sorted[i];
        }

        return drawn;
    }

    static double Below(double[] sorted, double damage) => (double)sorted.Count(d => d <= damage) / sorted.Length;

    static Interval Middle(List<double> values)
    {
        values.Sort();
        var tail = (int)((1 - UncertainDamage.Confidence) / 2 * (values.Count - 1));
        return new(values[tail], values[^(1 + tail)], UncertainDamage.Confidence);
    }
}
