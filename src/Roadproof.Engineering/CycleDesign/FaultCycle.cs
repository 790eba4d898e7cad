using System.Collections.Concurrent;
using Roadproof.Engineering.Drive;
using Roadproof.Engineering.LoadTest;
using Roadproof.Engineering.Quantities;
using static System.FormattableString;

namespace Roadproof.Engineering.CycleDesign;

/// <summary>A fault before and after.</summary>
/// <param name="Present">Share that the best test for it alone would find of its usual size by the present cycle.</param>
/// <param name="Designed">The same by the designed one.</param>
/// <param name="Weight">What finding it is worth, as asked for.</param>
public sealed record ExposedFault(string Id, string Name, double Typical, string Unit, double Present, double Designed, double Weight);

/// <summary>A load point of a designed cycle with what it is there for.</summary>
/// <param name="IsNew">Not in the present cycle.</param>
/// <param name="LostPerSecond">Detected-fault value that would be lost without it, for each second it takes; 0 where it stays for running in.</param>
/// <param name="MostFor">The fault that would lose most without it; empty where none would lose a thousandth.</param>
public sealed record ExposingPoint(LoadPoint Point, bool IsNew, double LostPerSecond, string MostFor);

/// <summary>A short cycle that finds faults.</summary>
/// <param name="Value">Σ weight · share found, over Σ weight.</param>
/// <param name="PresentValue">The same of the present cycle.</param>
/// <param name="NotFound">Faults of which less than half are found by either: a process record must catch them.</param>
public sealed record ExposingCycle(
    IReadOnlyList<ExposingPoint> Points, IReadOnlyList<LoadPoint> Dropped, double DurationS, double PresentDurationS, double Value, double PresentValue, IReadOnlyList<ExposedFault> Faults, IReadOnlyList<string> NotFound,
    IReadOnlyList<string> Warnings);

/// <summary>Chooses load points by the detected-fault value that each second brings.</summary>
/// <remarks>
/// The present points and a grid of others stand as candidates in one long cycle; the one whose loss costs least value a second leaves, until the length is met, and what was dropped is tried in the place of what stayed.
/// Value is Σ weight · share found by the best test for each fault alone at its usual size (<see cref="PointSubsets"/>): what the readings allow, not what the present limits make of them; hold the result against <c>loadtest sensitivity</c> before it is approved.
/// Method and limits: <c>docs/methods/cycle-design.md</c>.
/// </remarks>
public static class FaultCycle
{
    /// <summary>Grease and gears are seated by so long a turning (common practice, no source).</summary>
    public const double RunInS = 30;

    /// <summary>A new point's hold, s: what torque and speed need to settle, and a window.</summary>
    const double NewHoldS = 6;

    /// <param name="durationS">Of the load points; function tests come on top.</param>
    /// <param name="weights">What finding a fault is worth, by id; faults that are not named count nothing. Null weighs all alike.</param>
    /// <exception cref="InputException">An unknown fault, a weight below 0, or a length that leaves no cycle.</exception>
    public static ExposingCycle Design(LoadTestPlan plan, double durationS, IReadOnlyDictionary<string, double>? weights = null, CancellationToken stop = default)
    {
        ArgumentNullException.ThrowIfNull(plan);
        var candidates = WithCandidates(plan);
        var subsets = new PointSubsets(candidates);
        var byRequirement = subsets.Faults.Where(f => plan.Requirements.Any(r => r.Id == f.Id)).Select(f => f.Id).ToList();
        var weight = Weights(subsets.Faults, weights, byRequirement);
        if (durationS is not (>= RunInS and <= 600)) throw new InputException(new InputError("cycle", 0, "durationS", Invariant($"{durationS}"), Invariant($"a length from {RunInS:0} s, which grease and gears need to run in, to 600 s")));

        var present = plan.Cycle.Points.Select(p => p.Id).ToHashSet(StringComparer.Ordinal);
        var known = new ConcurrentDictionary<string, double[]?>(StringComparer.Ordinal);
        var points = candidates.Cycle.Points.ToDictionary(p => p.Id, StringComparer.Ordinal);
        var kept = points.Keys.ToHashSet(StringComparer.Ordinal);
        while (SecondsOf(kept) > durationS)
        {
            stop.ThrowIfCancellationRequested();
            var left = kept.Where(CanLeave).AsParallel().AsOrdered().WithCancellation(stop).Select(p => (Point: p, Value: ValueWithout(p))).Where(p => p.Value is not null).ToList();
            if (left.Count == 0) throw new InputException(new InputError("cycle", 0, "durationS", Invariant($"{durationS} s"), Invariant($"at least {SecondsOf(kept):0} s: without another point resistance and flux, or the currents, can no longer be read")));
            var value = ValueOf(kept)!.Value;
            kept.Remove(left.MinBy(p => ((value - p.Value!.Value) / points[p.Point].HoldS, points[p.Point].HoldS)).Point);
        }

        Swap();
        var (rates, before) = (RatesOf(kept)!, RatesOf(present)!);
        var faults = subsets.Faults.Select((f, i) => new ExposedFault(f.Id, f.Name, f.Typical, f.Unit, before[i], rates[i], weight[i])).ToList();
        List<string> warnings = ["Shares are those of the best test for each fault alone, at its usual size: hold the designed cycle against loadtest sensitivity before a person approves it.", "Temperatures are those of the long cycle of all candidates; a shorter one is a little cooler."];
        if (byRequirement.Count > 0) warnings.Add(Invariant($"Decided by a requirement of its own, whatever the load points, and worth nothing here: {string.Join(", ", byRequirement)}."));
        return new([.. kept.Select(Told).OrderBy(p => candidates.Cycle.Points.ToList().IndexOf(p.Point))], [.. plan.Cycle.Points.Where(p => !kept.Contains(p.Id))], SecondsOf(kept), SecondsOf(present), Value(rates), Value(before), faults,
            [.. faults.Where(f => f is { Present: < 0.5, Designed: < 0.5 } && !byRequirement.Contains(f.Id)).Select(f => f.Id)], warnings);

        double SecondsOf(IEnumerable<string> set) => set.Sum(p => points[p].HoldS);

        // Running in asks for turning, whatever it tells of faults.
        bool CanLeave(string point) => kept.Where(p => p != point && points[p].OutputRpm > 0).Sum(p => points[p].HoldS) >= Math.Min(RunInS, durationS);

        double? ValueWithout(string point) => ValueOf([.. kept.Where(p => p != point)]);

        double? ValueOf(HashSet<string> set) => RatesOf(set) is { } found ? Value(found) : null;

        double Value(double[] found) => found.Zip(weight, (rate, w) => rate * w).Sum() / weight.Sum();

        double[]? RatesOf(HashSet<string> set) => known.GetOrAdd(string.Join('|', set.Order(StringComparer.Ordinal)), _ => Read(set));

        // Too few points to part what a run identifies from each other.
        double[]? Read(HashSet<string> set)
        {
            try
            {
                return subsets.RatesOf(set);
            }
            catch (ArgumentException)
            {
                return null;
            }
        }

        void Swap()
        {
            // Once: further swaps move the value by less than it is known.
            const double worthwhile = 1e-4;
            var sets = from @in in points.Keys
                       where !kept.Contains(@in)
                       from @out in kept.Where(CanLeave)
                       where SecondsOf(kept) - points[@out].HoldS + points[@in].HoldS <= durationS
                       select kept.Where(p => p != @out).Append(@in).ToHashSet(StringComparer.Ordinal);
            var best = sets.AsParallel().AsOrdered().WithCancellation(stop).Select(set => (Set: set, Value: ValueOf(set) ?? 0)).ToList().MaxBy(s => s.Value);
            if (best.Set is not null && best.Value >= ValueOf(kept)!.Value + worthwhile) kept = best.Set;
        }

        ExposingPoint Told(string id)
        {
            var (with, without) = (RatesOf(kept)!, RatesOf([.. kept.Where(p => p != id)]));
            if (without is null) return new(points[id], !present.Contains(id), Value(with) / points[id].HoldS, "all: without it the others cannot be read");
            var most = Enumerable.Range(0, with.Length).MaxBy(i => weight[i] * (with[i] - without[i]));
            return new(points[id], !present.Contains(id), Math.Max(0, Value(with) - Value(without)) / points[id].HoldS, with[most] - without[most] > 1e-3 ? subsets.Faults[most].Id : "");
        }
    }

