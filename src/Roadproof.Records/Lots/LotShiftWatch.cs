using Dapper;
using Microsoft.Data.Sqlite;
using Roadproof.Engineering.Judging;
using Roadproof.Engineering.LoadTest;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Definitions;
using Roadproof.Records.Items;
using Roadproof.Records.Ledger;

namespace Roadproof.Records.Lots;

/// <summary>A lot that reads differently from what sound units look like.</summary>
/// <param name="Family">Characteristics that one cause moves together; a lot is found once for each.</param>
/// <param name="Characteristic">The one with the strongest evidence.</param>
/// <param name="Effect">Mean difference from the expected value, in <paramref name="Unit"/>.</param>
/// <param name="AlsoPossible">Lots in the same units that the readings cannot tell apart from this one.</param>
public sealed record LotShiftFinding(
    string Lot, string Part, string Family, string Characteristic, string Name, string Unit, double Expected, double Effect, Interval Interval, double Evidence,
    int Units, int Rigs, IReadOnlyList<string> AlsoPossible);

/// <summary>Body of a lot's finding.</summary>
public sealed record LotShiftBody(LotShiftFinding Decided);

/// <summary>Looks after every load test whether a lot in the unit differs although each of its units may pass.</summary>
/// <remarks>First attempts only: a repaired unit says nothing of its lots. Which parts are watched, and which is suspected first, stands in the definitions (<c>moves</c>). Test and threshold: <see cref="LotShift"/>.</remarks>
static class LotShiftWatch
{
    /// <summary>Units of a lot that a lot found earlier has as well: from this share on the earlier finding explains the later.</summary>
    const double ExplainedShare = 0.5;

    /// <param name="parts">Of the unit's revision: which of them can move what stands there.</param>
    public static void After(LedgerTransaction t, string unit, int attempt, LoadTestVerdict verdict, IReadOnlyList<PartDefinition> parts)
    {
        if (attempt != 1) return;
        var shifts = Shifts(t, unit, verdict, parts);
        foreach (var family in shifts.GroupBy(s => s.Family).OrderByDescending(g => g.Max(s => Math.Abs(s.Evidence))))
        {
            // The lot whose part moves such readings comes first, then the one with the strongest evidence.
            var suspects = family
                .GroupBy(s => s.Lot)
                .Select(g => g.MaxBy(s => Math.Abs(s.Evidence))!)
                .Where(s => !Explained(t, s))
                .OrderBy(s => Rank(parts, family.Key, s.Part))
                .ThenByDescending(s => Math.Abs(s.Evidence))
                .ToList();
            if (suspects.Count == 0) continue;
            var finding = suspects[0] with { AlsoPossible = suspects.Skip(1).Select(s => s.Lot).ToList() };
            t.Append(new(OwnKeys.LotShift(finding.Lot, finding.Family), RecordKinds.LotShift, finding.Lot, LotBook.Office, t.Now, "", RecordJson.Text(new LotShiftBody(finding))));
        }
    }

    static List<LotShiftFinding> Shifts(LedgerTransaction t, string unit, LoadTestVerdict verdict, IReadOnlyList<PartDefinition> parts)
    {
        var found = new List<LotShiftFinding>();
        foreach (var lot in UnitResiduals.OfLotsIn(t, unit, [.. parts.Where(p => p.Moves.Count > 0).Select(p => p.Id)]).GroupBy(r => (r.Lot, r.Part)))
        {
            foreach (var expectation in verdict.Expectations.Where(e => e.StandardDeviation > 0))
            {
                var family = Family(expectation.Id);
                var perRig = lot
                    .Where(r => !r.ExplainedFamilies.Contains(family) && r.Sigmas.ContainsKey(expectation.Id))
                    .GroupBy(r => r.Rig)
                    .Select(rig => new LotReadings(rig.Key, rig.Count(), rig.Sum(r => LotShift.Counted(r.Sigmas[expectation.Id]))))
                    .ToList();
                if (perRig.Count == 0) continue;
                var shift = LotShift.Test(perRig, expectation.RigShare, expectation.StandardDeviation);
                if (shift.Different)
                    found.Add(new(lot.Key.Lot, lot.Key.Part, family, expectation.Id, expectation.Name, expectation.Unit, expectation.Expected,
                        shift.Effect, shift.Interval, shift.Evidence, shift.Units, shift.Rigs, []));
            }
        }

        return found;
    }

