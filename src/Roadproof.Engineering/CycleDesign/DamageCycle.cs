using MathNet.Numerics.LinearAlgebra;
using MathNet.Numerics.Optimization;
using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Life;
using Roadproof.Engineering.Quantities;
using static System.FormattableString;

namespace Roadproof.Engineering.CycleDesign;

/// <summary>What a cycle does to an element beside what the road does.</summary>
/// <param name="PerPass">Damage of one pass.</param>
/// <param name="RoadPerKm">Damage of a kilometre of road.</param>
/// <param name="EquivalentM">Road that one pass stands for, for this element alone, m.</param>
/// <param name="Ratio">That over the distance that the whole cycle stands for; 1 is the road's own proportion.</param>
/// <param name="WhyNot">Why the cycle was not made for it; null where it was.</param>
public sealed record ElementShare(string Id, string Name, double PerPass, double RoadPerKm, double EquivalentM, double Ratio, string? WhyNot);

/// <summary>A cycle with what it stands for.</summary>
public sealed record DesignedCycle
{
    public required IReadOnlyList<CyclePoint> Points { get; init; }
    public double DurationS => Points.Sum(p => p.HoldS);

    /// <summary>Every element of the road's spectrum.</summary>
    public required IReadOnlyList<ElementShare> Elements { get; init; }

    /// <summary>Road that one pass stands for: the geometric mean over the elements it was made for, m.</summary>
    public required double EquivalentM { get; init; }

    /// <summary>Over the unknown slopes of the elements, the elements' differences and, from two rides on, which rides were recorded.</summary>
    public required Interval EquivalentIntervalM { get; init; }
    public required double PeakWindingC { get; init; }

    /// <summary>Largest departure of an element it was made for from the common distance, as a share; infinite where it leaves one untouched.</summary>
    public required double LargestError { get; init; }

    /// <summary>What keeps the cycle from being better than <see cref="DamageCycle.Tolerance"/>; null where it is.</summary>
    public required string? Binding { get; init; }

    /// <summary>The pass begins as warm as it ends: a block that goes on for hours. Else it begins at the room's temperature.</summary>
    public required bool Settled { get; init; }
    public required IReadOnlyList<string> Warnings { get; init; }
}

/// <summary>Finds a short cycle that uses up the elements of a unit in the proportions of the road.</summary>
/// <remarks>
/// Damage is linear in the time that a point is held, so that proportions are a matter of non-negative least squares over a grid of points, pulses that take up the clutch, and rest that keeps the winding below its limit.
/// Holds are then rounded to seconds and the torques trimmed (Nelder and Mead) on the damages themselves, at the temperatures that the cycle comes to. What is told in the end is counted on the cycle as it would run.
/// One distance for all elements exists only as far as the proportions hold: each element's own stands beside it.
/// </remarks>
public sealed class DamageCycle
{
    /// <summary>Beyond this an error is no figure to go by: ten times too much or too little.</summary>
    const double NowhereNear = 9;

    /// <summary>An element counts as reproduced within this of the road's proportion.</summary>
    public const double Tolerance = 0.2;

    /// <summary>Shortest pulse that takes up the clutch, s.</summary>
    const double PulseS = 2;
    const int TorqueLevels = 12;
    static readonly double[] SpeedLevels = [0, 0.5, 1];

    readonly DriveUnit unit;
    readonly LifePlan plan;
    readonly UnitLife life;
    readonly RigLimits limits;
    readonly RigRun rig;
    readonly ThermalNetwork network;
    readonly double mostNm, slowest, fastest, windingLimitC;

    /// <exception cref="InputException">Limits that leave no point.</exception>
    public DamageCycle(DriveUnit unit, LifePlan plan, RigLimits limits)
    {
        ArgumentNullException.ThrowIfNull(unit);
        ArgumentNullException.ThrowIfNull(plan);
        ArgumentNullException.ThrowIfNull(limits);
        (this.unit, this.plan, this.limits) = (unit, plan, limits);
        life = new(unit, plan);
        rig = new(unit, limits);
        network = new(unit.Thermal, limits.AirMps);
        mostNm = Math.Min(limits.MaximumTorqueNm ?? double.PositiveInfinity, unit.Rating.MaximumTorqueNm);
        var rated = unit.Rating.RatedOutputRpm * ReferenceConditions.RadPerSPerRpm;
        (slowest, fastest) = (limits.SlowestRadPerS ?? rated / 2, limits.FastestRadPerS ?? rated * 1.4);
        windingLimitC = limits.WindingC ?? unit.Motor.DeratingStartC - 10;
        Require();
    }