    static double[] Weights(IReadOnlyList<FaultHypothesis> faults, IReadOnlyDictionary<string, double>? weights, List<string> byRequirement)
    {
        List<InputError> errors = [];
        foreach (var (id, weight) in weights ?? new Dictionary<string, double>())
        {
            if (faults.All(f => f.Id != id)) errors.Add(new("cycle", 0, "fault", $"'{id}'", $"one of {string.Join(", ", faults.Select(f => f.Id))}"));
            if (!(weight >= 0 && double.IsFinite(weight))) errors.Add(new("cycle", 0, "fault", Invariant($"{id} worth {weight}"), "a worth of 0 or more"));
        }

        double[] found = [.. faults.Select(f => byRequirement.Contains(f.Id) ? 0 : weights is null ? 1 : weights.GetValueOrDefault(f.Id))];
        if (errors.Count == 0 && found.Sum() <= 0) errors.Add(new("cycle", 0, "fault", "no fault that is worth anything", "a fault with a worth above 0"));
        return errors.Count > 0 ? throw new InputException(errors) : found;
    }

    /// <summary>The plan with the present points and others over the unit's range, lightest first behind the present ones of no load.</summary>
    static LoadTestPlan WithCandidates(LoadTestPlan plan)
    {
        var (unit, rated) = (plan.Unit, plan.Unit.Rating);
        var points = plan.Cycle.Points.ToList();
        foreach (var torqueShare in new[] { 0, 0.12, 0.37, 0.6, 1 })
        {
            foreach (var speedShare in new[] { 0.4, 0.8, 1.15, 1.47 })
            {
                var (torqueNm, rpm) = (Math.Round(torqueShare * rated.MaximumTorqueNm, 1), Math.Round(speedShare * rated.RatedOutputRpm));
                var radPerS = rpm * ReferenceConditions.RadPerSPerRpm;
                var isThere = points.Exists(p => Math.Abs(p.TorqueNm - torqueNm) < 0.06 * rated.MaximumTorqueNm && Math.Abs(p.OutputRpm - rpm) < 0.1 * rated.RatedOutputRpm);
                if (isThere || torqueNm * radPerS > rated.MaximumOutputW || !OperatingPoints.Solve(unit, Deviation.None, new(torqueNm, radPerS) { WindingC = 90, MagnetC = 70 }).Reachable) continue;
                // A window of whole turns of the output, behind the settling.
                var turnS = 60 / rpm;
                var windowS = Math.Max(1, Math.Floor(2 / turnS)) * turnS + 0.05;
                points.Add(new() { Id = Invariant($"{torqueNm:0.#}-{rpm:0}"), TorqueNm = torqueNm, OutputRpm = rpm, HoldS = NewHoldS, WindowFromS = NewHoldS - windowS - 0.3, WindowForS = windowS });
            }
        }

        return plan with { Cycle = plan.Cycle with { Points = points } };
    }
}
