using System.Globalization;
using Dapper;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Items;
using Roadproof.Records.Ledger;
using Roadproof.Records.Messages;

namespace Roadproof.Records.Lots;

/// <summary>Part of a lot that gets a label of its own.</summary>
/// <param name="Into">The new lot's code.</param>
public sealed record LotSplit(string Key, string Lot, string Into, int Quantity, DateTimeOffset OccurredAt, string? Person = null);

/// <summary>Lots poured into one tray or drum, which gets a label of its own.</summary>
/// <param name="Lot">The new lot's code.</param>
public sealed record LotMix(string Key, string Lot, IReadOnlyList<LotShare> Sources, DateTimeOffset OccurredAt, string? Person = null);

/// <summary>So many pieces of a lot.</summary>
public sealed record LotShare(string Lot, int Quantity);

/// <summary>What a person hears about a lot that was made of others.</summary>
/// <param name="ExpiresAt">The earliest of what went in.</param>
/// <param name="Warnings">What was taken and still wants a look: more than the count says is left.</param>
public sealed record LotMadeAnswer(long Sequence, string Lot, string Part, int Quantity, IReadOnlyList<LotShare> Sources, DateTimeOffset? ExpiresAt, bool Repeat, IReadOnlyList<string> Warnings);

/// <summary>What of a split's or mixing's body the tables are filled from; what was said stands beside it.</summary>
public sealed record LotMadeBody(LotMadeDecision Decided);

/// <summary>Body of a split.</summary>
public sealed record LotSplitBody(LotSplit Said, LotMadeDecision Decided);

/// <summary>Body of a mixing.</summary>
public sealed record LotMixBody(LotMix Said, LotMadeDecision Decided);

/// <summary>The lot as made. It is as old as the oldest that went in, and expires as the first of them.</summary>
public sealed record LotMadeDecision(
    string Lot, string Part, int Quantity, IReadOnlyList<LotShare> Sources, DateTimeOffset? ExpiresAt, DateTimeOffset ReceivedAt, IReadOnlyList<string> Warnings);

/// <summary>Makes part of a lot a lot of its own. A lot on hold may be split too: that is how the bad is sorted out of it.</summary>
public static class SplitLot
{
    /// <exception cref="InputException">The split cannot be understood.</exception>
    public static Outcome<LotMadeAnswer> Decide(LedgerTransaction t, LotSplit said)
    {
        MadeLot.Require(said.Key, said.Into, "into", [new(said.Lot, said.Quantity)], least: 1);
        return MadeLot.Decide(t, said.Key, said, said.Into, [new(said.Lot, said.Quantity)], (decided, rows) =>
            t.Append(new(said.Key, RecordKinds.LotSplit, said.Into, LotBook.Office, said.OccurredAt, said.Person ?? "", RecordJson.Text(new LotSplitBody(said, decided)))));
    }
}

/// <summary>Makes one lot of what was poured together. A lot on hold or expired is not poured into another.</summary>
public static class MixLots
{
    /// <exception cref="InputException">The mixing cannot be understood.</exception>
    public static Outcome<LotMadeAnswer> Decide(LedgerTransaction t, LotMix said)
    {
        MadeLot.Require(said.Key, said.Lot, "lot", said.Sources, least: 2);
        return MadeLot.Decide(t, said.Key, said, said.Lot, said.Sources, (decided, rows) =>
        {
            if (rows.DistinctBy(r => r.Part).Count() > 1)
            {
                var parts = string.Join(", ", rows.Select(r => $"{r.Lot} is {r.Part}"));
                return new Refusal($"Lots of different parts are not one lot: {parts}.", "Keep them apart; sort what was poured together by hand.", rows[0].Part, rows.First(r => r.Part != rows[0].Part).Part);
            }

            foreach (var row in rows)
            {
                if (row.State == "held" || LotFamily.HeldSources(t.Connection, t.Transaction, row.Lot).Count > 0)
                    return new Refusal($"Lot {row.Lot} is on hold.", "Put it aside and keep the other out of it. If they are together already, hold both.", "open lots", $"{row.Lot} on hold");
                if (row.ExpiresAt is { } expiry && expiry.CompareTo(Utc.Text(said.OccurredAt), StringComparison.Ordinal) < 0)
                    return new Refusal($"Lot {row.Lot} expired on {expiry[..10]}.", "Put it aside; poured into another it would spoil both.", "lots within their shelf life", $"expired {expiry[..10]}");
            }

            return t.Append(new(said.Key, RecordKinds.LotMixed, said.Lot, LotBook.Office, said.OccurredAt, said.Person ?? "", RecordJson.Text(new LotMixBody(said, decided))));
        });
    }
}