    /// <param name="road">Rides, merged.</param>
    /// <param name="durationS">Length of a pass; for a block that is repeated, of the repeated piece.</param>
    /// <param name="settled">A block that goes on for hours; else one pass from the room's temperature.</param>
    /// <param name="rides">Each ride by itself, for how far the distance depends on which were recorded; may be empty.</param>
    public DesignedCycle Design(LoadSpectrum road, double durationS, bool settled, IReadOnlyList<LoadSpectrum>? rides = null)
    {
        ArgumentNullException.ThrowIfNull(road);
        if (durationS is not (>= 20 and <= 7200)) throw new InputException(new InputError("cycle", 0, "durationS", Invariant($"{durationS}"), "a length from 20 s to two hours"));
        var aims = AimsOf(road);
        var aimed = aims.Where(a => a.WhyNot is null).ToList();
        var best = Best(aimed, durationS, settled, limits.ShortestHoldS, mostNm, windingLimitC);
        var told = Told(best, aims, road, settled, rides ?? []);
        return told.LargestError <= Tolerance ? told : told with { Binding = WhatBinds(aimed, durationS, settled, told.LargestError) };
    }

    /// <summary>Holds a cycle that somebody else made against a road.</summary>
    public DesignedCycle Compare(IReadOnlyList<CyclePoint> points, LoadSpectrum road, bool settled, IReadOnlyList<LoadSpectrum>? rides = null) =>
        Told(points, AimsOf(road), road, settled, rides ?? []);

    IReadOnlyList<DamageAim> AimsOf(LoadSpectrum road)
    {
        var aims = DamageAim.Of(road, life, plan);
        return aims.Any(a => a.WhyNot is null) ? aims
            : throw new InputException(new InputError("cycle", 0, "rides", "nothing that these rides use up and a rig can imitate", "rides on which the motor pulls"));
    }

    /// <summary>The shares of a pass that may be load, the busiest first: rest keeps the teeth as warm as on the road, where their strength is the road's.</summary>
    static readonly double[] Duties = [1, 0.7, 0.5, 0.35, 0.2, 0.1];

    /// <summary>A block longer than this is made of pieces about as long, s.</summary>
    const double PieceS = 600;

    /// <summary>The shares of the largest torque that a cycle may be made of.</summary>
    static readonly double[] Tops = [1, 0.85, 0.7];

    List<CyclePoint> Best(IReadOnlyList<DamageAim> aimed, double durationS, bool settled, double shortestS, double highestNm, double hottestC)
    {
        if (settled)
        {
            // Heavy holds of many minutes would heat the winding in one go: a long block is a shorter one again and again.
            var pieces = durationS > 1.5 * PieceS ? (int)Math.Round(durationS / PieceS) : 1;
            return [.. Enumerable.Repeat(Farthest(aimed, durationS / pieces, shortestS, highestNm, hottestC), pieces).SelectMany(points => points)];
        }

        (List<CyclePoint> Points, double Error) best = ([], double.PositiveInfinity);
        foreach (var duty in Duties)
        {
            foreach (var top in Tops)
            {
                var points = Drafted(aimed, durationS, duty, settled, shortestS, top * highestNm, hottestC).Points();
                if (ErrorOf(points, aimed, settled) is var error && error < best.Error) best = (points, error);
                if (best.Error <= Tolerance / 2) return best.Points;
            }

            if (best.Error <= Tolerance) break;
        }

        return best.Points;
    }

    /// <summary>A block that goes on for hours is to be over soon: of those that keep the road's proportions the one that stands for most road; where none keeps them, the nearest.</summary>
    List<CyclePoint> Farthest(IReadOnlyList<DamageAim> aimed, double durationS, double shortestS, double highestNm, double hottestC)
    {
        var tried = (from duty in Duties from top in Tops select Seen(Drafted(aimed, durationS, duty, settled: true, shortestS, top * highestNm, hottestC), aimed)).ToList();
        var holding = tried.FindAll(t => t.Error <= Tolerance && t.PeakC <= hottestC);
        return holding.Count == 0
            ? tried.MinBy(t => t.Error).Draft.Points()
            : Polished(holding.OrderByDescending(t => t.MeanLog).Take(2).Select(t => Pushed(t, aimed, shortestS, highestNm, hottestC)).MaxBy(t => t.MeanLog), aimed, shortestS, highestNm, hottestC).Draft.Points();
    }

