using System.Security.Cryptography;
using System.Text;
using System.Text.Json;
using Roadproof.Records.Ledger;

namespace Roadproof.Records.Items;

/// <summary>Whether a key has been used before, and for the same content.</summary>
/// <remarks>What is compared is what the sender said and which station said it, never what was added here: clocks and states have moved on since.</remarks>
static class Repeats
{
    public static Earlier? Find<T>(LedgerTransaction t, string key, string station, T said)
    {
        if (t.Find(key) is not { } record) return null;
        using var body = JsonDocument.Parse(record.Body);
        var same = record.Station == station
            && body.RootElement.TryGetProperty("said", out var first)
            && CanonicalJson.Of(first) == RecordJson.Write(said);
        return new(record, same);
    }

    /// <summary>The key under which a second, different content for a used key is kept; the same for the same content.</summary>
    public static string OtherKey<T>(string key, string station, T said) =>
        OwnKeys.Other(key, Convert.ToHexStringLower(SHA256.HashData(Encoding.UTF8.GetBytes(station + "\n" + RecordJson.Write(said))))[..16]);
}

/// <summary>The record that stands for a key already.</summary>
/// <param name="Same">Its sender said the same.</param>
sealed record Earlier(LedgerRecord Record, bool Same);
