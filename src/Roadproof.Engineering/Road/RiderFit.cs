using MathNet.Numerics.Distributions;
using Roadproof.Engineering.Formats;
using Roadproof.Engineering.Quantities;
using static System.FormattableString;

namespace Roadproof.Engineering.Road;

/// <summary>A fitted value with its interval of 95 %.</summary>
public readonly record struct FittedValue(double Value, double Lower, double Upper)
{
    /// <summary>Half the interval over the value: 0.1 is ±10 %.</summary>
    public double RelativeHalfWidth => (Upper - Lower) / 2 / Math.Abs(Value);
}

/// <summary>Drag area and rolling resistance of a rider, from a ride with a power meter.</summary>
/// <remarks>
/// The power balance of Martin et al. 1998, summed over minutes: what the meter read, less height, speed and bearings, is what air and tyres took, and these two share it as v³ and v
/// do. Least squares with Huber's weights; intervals by leaving out one block of minutes after the other, because wind and height err for longer than a minute.
/// The mass is taken as given, wind as none: a steady wind makes the drag area of a closed ride too large. Equations and limits: <c>docs/methods/road.md</c>.
/// </remarks>
public sealed record RiderFit
{
    /// <summary>Length of a window, s.</summary>
    public const int WindowLengthS = 60;

    /// <summary>Fewer windows than this give no interval worth the name.</summary>
    public const int LeastWindows = 20;

    /// <summary>An interval wider than ±this of its value tells nothing that one would not have guessed.</summary>
    public const double WidestHalfWidth = 0.3;

    /// <summary>A window with a slower second is left out, m/s: there a speed is mostly noise and a foot may be down.</summary>
    const double SlowestMps = 1.5;

    /// <summary>Residuals beyond this many robust standard deviations count less (Huber 1964: 95 % efficiency for normal noise; from memory).</summary>
    const double HuberAt = 1.345;

    const int FewestBlocks = 6, MostBlocks = 20, WindowsOfABlock = 5;

    /// <summary>
    /// Who coasts may brake, and what the brakes take is not drag. A run of seconds without power that lost more than these take has braked, and its minute is left out; lighter braking goes
    /// unseen and makes the rolling resistance of drawn rides 5 % too large. A limit from the fit itself would pull the fit down by leaving out what lies above it.
    /// </summary>
    const double LargestCdaM2 = 0.6, LargestRolling = 0.012;

    /// <summary>A shorter run without power is a turn of the crank, s.</summary>
    const int ShortestCoastS = 3;

    /// <summary>Null where <see cref="CannotTell"/> says why.</summary>
    public FittedValue? CdaM2 { get; init; }

    /// <summary>Null where <see cref="CannotTell"/> says why.</summary>
    public FittedValue? RollingCoefficient { get; init; }

    /// <summary>Why there is no answer, and which ride would give one; null where there is one.</summary>
    public string? CannotTell { get; init; }

    public required int Windows { get; init; }

    public required int Blocks { get; init; }

    /// <summary>Of the two estimates, from their intervals' jackknife: near −1 the ride tells their sum, not each.</summary>
    public double Correlation { get; init; }

    /// <summary>What is left over, as a mean power of a window: root of the mean square, W.</summary>
    public double ResidualW { get; init; }

    /// <summary>What whoever reads the figures must know.</summary>
    public IReadOnlyList<string> Warnings { get; init; } = [];

    /// <summary>Fits drag area and rolling resistance; mass, wheel and chain are the rider's.</summary>
    /// <exception cref="InputException">No power meter, no road or no elevation; or a rider who cannot be.</exception>
    public static RiderFit Of(Ride ride, Rider rider, RoadLoadOptions? options = null)
    {
        ArgumentNullException.ThrowIfNull(ride);
        ArgumentNullException.ThrowIfNull(rider);
        options ??= RoadLoadOptions.Default;
        rider.RequirePossible();
        RoadLoad.RequirePossible(options);
        var path = RidePath.Of(ride);
        var seconds = RideSeconds.Of(path);
        RequireWhatItTakes(ride, path, seconds);
        List<string> warnings = [];
        return Of(WindowsOf(seconds, rider.Resistance, RoadLoad.DensityKgPerM3(path, options, warnings), options.Wind.OverSeconds(ride.Name, path, seconds, warnings))) with { Warnings = warnings };
    }