    /// <summary>Drawn about the best block, each counted as it would run; whatever stands for more road within the limits is gone on from. Here nothing is taken from a temperature of before.</summary>
    SeenDraft Polished(SeenDraft best, IReadOnlyList<DamageAim> aimed, double shortestS, double highestNm, double hottestC)
    {
        const int draws = 120;
        var noise = new Statistics.SeededNoise(1, "blocks drawn about the best");
        for (var draw = 0; draw < draws; draw++)
        {
            // Wide steps first, narrow ones at the end.
            var width = 1 - (0.8 * draw / draws);
            var drawn = best.Draft with
            {
                Parts =
                [
                    .. best.Draft.Parts.Select(p => p with
                    {
                        TorqueNm = Math.Min(Math.Min(highestNm, unit.Rating.MaximumOutputW / p.RadPerS), p.TorqueNm * Math.Exp(0.06 * width * noise.Normal())),
                        HoldS = p.IsPulse ? p.HoldS : Math.Max(shortestS, Math.Round(p.HoldS * Math.Exp(0.2 * width * noise.Normal()))),
                    }),
                ],
            };
            if (!drawn.IsPossible(shortestS)) continue;
            if (Seen(drawn, aimed) is var seen && seen.Error <= Tolerance && seen.PeakC <= hottestC && seen.MeanLog > best.MeanLog) best = seen;
        }

        return best;
    }

    /// <summary>A draft as it would run for hours: the logarithm of its common distance, its largest departure and its warmest winding.</summary>
    readonly record struct SeenDraft(CycleDraft Draft, double MeanLog, double Error, double PeakC);

    SeenDraft Seen(CycleDraft draft, IReadOnlyList<DamageAim> aimed)
    {
        var spectrum = rig.Settled(draft.Points());
        var logs = Logs(life.Damages(spectrum), aimed);
        return new(draft, logs.Average(), Departure(logs), spectrum.PeakWindingC);
    }

    /// <summary>How much of the tolerance is left for what the holds and torques do to the temperatures while they are moved.</summary>
    const double PushedTo = 0.8 * Tolerance;

    SeenDraft Pushed(SeenDraft start, IReadOnlyList<DamageAim> aimed, double shortestS, double highestNm, double hottestC)
    {
        var (best, draft) = (start, start.Draft);
        for (var round = 0; round < 6; round++)
        {
            var warmth = WarmthOf(draft.Points(), settled: true);
            var heat = new Dictionary<(double, double), double>();
            double Cost(CycleDraft cycle, double[] logs)
            {
                var (apart, riseK) = (Math.Max(0, Math.Log(1 + Departure(logs)) - Math.Log(1 + PushedTo)), Math.Max(0, MeanRiseK(cycle, hottestC, heat)));
                return Math.Exp(400 * apart * apart + riseK * riseK - logs.Average());
            }

            draft = Trimmed(Shifted(draft, aimed, shortestS, draft.DurationS, warmth, Cost), aimed, highestNm, warmth, Cost);
            if (Seen(draft, aimed) is var seen && seen.Error <= Tolerance && seen.PeakC <= hottestC && seen.MeanLog > best.MeanLog) best = seen;
        }

        return best;
    }

    /// <summary>By how much a block that goes on for ever would pass the winding's limit in the mean, K; below 0 it stays under it.</summary>
    double MeanRiseK(CycleDraft cycle, double hottestC, Dictionary<(double, double), double> perSecond)
    {
        var riseKs = RiseSeconds(new(0, 0, 1, 0, TakesUp: false), hottestC) * (cycle.RestS + cycle.Parts.Sum(p => p.Seconds - (p.HoldS * p.Times)));
        foreach (var part in cycle.Parts)
        {
            if (!perSecond.TryGetValue((part.TorqueNm, part.RadPerS), out var riseK)) perSecond.Add((part.TorqueNm, part.RadPerS), riseK = RiseSeconds(new(part.TorqueNm, part.RadPerS, 1, 0, TakesUp: false), hottestC));
            riseKs += riseK * part.HoldS * part.Times;
        }

        return riseKs / cycle.DurationS;
    }