    /// <summary>The lot whose part moves such readings most comes first: 0 where the family stands first in the part's own list.</summary>
    static int Rank(IReadOnlyList<PartDefinition> parts, string family, string part)
    {
        var moves = parts.FirstOrDefault(p => p.Id == part)?.Moves.Select(m => m.Word()).ToList() ?? [];
        return moves.IndexOf(family) is >= 0 and var rank ? rank : int.MaxValue;
    }

    static string Family(string characteristic) => (characteristic switch
    {
        "resistance-20" or "winding-rise" => ReadingFamily.Resistance,
        "current-gain" or "controller-rise" => ReadingFamily.Controller,
        "rotor-offset" => ReadingFamily.RotorOffset,
        _ when characteristic.StartsWith("flux", StringComparison.Ordinal) || characteristic.StartsWith("current-", StringComparison.Ordinal) => ReadingFamily.Flux,
        _ when characteristic.StartsWith("no-load-", StringComparison.Ordinal) || characteristic.StartsWith("power-", StringComparison.Ordinal) => ReadingFamily.Losses,
        _ => ReadingFamily.Vibration,
    }).Word();

    static bool Explained(LedgerTransaction t, LotShiftFinding s)
    {
        if (t.Connection.Any("select 1 from lot_shift where lot = @Lot and family = @Family", new { s.Lot, s.Family }, t.Transaction)) return true;
        var shared = t.Connection.ExecuteScalar<long>(
            """
            select count(distinct own.unit) from part_use own
            join part_use other on other.unit = own.unit
            join lot_shift f on f.lot = other.lot and f.family = @Family
            where own.lot = @Lot and exists (select 1 from load_test l where l.unit = own.unit and l.attempt = 1 and l.state = 'judged')
            """,
            s, t.Transaction);
        return shared >= ExplainedShare * s.Units;
    }
}

/// <summary>What a unit of a lot read at its first run.</summary>
/// <param name="ExplainedFamilies">Families of readings for which another lot in the unit was found already: they say nothing more of this lot.</param>
sealed record LotUnit(string Lot, string Part, string Rig, IReadOnlyDictionary<string, double> Sigmas, IReadOnlySet<string> ExplainedFamilies);

/// <summary>Residuals of each unit's first run, for asking about the lots in it.</summary>
static class UnitResiduals
{
    // A drum of grease lasts for hundreds of units: the newest say how it is now.
    const int NewestUnits = 120;

    public static void Keep(SqliteConnection c, SqliteTransaction t, string unit, string rig, LoadTestVerdict verdict)
    {
        var sigmas = verdict.Expectations.Where(e => double.IsFinite(e.Sigma)).ToDictionary(e => e.Id, e => e.Sigma, StringComparer.Ordinal);
        c.Run("insert or replace into unit_residual (unit, rig, sigmas) values (@unit, @rig, @sigmas)", new { unit, rig, sigmas = RecordJson.Text(sigmas) }, t);
    }

    /// <summary>The units of every lot of a watched part that is in a unit.</summary>
    public static IEnumerable<LotUnit> OfLotsIn(LedgerTransaction t, string unit, IReadOnlyList<string> watched)
    {
        var lots = t.Connection.Rows(
            "select distinct lot, part from part_use where unit = @unit and replaced is null and lot is not null", new { unit }, t.Transaction, row => (Lot: row.GetString(0), Part: row.GetString(1)))
            .Where(l => watched.Contains(l.Part, StringComparer.Ordinal)).ToList();
        var read = new Dictionary<string, IReadOnlyDictionary<string, double>>(StringComparer.Ordinal);
        foreach (var (lot, part) in lots)
        {
            var units = t.Connection.Rows(
                """
                select r.unit, r.rig, r.sigmas,
                  (select group_concat(f.family) from part_use o join lot_shift f on f.lot = o.lot where o.unit = r.unit and o.replaced is null and o.lot <> @lot)
                from part_use p join unit_residual r on r.unit = p.unit
                where p.lot = @lot and p.part = @part and p.replaced is null order by p.sequence desc limit @NewestUnits
                """,
                new { lot, part, NewestUnits }, t.Transaction, row => (Unit: row.GetString(0), Rig: row.GetString(1), Sigmas: row.GetString(2), Families: row.Text(3)));
            foreach (var u in units)
            {
                if (!read.TryGetValue(u.Unit, out var sigmas)) read.Add(u.Unit, sigmas = RecordJson.Read<Dictionary<string, double>>(u.Sigmas));
                yield return new(lot, part, u.Rig, sigmas, u.Families?.Split(',').ToHashSet(StringComparer.Ordinal) ?? []);
            }
        }
    }
}