    static void RequireWhatItTakes(Ride ride, RidePath path, RideSeconds seconds)
    {
        List<InputError> errors = [];
        if (Array.TrueForAll(seconds.RecordedPowerW, double.IsNaN)) errors.Add(new(ride.Name, 0, RideField.Power.Word, "no power", "a ride with a power meter"));
        if (!path.HasRoad) errors.Add(new(ride.Name, 0, "", "no road", "a ride on a road: indoors neither air nor tyres are its own"));
        else if (path.ElevationM is null) errors.Add(new(ride.Name, 0, RideField.Elevation.Word, "no elevation", "a ride with heights: a metre of height is as much work as a minute against the air"));
        if (errors.Count > 0) throw new InputException(errors);
    }

    /// <summary>A minute of riding, and the runs in it without power.</summary>
    readonly record struct Window(Work Whole, IReadOnlyList<Work> Coasts)
    {
        public bool HasBraked => Coasts.Any(c => c.LeftJ > (LargestCdaM2 * c.AirJ) + (LargestRolling * c.RollingJ));
    }

    /// <summary>Over a while: the work that air and tyres took, and what each takes per unit of its coefficient; all in J.</summary>
    readonly record struct Work(double LeftJ, double AirJ, double RollingJ)
    {
        public static Work operator +(Work a, Work b) => new(a.LeftJ + b.LeftJ, a.AirJ + b.AirJ, a.RollingJ + b.RollingJ);
    }

    static List<Window> WindowsOf(RideSeconds s, RoadResistance r, double densityKgPerM3, double[] againstMps)
    {
        List<Window> windows = [];
        for (var from = 0; from + WindowLengthS < s.Count;)
        {
            if (TryWindow(s, r, densityKgPerM3, againstMps, from, out var window, out var spoilt))
            {
                windows.Add(window);
                from += WindowLengthS;
            }
            else from = spoilt + 1;
        }

        return windows;
    }

    /// <summary>From the middle of one second to the middle of another: their speeds and heights are known there.</summary>
    static bool TryWindow(RideSeconds s, RoadResistance r, double densityKgPerM3, double[] againstMps, int from, out Window window, out int spoilt)
    {
        var inertKg = r.MassKg + (r.WheelInertiaKgM2 / (r.WheelRadiusM * r.WheelRadiusM));
        var (whole, coast, coastS) = (default(Work), default(Work), 0);
        List<Work> coasts = [];
        window = default;
        spoilt = from;
        for (var i = from; i <= from + WindowLengthS; i++)
        {
            spoilt = i;
            var (v, gradient, powerW) = (s.SpeedMps[i], s.Gradient[i], s.RecordedPowerW[i]);
            if (double.IsNaN(powerW) || v < SlowestMps || s.TimeS[i] - s.TimeS[from] > i - from + 0.5) return false;
            var cos = 1 / Math.Sqrt(1 + (gradient * gradient));
            var airSpeedMps = v + againstMps[i];
            var airW = 0.5 * densityKgPerM3 * airSpeedMps * Math.Abs(airSpeedMps) * v;
            var weight = i == from || i == from + WindowLengthS ? 0.5 : 1;
            var (leftW, rollingW) = ((powerW * r.Efficiency) - (v * (91 + (8.7 * v)) * 1e-3) - (airW * r.WheelDragM2), r.MassKg * r.GravityMps2 * v * cos);
            whole += new Work(weight * leftW, weight * airW, weight * rollingW);
            if (powerW < 1)
            {
                coast += new Work(leftW - (v * ((r.MassKg * r.GravityMps2 * gradient * cos) + (inertKg * s.AccelerationMps2[i]))), airW, rollingW);
                coastS++;
            }

            if (powerW < 1 && i < from + WindowLengthS) continue;
            if (coastS >= ShortestCoastS) coasts.Add(coast);
            (coast, coastS) = (default, 0);
        }

        var last = spoilt;
        var liftJ = r.MassKg * r.GravityMps2 * (s.ElevationM[last] - s.ElevationM[from]);
        var speedUpJ = inertKg * ((s.SpeedMps[last] * s.SpeedMps[last]) - (s.SpeedMps[from] * s.SpeedMps[from])) / 2;
        window = new(whole with { LeftJ = whole.LeftJ - liftJ - speedUpJ }, coasts);
        return true;
    }