    CycleDraft Drafted(IReadOnlyList<DamageAim> aimed, double durationS, double duty, bool settled, double shortestS, double highestNm, double hottestC)
    {
        var warmth = new Warmth([.. unit.Gears.Select(_ => settled ? 60.0 : limits.AmbientC + 3)], ThermalState.At(settled ? 60 : limits.AmbientC + 3));
        var draft = new CycleDraft([], durationS);
        for (var round = 0; round < 3; round++)
        {
            draft = Drafted(Holds(aimed, duty * durationS, settled, shortestS, highestNm, hottestC, warmth), durationS, aimed.Any(a => a.Ending == Ending.Clutch));
            warmth = WarmthOf(draft.Points(), settled);
        }

        // Torques, holds and temperatures follow each other: the wheel is the warmer the more it carries, and bears the less.
        var (best, bestError) = (draft, ErrorOf(draft.Points(), aimed, settled));
        for (var round = 0; round < 6; round++)
        {
            draft = Trimmed(Shifted(draft, aimed, shortestS, (1 - duty) * durationS, warmth, Spread), aimed, highestNm, warmth, Spread);
            warmth = WarmthOf(draft.Points(), settled);
            if (ErrorOf(draft.Points(), aimed, settled) is var error && error < bestError) (best, bestError) = (draft, error);
        }

        return best;
    }

    readonly record struct Warmth(double[] WheelC, ThermalState State);

    /// <summary>What the grid of candidates is made of.</summary>
    readonly record struct Candidate(double TorqueNm, double RadPerS, double OnS, double OffS, bool TakesUp)
    {
        public double Seconds => OnS + OffS;
    }

    List<(Candidate Candidate, double Times)> Holds(IReadOnlyList<DamageAim> aimed, double durationS, bool settled, double shortestS, double highestNm, double hottestC, Warmth warmth)
    {
        var candidates = Candidates(highestNm, warmth.State);
        while (true)
        {
            var times = Solve(candidates, aimed, settled, hottestC, warmth);
            var scale = durationS / candidates.Select((c, j) => c.Seconds * times[j]).Sum();
            var chosen = candidates.Select((c, j) => (Candidate: c, Times: times[j] * scale)).Where(c => c.Times * c.Candidate.Seconds > 1e-6).ToList();
            // What is held for less than it takes to settle goes, the shortest first, and the rest is found anew.
            var tooShort = chosen.Where(c => c.Candidate is { OffS: 0, TorqueNm: > 0 } && c.Times < shortestS).OrderBy(c => c.Times).Select(c => (Candidate?)c.Candidate).FirstOrDefault();
            if (tooShort is not { } gone || chosen.Count <= 1) return chosen;
            candidates = candidates.FindAll(c => c != gone);
        }
    }

    List<Candidate> Candidates(double highestNm, in ThermalState warm)
    {
        List<Candidate> candidates = [new(0, 0, 1, 0, TakesUp: false)];
        for (var level = 1; level <= TorqueLevels; level++)
        {
            var torqueNm = highestNm * level / TorqueLevels;
            foreach (var speed in SpeedLevels)
            {
                var radPerS = slowest + speed * (fastest - slowest);
                if (torqueNm * radPerS > unit.Rating.MaximumOutputW || !Reaches(torqueNm, radPerS, warm)) continue;
                candidates.Add(new(torqueNm, radPerS, 1, 0, TakesUp: false));
                if (speed == SpeedLevels[0] || level == TorqueLevels) candidates.Add(new(torqueNm, radPerS, PulseS, CycleDraft.PauseS, TakesUp: true));
            }
        }

        return candidates;
    }

    bool Reaches(double torqueNm, double radPerS, in ThermalState warm) =>
        OperatingPoints.Solve(unit, Deviation.None, new(torqueNm, radPerS) { WindingC = Math.Max(80, warm.WindingC), MagnetC = Math.Max(60, warm.RotorC) }).Reachable;