/// <summary>What splitting and mixing have in common: a new code, known sources, counts that can be.</summary>
static class MadeLot
{
    public static void Require(string key, string made, string field, IReadOnlyList<LotShare> sources, int least)
    {
        var errors = new List<InputError>();
        if (SenderKey.Wrong("lot", key) is { } wrong) errors.Add(wrong);
        if (LotBook.WrongCode("lot", 0, field, made) is { } code) errors.Add(code);
        if (sources.Count < least) errors.Add(new("lot", 0, "sources", sources.Count.ToString(CultureInfo.InvariantCulture), "two lots or more"));
        foreach (var source in sources)
        {
            if (string.IsNullOrWhiteSpace(source.Lot)) errors.Add(new("lot", 0, "lot", "nothing", "the code of the lot that it comes from"));
            if (source.Quantity < 1) errors.Add(new("lot", 0, "quantity", source.Quantity.ToString(CultureInfo.InvariantCulture), "1 or more pieces"));
        }

        foreach (var twice in sources.GroupBy(s => s.Lot).Where(g => g.Count() > 1)) errors.Add(new("lot", 0, "sources", $"'{twice.Key}' twice", "each lot once"));
        if (errors.Count > 0) throw new InputException(errors);
    }

    public static Outcome<LotMadeAnswer> Decide<T>(
        LedgerTransaction t, string key, T said, string made, IReadOnlyList<LotShare> sources, Func<LotMadeDecision, IReadOnlyList<SourceRow>, Outcome<LedgerRecord>> keep)
    {
        if (Repeats.Find(t, key, LotBook.Office, said) is { } earlier) return earlier.Same ? Answer(earlier.Record, repeat: true) : ActCheck.OtherContent(key);
        if (LotBook.State(t, made) is not null)
            return new Refusal($"Lot {made} is known already.", "What is split off or poured together gets a label of its own.", "a new lot code", made);

        var rows = new List<SourceRow>();
        foreach (var source in sources)
        {
            if (Row(t, source.Lot) is not { } row) return LotBook.Unknown(source.Lot);
            if (source.Quantity > row.Quantity)
                return new Refusal($"Lot {source.Lot} had {Number(row.Quantity)} pieces in all; {Number(source.Quantity)} cannot come from it.", "Count again.", $"at most {Number(row.Quantity)}", Number(source.Quantity));
            rows.Add(row);
        }

        // Counts drift: a wrong one is worth a look and does not stop the work.
        var warnings = sources.Zip(rows).Where(p => p.First.Quantity > p.Second.Left)
            .Select(p => $"Lot {p.First.Lot} has {Number(p.Second.Left)} left by the count, and {Number(p.First.Quantity)} were taken: count what is there.").ToList();
        var expiries = rows.Select(r => Utc.ReadOrNull(r.ExpiresAt)).OfType<DateTimeOffset>().ToList();
        var decided = new LotMadeDecision(
            made, rows[0].Part, sources.Sum(s => s.Quantity), sources, expiries.Count > 0 ? expiries.Min() : null, rows.Min(r => Utc.Read(r.ReceivedAt)), warnings);
        var outcome = keep(decided, rows);
        return outcome.Done is { } record ? Answer(record, repeat: false) : outcome.Refused!;
    }

    static SourceRow? Row(LedgerTransaction t, string lot) => t.Connection.QueryFirstOrDefault<SourceRow>(
        "select lot Lot, part Part, state State, quantity Quantity, used Used, expires_at ExpiresAt, received_at ReceivedAt from lot where lot = @lot", new { lot }, t.Transaction);

    static LotMadeAnswer Answer(LedgerRecord record, bool repeat)
    {
        var d = RecordJson.Read<LotMadeBody>(record.Body).Decided;
        return new(record.Sequence, d.Lot, d.Part, d.Quantity, d.Sources, d.ExpiresAt, repeat, d.Warnings);
    }

    static string Number(long value) => value.ToString(CultureInfo.InvariantCulture);

    public sealed record SourceRow(string Lot, string Part, string State, long Quantity, long Used, string? ExpiresAt, string ReceivedAt)
    {
        public long Left => Math.Max(0, Quantity - Used);
    }
}
