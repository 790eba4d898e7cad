using System.Globalization;
using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Statistics;
using static System.FormattableString;

namespace Roadproof.Engineering.LoadTest;

/// <summary>What one unit read at its first run, carried to reference.</summary>
/// <param name="Values">By characteristic.</param>
public sealed record ProvenUnit(string Unit, string Rig, IReadOnlyDictionary<string, double> Values);

/// <summary>What the units of a plant read, beside what the model expects; nothing is replaced by it.</summary>
/// <param name="Lots">Fewest lots of any part that may move a reading.</param>
/// <param name="Missing">What is still needed before limits may rest on these units; empty where they may.</param>
/// <param name="Characteristics">Empty where there are too few units to say anything.</param>
/// <param name="Definition">Lines for the product's file with which a person may take the proven values over; empty while something is missing.</param>
/// <remarks>
/// Location: median; spread: 1.4826 times the median distance from it, so that a few per cent of faulty units move neither (textbook). Method: <c>docs/methods/expectation-limits.md</c>.
/// </remarks>
public sealed record ProvenUnits(int Units, int Rigs, int RigsOfPlant, int Lots, IReadOnlyList<string> Missing, IReadOnlyList<ProvenCharacteristic> Characteristics, string Definition)
{
    /// <summary>Common practice, no source.</summary>
    public const int UnitsNeeded = 100, LotsNeeded = 3, UnitsOfRigNeeded = 10;

    // Below, a median says nothing of a spread.
    const int Fewest = 20;

    public const string Selection = "First runs of every unit, those that were stopped later included: shipped units alone have lost their tails, and limits from them come out too narrow.";

    /// <param name="rigs">Every rig of the line.</param>
    /// <param name="lots">How many lots of each part that may move a reading are in these units.</param>
    /// <param name="until">For the origin, such as a date.</param>
    internal static ProvenUnits Of(ExpectationSpread spread, LoadTestPlan plan, IReadOnlyList<ExpectationLimit> expected, IReadOnlyList<ProvenUnit> units, IReadOnlyList<string> rigs, IReadOnlyDictionary<string, int> lots, string until)
    {
        var perRig = units.GroupBy(u => u.Rig, StringComparer.Ordinal).ToDictionary(g => g.Key, g => g.Count(), StringComparer.Ordinal);
        var missing = new List<string>();
        if (units.Count < UnitsNeeded) missing.Add(Invariant($"{units.Count} of {UnitsNeeded} units"));
        missing.AddRange(rigs.Where(r => perRig.GetValueOrDefault(r) < UnitsOfRigNeeded).Select(r => Invariant($"{perRig.GetValueOrDefault(r)} of {UnitsOfRigNeeded} units on {r}")));
        missing.AddRange(lots.Where(l => l.Value < LotsNeeded).OrderBy(l => l.Key, StringComparer.Ordinal).Select(l => Invariant($"{l.Value} of {LotsNeeded} lots of {l.Key}")));

        var characteristics = units.Count < Fewest ? [] : expected.Select((e, i) => ProvenCharacteristic.Of(e, i, spread, units, expected.Count)).OfType<ProvenCharacteristic>().ToList();
        return new(units.Count, perRig.Count, rigs.Count, lots.Count == 0 ? 0 : lots.Values.Min(), missing, characteristics, missing.Count > 0 ? "" : Written(characteristics, plan, units.Count, perRig.Count, until));
    }

    static string Written(List<ProvenCharacteristic> characteristics, LoadTestPlan plan, int units, int rigs, string until)
    {
        var origin = Invariant($"{units} units at their first run, {rigs} {(rigs == 1 ? "rig" : "rigs")}, until {until}");
        var ofPopulation = characteristics.ToLookup(c => plan.Population.Any(p => p.Id == c.Id));
        return string.Join('\n', [.. Block("population", ofPopulation[true]), .. Block("expected", ofPopulation[false].Where(c => c.Different))]);

        IEnumerable<string> Block(string key, IEnumerable<ProvenCharacteristic> listed) =>
            listed.Select(c => string.Create(CultureInfo.InvariantCulture, $"    - {{ id: {c.Id}, mean: {c.Location:G5}, standardDeviation: {c.Scale:G3}, origin: \"{origin}\" }}")).ToList() is { Count: > 0 } lines ? lines.Prepend($"  {key}:") : [];
    }
}