    /// <summary>How often each candidate happens for a kilometre of road.</summary>
    double[] Solve(List<Candidate> candidates, IReadOnlyList<DamageAim> aimed, bool settled, double hottestC, Warmth warmth)
    {
        // One row for each element, as a share of its aim; a heavy one that keeps the winding below its limit (with a column that takes what is left of it); a light one that prefers short cycles.
        const double heavy = 30;
        const double light = 1e-4;
        var rows = aimed.Count + (settled ? 2 : 1);
        var matrix = Matrix<double>.Build.Dense(rows, candidates.Count + (settled ? 1 : 0));
        for (var j = 0; j < candidates.Count; j++)
        {
            var damages = DamagesOf(candidates[j], aimed, warmth);
            for (var e = 0; e < aimed.Count; e++) matrix[e, j] = damages[e] / aimed[e].PerKm;
            matrix[aimed.Count, j] = light * candidates[j].Seconds;
            if (settled) matrix[aimed.Count + 1, j] = heavy * RiseSeconds(candidates[j], hottestC) / 1000;
        }

        if (settled) matrix[aimed.Count + 1, candidates.Count] = heavy;
        var target = Vector<double>.Build.Dense(rows, e => e < aimed.Count ? 1 : 0);
        return NonNegativeLeastSquares.Solve(matrix, target)[..candidates.Count];
    }

    /// <summary>Kelvins by which a point that went on for ever would pass the limit, times the seconds that it is held: over a cycle these must not add up to more than nothing.</summary>
    double RiseSeconds(Candidate candidate, double hottestC)
    {
        var restC = network.Settled(new Heat(0, 0, 0, unit.Inverter.StandingLossW, 0), limits.AmbientC).WindingC;
        if (candidate.TorqueNm == 0) return (restC - hottestC) * candidate.Seconds;
        var losses = OperatingPoints.Solve(unit, Deviation.None, new(candidate.TorqueNm, candidate.RadPerS) { WindingC = hottestC, MagnetC = Math.Min(hottestC, 90) }).Losses;
        var heldC = network.Settled(Heat.From(losses), limits.AmbientC).WindingC;
        return (heldC - hottestC) * candidate.OnS + (restC - hottestC) * candidate.OffS;
    }

    double[] DamagesOf(Candidate c, IReadOnlyList<DamageAim> aimed, Warmth warmth)
    {
        if (c.TorqueNm == 0) return new double[aimed.Count];
        var damages = life.SteadyDamages(c.TorqueNm, c.RadPerS, c.OnS, warmth.WheelC, c.TakesUp ? 1 : 0);
        return [.. aimed.Select(a => damages.GetValueOrDefault(a.Id))];
    }

    /// <summary>Whole seconds and whole pulses.</summary>
    CycleDraft Drafted(List<(Candidate Candidate, double Times)> chosen, double durationS, bool wantsTakeUps)
    {
        var parts = chosen.Where(c => c.Candidate.TorqueNm > 0).Select(c => c.Candidate.TakesUp
            ? new DraftPart(c.Candidate.TorqueNm, c.Candidate.RadPerS, c.Candidate.OnS, (int)Math.Round(c.Times), IsPulse: true)
            : new DraftPart(c.Candidate.TorqueNm, c.Candidate.RadPerS, Math.Max(1, Math.Round(c.Times * c.Candidate.Seconds)), 1, IsPulse: false)).ToList();
        // A pulse that came to less than half a time stays, so that it can still be made more of.
        if (wantsTakeUps && parts.Count > 0 && !parts.Exists(p => p.IsPulse)) parts.Add(new(parts.Average(p => p.TorqueNm), slowest, PulseS, 0, IsPulse: true));
        var draft = new CycleDraft(parts, durationS);
        while (draft.RestS < CycleDraft.PauseS && draft.Longest() is { } longest) draft = draft.With(longest, draft.Parts[longest] with { HoldS = draft.Parts[longest].HoldS - 1 });
        return draft;
    }

    /// <summary>Torques moved a little, so that the proportions hold in spite of whole seconds.</summary>
    CycleDraft Trimmed(CycleDraft draft, IReadOnlyList<DamageAim> aimed, double highestNm, Warmth warmth, Func<CycleDraft, double[], double> cost)
    {
        if (draft.Parts.Count == 0) return draft;
        var start = Vector<double>.Build.Dense(draft.Parts.Count, i => Math.Log(draft.Parts[i].TorqueNm / highestNm));
        var simplex = new NelderMeadSimplex(1e-6, 400 * draft.Parts.Count);
        try
        {
            var found = With(simplex.FindMinimum(ObjectiveFunction.Value(x => Misfit(With(x))), start, Vector<double>.Build.Dense(draft.Parts.Count, -0.05)).MinimizingPoint);
            return Misfit(found) < Misfit(draft) ? found : draft;
        }
        catch (MaximumIterationsException)
        {
            return draft;
        }

        double Misfit(CycleDraft cycle) => cost(cycle, LogsOf(cycle, aimed, warmth));

        CycleDraft With(Vector<double> x) => draft with
        {
            Parts = [.. draft.Parts.Select((p, i) => p with { TorqueNm = Math.Min(Math.Min(highestNm, unit.Rating.MaximumOutputW / p.RadPerS), highestNm * Math.Exp(x[i])) })],
        };
    }

