using System.Globalization;
using Microsoft.Data.Sqlite;
using Roadproof.Engineering.LoadTest;
using Roadproof.Engineering.LoadTest.Rigs;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Items;

namespace Roadproof.Records.ReadModel;

/// <summary>What a difference between two rigs comes to.</summary>
/// <param name="Margin">It matters beyond this, in the characteristic's unit; null where no unit has run.</param>
/// <param name="Wrong">The rig that reads wrong; null where nothing tells.</param>
/// <param name="By">What tells it; empty where nothing does.</param>
/// <param name="ShiftSigma">The difference in standard deviations of sound units.</param>
/// <param name="Near">Of the newest first runs on both rigs those that lie nearer to the limit of this reading than the difference: it decides on them.</param>
/// <param name="NearOf">How many were looked at.</param>
public sealed record RigWeight(Matters Matters, double? Margin, string? Wrong, string By, double? ShiftSigma, int Near, int NearOf)
{
    public string Sentence() => Matters switch
    {
        Matters.No => "too small to matter",
        Matters.CannotTell => Margin is null ? "no unit has run: what it is judged by is not known" : "may matter: more runs tell",
        _ => string.Create(CultureInfo.InvariantCulture, $"matters: {(Wrong is null ? "which rig is wrong a third rig or a reference tells" : $"{Wrong} reads wrong, by {By}")}; it decides on {Near} of {NearOf} units"),
    };
}

/// <summary>What readings of a product's units are judged by, and how near to their limits the newest lie.</summary>
sealed class JudgedReadings
{
    readonly Dictionary<string, (double Sd, double HalfWidth)> known;
    readonly double sigmaLimit;
    readonly IReadOnlyList<(string Rig, IReadOnlyDictionary<string, double> Sigmas)> runs;

    /// <param name="newest">Sequence of the newest run; its verdict holds limits and scatter. Null where none has run.</param>
    public JudgedReadings(SqliteConnection c, long? newest, IReadOnlyList<(string Rig, IReadOnlyDictionary<string, double> Sigmas)> runs)
    {
        this.runs = runs;
        var verdict = newest is null ? null : RecordJson.Read<LoadTestVerdict>(c.Rows("select judgement from load_test where sequence = @newest", new { newest }, null, row => row.GetString(0))[0]);
        sigmaLimit = verdict?.SigmaLimit ?? 0;
        known = verdict?.Expectations.ToDictionary(e => e.Id, e => (e.StandardDeviation, verdict.SigmaLimit * e.StandardDeviation), StringComparer.Ordinal) ?? [];
    }

    /// <summary>Characteristics that are judged.</summary>
    public int Count => known.Count;

    public double? Margin(string id) => known.TryGetValue(id, out var k) ? MaterialDifference.Share * k.HalfWidth : null;

    /// <param name="pairs">All pairs of rigs in one characteristic.</param>
    /// <param name="fromKnown">As <see cref="MaterialDifference.WrongRig"/>.</param>
    public IReadOnlyList<RigWeight> Weigh(string id, IReadOnlyList<(string First, string Second, double Difference, Interval Interval, Interval Together)> pairs, IReadOnlyDictionary<string, Interval> fromKnown)
    {
        var matters = pairs.Select(p => MaterialDifference.Of(p.Interval, p.Together, Margin(id))).ToList();
        var wrong = MaterialDifference.WrongRig([.. pairs.Select((p, i) => (p.First, p.Second, matters[i]))], fromKnown, Margin(id));
        return [.. pairs.Select((p, i) =>
        {
            var isNamed = matters[i] == Matters.Yes && wrong is { } w && (w.Rig == p.First || w.Rig == p.Second);
            var shift = known.TryGetValue(id, out var k) && k.Sd > 0 ? p.Difference / k.Sd : (double?)null;
            var both = runs.Where(r => (r.Rig == p.First || r.Rig == p.Second) && r.Sigmas.ContainsKey(id)).ToList();
            return new RigWeight(matters[i], Margin(id), isNamed ? wrong!.Value.Rig : null, isNamed ? wrong!.Value.By : "", shift,
                shift is { } s ? both.Count(r => Math.Abs(Math.Abs(r.Sigmas[id]) - sigmaLimit) < Math.Abs(s)) : 0, both.Count);
        })];
    }
}