/// <summary>One characteristic over proven units.</summary>
/// <param name="Location">Median.</param>
/// <param name="Scale">Robust standard deviation over the units.</param>
/// <param name="StandardDeviation">What the model expects of the scatter: parts, rig and noise, without how far the model itself is trusted.</param>
/// <param name="Difference">Location less expected.</param>
/// <param name="DifferenceInterval">95 %, with the rigs' common errors in it.</param>
/// <param name="ScaleInterval">95 %.</param>
/// <param name="Different">Location or spread differ by more than chance and the model's own uncertainty explain, over all characteristics together (5 %, Bonferroni).</param>
/// <param name="Word">What follows, as a phrase.</param>
public sealed record ProvenCharacteristic(
    string Id, string Name, string Unit, int Units, double Location, double Scale, double Expected, double StandardDeviation, double Difference, Interval DifferenceInterval, Interval ScaleInterval, bool Different, string Word)
{
    const double Confidence = 0.95;

    // A median's variance beside a mean's, and that of a logarithm of the median distance: normal readings, large samples (textbook; held by simulation in the tests).
    const double MedianWidening = Math.PI / 2, ScaleError = 1.166;

    internal static ProvenCharacteristic? Of(ExpectationLimit limit, int row, ExpectationSpread spread, IReadOnlyList<ProvenUnit> units, int compared)
    {
        var read = units.Where(u => u.Values.TryGetValue(limit.Id, out var v) && double.IsFinite(v)).Select(u => (u.Rig, Value: u.Values[limit.Id])).ToList();
        if (read.Count < 2) return null;
        var location = Median([.. read.Select(r => r.Value)]);
        var scale = 1.4826 * Median([.. read.Select(r => Math.Abs(r.Value - location))]);
        var modelU = Math.Sqrt(spread.Shared.Sum(c => c[row] * c[row]));
        var sd = Math.Sqrt(limit.StandardDeviation * limit.StandardDeviation - modelU * modelU);
        var rigShare = Math.Min(1, limit.RigShare * limit.StandardDeviation * limit.StandardDeviation / (sd * sd));

        // Units average out, a rig's gain and zero only over rigs.
        var rigs = read.GroupBy(r => r.Rig, StringComparer.Ordinal).Sum(g => Math.Pow((double)g.Count() / read.Count, 2));
        var sdOfMedian = sd * Math.Sqrt(MedianWidening * (1 - rigShare) / read.Count + rigShare * rigs);
        var (difference, half, wide) = (location - limit.Expected, Normal.Quantile((1 + Confidence) / 2), Normal.Quantile(1 - 0.05 / (2 * 2 * compared)));
        var sdOfLogScale = ScaleError / Math.Sqrt(read.Count);
        var moved = Math.Abs(difference) > wide * double.Hypot(sdOfMedian, modelU);

        // A rig's own error does not scatter within the rig: few rigs may show less than the model's whole spread.
        var least = sd * Math.Sqrt(1 - rigShare * rigs);
        var wider = Math.Log(scale / sd) > wide * sdOfLogScale;
        var narrower = Math.Log(scale / least) < -wide * sdOfLogScale;
        return new(limit.Id, limit.Name, limit.Unit, read.Count, location, scale, limit.Expected, sd, difference,
            new(difference - half * sdOfMedian, difference + half * sdOfMedian, Confidence), new(scale * Math.Exp(-half * sdOfLogScale), scale * Math.Exp(half * sdOfLogScale), Confidence),
            moved || wider || narrower,
            (moved, wider, narrower) switch { (true, true, _) => "lies elsewhere and scatters more", (true, _, true) => "lies elsewhere and scatters less", (true, _, _) => "lies elsewhere", (_, true, _) => "scatters more", (_, _, true) => "scatters less", _ => "as the model" });
    }

    static double Median(double[] values)
    {
        Array.Sort(values);
        var middle = values.Length / 2;
        return values.Length % 2 == 1 ? values[middle] : (values[middle - 1] + values[middle]) / 2;
    }
}