    /// <summary>Seconds and pulses moved from one part to another, as long as it helps.</summary>
    CycleDraft Shifted(CycleDraft draft, IReadOnlyList<DamageAim> aimed, double shortestS, double restS, Warmth warmth, Func<CycleDraft, double[], double> cost)
    {
        var perSecond = new Dictionary<(double, double), double[]>();
        var mostRestS = Math.Max(draft.RestS, restS) + CycleDraft.PauseS;
        var now = Misfit(draft);
        for (var pass = 0; pass < 300; pass++)
        {
            var before = now;
            foreach (var moved in Moves())
            {
                if (Misfit(moved) is var misfit && misfit < now * (1 - 1e-6))
                {
                    (draft, now) = (moved, misfit);
                    break;
                }
            }

            if (now >= before) break;
        }

        return draft;

        double Misfit(CycleDraft cycle) => cost(cycle, LogsOf(cycle, aimed, warmth, perSecond));

        // To and from rest, and through it from any part to any other.
        IEnumerable<CycleDraft> Moves()
        {
            var current = draft;
            var steps = current.Parts.SelectMany((part, i) => (part.IsPulse ? new[] { 1, -1, 4, -4 } : new[] { 16, 4, 1, -1, -4, -16 }).Select(step => (i, step))).ToList();
            foreach (var (i, step) in steps)
            {
                var one = current.Moved(i, step);
                if (one.IsPossible(shortestS) && one.RestS <= mostRestS) yield return one;
                foreach (var (j, other) in steps.Where(o => o.i > i))
                {
                    var two = one.Moved(j, other);
                    if (two.IsPossible(shortestS) && two.RestS <= mostRestS) yield return two;
                }
            }
        }
    }

    /// <summary>What is least where the proportions are the road's.</summary>
    static double Spread(CycleDraft _, double[] logs)
    {
        // The largest departures count most, smoothly.
        var mean = logs.Average();
        return logs.Sum(l => Math.Pow(l - mean, 6));
    }

    /// <summary>Logarithm of the kilometres that a pass stands for, for each aim.</summary>
    /// <param name="perSecond">Keeps what a second at a torque and speed does, for drafts that share points.</param>
    double[] LogsOf(CycleDraft draft, IReadOnlyList<DamageAim> aimed, Warmth warmth, Dictionary<(double, double), double[]>? perSecond = null)
    {
        var sums = new double[aimed.Count];
        var clutch = aimed.Select((a, e) => (a.Ending, e)).Where(a => a.Ending == Ending.Clutch).Select(a => (int?)a.e).FirstOrDefault();
        foreach (var part in draft.Parts)
        {
            if (perSecond is null || !perSecond.TryGetValue((part.TorqueNm, part.RadPerS), out var second))
            {
                second = DamagesOf(new(part.TorqueNm, part.RadPerS, 1, 0, TakesUp: true), aimed, warmth);
                perSecond?.Add((part.TorqueNm, part.RadPerS), second);
            }

            for (var e = 0; e < sums.Length; e++) sums[e] += e == clutch ? 0 : second[e] * part.HoldS * part.Times;
            if (clutch is { } c) sums[c] += second[c] * (part.IsPulse ? part.Times : part == draft.First ? 1 : 0);
        }

        return [.. aimed.Select((a, e) => Math.Log(Math.Max(1e-300, sums[e] / a.PerKm)))];
    }

    Warmth WarmthOf(IReadOnlyList<CyclePoint> points, bool settled)
    {
        var pass = settled ? rig.SettledPass(points) : rig.OncePass(points);
        var under = Enumerable.Range(0, pass.MotorTorqueNm.Length).Where(i => pass.MotorTorqueNm[i] > 0).ToArray();
        if (under.Length == 0) under = [0];
        return new(Array.ConvertAll(pass.WheelC, wheel => under.Average(i => wheel[i])),
            new(under.Average(i => pass.WindingC[i]), under.Average(i => pass.HousingC[i]), under.Average(i => pass.MagnetC[i]), under.Average(i => pass.ControllerC[i]), under.Average(i => pass.HousingC[i])));
    }

