using System.Buffers;
using System.Buffers.Text;
using System.Security.Cryptography;

namespace Roadproof.Records.Ledger;

/// <summary>What a record's hash is taken of, as UTF-8 and raw hashes: the form that a row of the ledger has.</summary>
ref struct RecordBytes
{
    public long Sequence;
    public ReadOnlySpan<byte> Key;
    public ReadOnlySpan<byte> Kind;
    public ReadOnlySpan<byte> Item;
    public ReadOnlySpan<byte> Station;
    public ReadOnlySpan<byte> OccurredAt;
    public ReadOnlySpan<byte> ReceivedAt;
    public ReadOnlySpan<byte> Person;
    public ReadOnlySpan<byte> Body;
    public long BodyVersion;
    public ReadOnlySpan<byte> PreviousHash;
}

/// <summary>SHA-256 over the canonical JSON (RFC 8785) of everything a record says, its place and the hash before it included.</summary>
/// <remarks>The body is set in as it stands: it is canonical JSON already, so the whole is. Anyone can compute the hash again
/// with any RFC 8785 library from the members below. Not for two threads at once: the buffer is kept.</remarks>
sealed class RecordHash
{
    readonly ArrayBufferWriter<byte> document = new(4096);

    public void Of(in RecordBytes record, Span<byte> hash)
    {
        document.ResetWrittenCount();
        document.Write("{\"body\":"u8);
        document.Write(record.Body);
        Number(",\"bodyVersion\":"u8, record.BodyVersion);
        Text(",\"item\":"u8, record.Item);
        Text(",\"key\":"u8, record.Key);
        Text(",\"kind\":"u8, record.Kind);
        Text(",\"occurredAt\":"u8, record.OccurredAt);
        Text(",\"person\":"u8, record.Person);
        Hash(",\"previousHash\":\""u8, record.PreviousHash);
        Text("\",\"receivedAt\":"u8, record.ReceivedAt);
        Number(",\"sequence\":"u8, record.Sequence);
        Text(",\"station\":"u8, record.Station);
        document.Write("}"u8);
        SHA256.HashData(document.WrittenSpan, hash);
    }

    /// <summary>The document the last hash was taken of.</summary>
    public ReadOnlySpan<byte> Document => document.WrittenSpan;

    void Text(ReadOnlySpan<byte> name, ReadOnlySpan<byte> text)
    {
        document.Write(name);
        CanonicalJson.WriteText(document, text);
    }

    void Number(ReadOnlySpan<byte> name, long number)
    {
        document.Write(name);
        Utf8Formatter.TryFormat(number, document.GetSpan(20), out var written);
        document.Advance(written);
    }

    void Hash(ReadOnlySpan<byte> name, ReadOnlySpan<byte> hash)
    {
        document.Write(name);
        Convert.TryToHexStringLower(hash, document.GetSpan(2 * hash.Length), out var written);
        document.Advance(written);
    }
}
