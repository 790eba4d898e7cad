using System.Text;
using Roadproof.Records.Ledger;

namespace Roadproof.Records.ReadModel;

/// <summary>Whether a unit's records still say what they said when they were kept: each hash is computed again, each names the one before.</summary>
static class UnitChain
{
    static readonly string First = new('0', 64);

    public static RecordCheck Check(IReadOnlyList<LedgerRecord> records)
    {
        var hasher = new RecordHash();
        var hash = new byte[32];
        var previous = First;
        foreach (var record in records)
        {
            hasher.Of(Bytes(record), hash);
            if (record.PreviousHash != previous) return Broken(records.Count, record, "does not follow the record before it");
            if (record.Hash != Convert.ToHexStringLower(hash)) return Broken(records.Count, record, "was changed after it was kept");
            previous = record.Hash;
        }

        return new(records.Count, true, $"{Figures.Of(records.Count, "record")}, the chain is whole");
    }

    static RecordBytes Bytes(LedgerRecord r) => new()
    {
        Sequence = r.Sequence, Key = Utf8(r.Key), Kind = Utf8(r.Kind), Item = Utf8(r.Item), Station = Utf8(r.Station), OccurredAt = Utf8(LedgerTime.Text(r.OccurredAt)),
        ReceivedAt = Utf8(LedgerTime.Text(r.ReceivedAt)), Person = Utf8(r.Person), Body = Utf8(r.Body), BodyVersion = r.BodyVersion, PreviousHash = Convert.FromHexString(r.PreviousHash),
    };

    static byte[] Utf8(string text) => Encoding.UTF8.GetBytes(text);

    static RecordCheck Broken(int records, LedgerRecord at, string what) => new(records, false, $"Record {Figures.Count(at.Sequence)} {what}");
}