    DesignedCycle Told(IReadOnlyList<CyclePoint> points, IReadOnlyList<DamageAim> aims, LoadSpectrum road, bool settled, IReadOnlyList<LoadSpectrum> rides)
    {
        var spectrum = settled ? rig.Settled(points) : rig.Once(points);
        var damages = life.Damages(spectrum);
        var aimed = aims.Where(a => a.WhyNot is null).ToList();
        var meanM = GeometricMeanM(aimed.Select(a => EquivalentM(damages[a.Id], a.PerKm)));
        var elements = aims.Select(a => new ElementShare(a.Id, a.Name, damages[a.Id], a.PerKm, EquivalentM(damages[a.Id], a.PerKm), EquivalentM(damages[a.Id], a.PerKm) / meanM, a.WhyNot)).ToList();
        List<string> warnings = [];
        if (rides.Count < 2) warnings.Add("One ride: how far the distance would change with other rides is not in its interval.");
        if (spectrum.PeakWindingC > windingLimitC) warnings.Add(Invariant($"The winding comes to {spectrum.PeakWindingC:0} °C, above the limit of {windingLimitC:0} °C."));
        var (perHour, onRoad) = (3.6 * meanM / points.Sum(p => p.HoldS), 3.6 * road.DistanceM / road.RidingS);
        if (settled && perHour < onRoad) warnings.Add(Invariant($"An hour of it stands for {perHour:0.#} km, less than an hour of these rides ({onRoad:0.#} km): it takes longer than the road."));
        var untouched = elements.Where(e => e.WhyNot is null && e.PerPass == 0).Select(e => e.Name).ToList();
        if (untouched.Count > 0) warnings.Add($"It does nothing to what the road uses up: {string.Join(", ", untouched)}.");
        var error = elements.Where(e => e.WhyNot is null).Max(e => Math.Max(e.Ratio, 1 / e.Ratio) - 1);
        return new()
        {
            Points = points, Elements = elements, EquivalentM = meanM, EquivalentIntervalM = IntervalM(spectrum, road, aimed, rides),
            PeakWindingC = spectrum.PeakWindingC, LargestError = error, Binding = null, Settled = settled, Warnings = warnings,
        };
    }

    static double EquivalentM(double perPass, double perKm) => perKm > 0 ? 1000 * perPass / perKm : double.NaN;

    static double GeometricMeanM(IEnumerable<double> distancesM)
    {
        var logs = distancesM.Where(m => m > 0).Select(m => Math.Log(m)).ToList();
        return logs.Count == 0 ? 0 : Math.Exp(logs.Average());
    }

    /// <summary>From the least to the most over the elements it was made for, all slopes of their ranges, and rides drawn anew from those at hand: the middle 95 % of these.</summary>
    Interval IntervalM(LoadSpectrum cycle, LoadSpectrum road, IReadOnlyList<DamageAim> aimed, IReadOnlyList<LoadSpectrum> rides)
    {
        const int draws = 200;
        double[] slopes = [0.05, 0.275, 0.5, 0.725, 0.95];
        var noise = new Statistics.SeededNoise(1, "rides drawn anew");
        var logs = new List<double>();
        foreach (var slope in slopes)
        {
            var bent = new UnitLife(unit, plan.AtSlope(slope));
            var ofCycle = bent.Damages(cycle);
            var ofRoad = bent.Damages(road);
            List<(double Km, IReadOnlyDictionary<string, double> Damages)> ofRides = rides.Count < 2 ? [] : [.. rides.Select(r => (r.DistanceM / 1000, bent.Damages(r)))];
            for (var draw = 0; draw < (ofRides.Count == 0 ? 1 : draws); draw++)
            {
                var picked = ofRides.ConvertAll(_ => ofRides[(int)(noise.Share() * ofRides.Count)]);
                foreach (var aim in aimed)
                {
                    var perKm = picked.Count == 0 ? ofRoad[aim.Id] / (road.DistanceM / 1000) : picked.Sum(p => p.Damages[aim.Id]) / picked.Sum(p => p.Km);
                    if (perKm > 0 && ofCycle[aim.Id] > 0) logs.Add(Math.Log(EquivalentM(ofCycle[aim.Id], perKm)));
                }
            }
        }

        if (logs.Count == 0) return new(double.NaN, double.NaN, UncertainDamage.Confidence);
        logs.Sort();
        var tail = (int)((1 - UncertainDamage.Confidence) / 2 * (logs.Count - 1));
        return new(Math.Exp(logs[tail]), Math.Exp(logs[^(1 + tail)]), UncertainDamage.Confidence);
    }