    static RiderFit Of(List<Window> all)
    {
        const string better = " Ride half an hour or more, steadily, at two speeds far apart (15 and 30 km/h) on the level without wind.";
        List<Work> windows = [.. all.Where(w => !w.HasBraked).Select(w => w.Whole)];
        if (windows.Count < LeastWindows)
            return new() { Windows = windows.Count, Blocks = 0, CannotTell = Invariant($"Only {windows.Count} whole minutes of riding with power and without brakes, {LeastWindows} are needed.") + better };
        if (Solve(windows, 0..0) is not { } fit)
            return new() { Windows = windows.Count, Blocks = 0, CannotTell = "All minutes have the same speed: air and tyres cannot be told apart." + better };

        var blocks = Math.Clamp(windows.Count / WindowsOfABlock, FewestBlocks, MostBlocks);
        var told = new RiderFit { Windows = windows.Count, Blocks = blocks };
        var without = new (double Cda, double Crr)[blocks];
        for (var b = 0; b < blocks; b++)
        {
            var (from, to) = (b * windows.Count / blocks, (b + 1) * windows.Count / blocks);
            if (Solve(windows, from..to) is not { } part) return told with { CannotTell = "Only one block of minutes tells air and tyres apart." + better };
            without[b] = part;
        }

        var (cdaSd, crrSd, correlation) = Jackknife(without);
        var t = StudentT.InvCDF(0, 1, blocks - 1, 0.975);
        var cda = new FittedValue(fit.Cda, fit.Cda - (t * cdaSd), fit.Cda + (t * cdaSd));
        var crr = new FittedValue(fit.Crr, fit.Crr - (t * crrSd), fit.Crr + (t * crrSd));
        var residualW = Math.Sqrt(windows.Average(w => Math.Pow(w.LeftJ - (fit.Cda * w.AirJ) - (fit.Crr * w.RollingJ), 2))) / WindowLengthS;
        told = told with { CdaM2 = cda, RollingCoefficient = crr, Correlation = correlation, ResidualW = residualW };
        return (Doubt(cda, "drag area") ?? Doubt(crr, "rolling resistance")) is { } doubt ? told with { CannotTell = doubt + better } : told;

        static string? Doubt(FittedValue value, string what) => value.Lower > 0 && value.RelativeHalfWidth <= WidestHalfWidth ? null
            : Invariant($"The {what} lies between {value.Lower:0.####} and {value.Upper:0.####}: the ride does not tell it.");
    }

    /// <summary>Leaving out one block changes the estimate by its share of the error; t with one degree less than blocks.</summary>
    static (double CdaSd, double CrrSd, double Correlation) Jackknife((double Cda, double Crr)[] without)
    {
        var (meanCda, meanCrr) = (without.Average(w => w.Cda), without.Average(w => w.Crr));
        var (cc, rr, cr) = (0.0, 0.0, 0.0);
        foreach (var (cda, crr) in without)
        {
            cc += (cda - meanCda) * (cda - meanCda);
            rr += (crr - meanCrr) * (crr - meanCrr);
            cr += (cda - meanCda) * (crr - meanCrr);
        }

        var scale = (without.Length - 1.0) / without.Length;
        return (Math.Sqrt(scale * cc), Math.Sqrt(scale * rr), cc * rr > 0 ? cr / Math.Sqrt(cc * rr) : 0);
    }

    /// <summary>Huber's least squares without the windows left out; null where the two columns are one.</summary>
    static (double Cda, double Crr)? Solve(List<Work> windows, Range leftOut)
    {
        const int rounds = 30;
        var (skipFrom, skipTo) = (leftOut.Start.Value, leftOut.End.Value);
        var kept = windows.Where((_, i) => i < skipFrom || i >= skipTo).ToArray();
        var weights = new double[kept.Length];
        Array.Fill(weights, 1);
        var residuals = new double[kept.Length];
        (double Cda, double Crr) fit = default;
        for (var round = 0; round < rounds; round++)
        {
            var (aa, ar, rr, ay, ry) = (0.0, 0.0, 0.0, 0.0, 0.0);
            for (var i = 0; i < kept.Length; i++)
            {
                var (w, (y, a, r)) = (weights[i], kept[i]);
                aa += w * a * a;
                ar += w * a * r;
                rr += w * r * r;
                ay += w * a * y;
                ry += w * r * y;
            }

            var det = (aa * rr) - (ar * ar);
            if (!(det > 1e-9 * aa * rr)) return null;
            var before = fit;
            fit = (((ay * rr) - (ry * ar)) / det, ((ry * aa) - (ay * ar)) / det);
            for (var i = 0; i < kept.Length; i++) residuals[i] = Math.Abs(kept[i].LeftJ - (fit.Cda * kept[i].AirJ) - (fit.Crr * kept[i].RollingJ));
            var sorted = (double[])residuals.Clone();
            Array.Sort(sorted);
            var limitJ = HuberAt * 1.4826 * sorted[sorted.Length / 2];
            for (var i = 0; i < kept.Length; i++) weights[i] = residuals[i] <= limitJ || limitJ <= 0 ? 1 : limitJ / residuals[i];
            if (Math.Abs(fit.Cda - before.Cda) < 1e-9 && Math.Abs(fit.Crr - before.Crr) < 1e-11) break;
        }

        return fit;
    }
}