    /// <summary>Takes one constraint away at a time: the one without which the proportions would hold, or come much nearer, is the one that binds.</summary>
    string WhatBinds(IReadOnlyList<DamageAim> aimed, double durationS, bool settled, double error)
    {
        (string Word, Func<List<CyclePoint>> Cycle)[] tries =
        [
            (Invariant($"the winding's limit of {windingLimitC:0} °C"), () => Best(aimed, durationS, settled, limits.ShortestHoldS, mostNm, windingLimitC + 100)),
            (Invariant($"the shortest hold of {limits.ShortestHoldS:0} s in {durationS:0} s"), () => settled
                ? Farthest(aimed, 20 * durationS, limits.ShortestHoldS, mostNm, windingLimitC) // in one piece: pieces would be as short as before
                : Best(aimed, 20 * durationS, settled, limits.ShortestHoldS, mostNm, windingLimitC)),
            (Invariant($"the largest torque of {mostNm:0} N·m"), () => Best(aimed, durationS, settled, limits.ShortestHoldS, Math.Max(mostNm * 1.3, unit.Rating.MaximumTorqueNm), windingLimitC)),
        ];
        var eased = Array.ConvertAll(tries, t => (t.Word, Error: ErrorOf(t.Cycle(), aimed, settled))).MinBy(t => t.Error);
        return (eased.Error < 0.7 * error && eased.Error < NowhereNear, error < NowhereNear) switch
        {
            (true, true) => Invariant($"{eased.Word} stands in the way: without it the elements would come within {100 * eased.Error:0} % of the road's proportions instead of {100 * error:0} %."),
            (true, false) => Invariant($"{eased.Word} stands in the way: with it no cycle comes near the road's proportions (an element is more than ten times off), without it the elements would come within {100 * eased.Error:0} %."),
            (false, true) => Invariant($"No single limit: the elements want different torques, and with all of them at once the proportions come within {100 * error:0} %."),
            (false, false) => "No single limit: no cycle comes near the road's proportions (an element is more than ten times off), and it does not with any one limit eased.",
        };
    }

    /// <summary>Largest departure from the common distance, counted on the cycle as it would run.</summary>
    double ErrorOf(IReadOnlyList<CyclePoint> points, IReadOnlyList<DamageAim> aimed, bool settled)
    {
        return Departure(Logs(life.Damages(settled ? rig.Settled(points) : rig.Once(points)), aimed));
    }

    static double[] Logs(IReadOnlyDictionary<string, double> damages, IReadOnlyList<DamageAim> aimed) => [.. aimed.Select(a => Math.Log(Math.Max(1e-300, damages[a.Id] / a.PerKm)))];

    static double Departure(double[] logs)
    {
        var mean = logs.Average();
        return logs.Max(l => Math.Exp(Math.Abs(l - mean)) - 1);
    }

    void Require()
    {
        List<InputError> errors = [];
        if (!(mostNm > 0)) errors.Add(new("rig limits", 0, "maximumTorqueNm", Invariant($"{mostNm}"), "a torque above 0 N·m"));
        if (!(slowest > 0 && fastest >= slowest)) errors.Add(new("rig limits", 0, "slowestRadPerS", Invariant($"{slowest} to {fastest}"), "a speed above 0 rad/s, the fastest no slower"));
        if (limits.AirMps is not (>= 0 and <= 6)) errors.Add(new("rig limits", 0, "airMps", Invariant($"{limits.AirMps}"), "an air speed from 0 to 6 m/s"));
        if (limits.ShortestHoldS is not (>= 1 and <= 60)) errors.Add(new("rig limits", 0, "shortestHoldS", Invariant($"{limits.ShortestHoldS}"), "a hold from 1 to 60 s"));
        if (!(windingLimitC > limits.AmbientC + 5)) errors.Add(new("rig limits", 0, "windingC", Invariant($"{windingLimitC}"), Invariant($"a temperature above the room's {limits.AmbientC:0} °C")));
        errors.AddRange(RigLimits.TooHot(limits.WindingC, unit));
        if (errors.Count > 0) throw new InputException(errors);
    }
}
