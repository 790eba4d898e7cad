using System.Buffers.Text;
using System.Globalization;

namespace Roadproof.Records.Ledger;

/// <summary>Times as the ledger writes them: ISO 8601 to 100 ns with the offset, so that what the sender's clock showed can be read back.</summary>
static class LedgerTime
{
    public static string Text(DateTimeOffset time) => time.ToString("O", CultureInfo.InvariantCulture);

    public static DateTimeOffset Read(string text) => DateTimeOffset.ParseExact(text, "O", CultureInfo.InvariantCulture);

    /// <summary>How far the sender's clock was behind ours when the record came, in ms rounded down; negative where it was ahead.</summary>
    public static long SkewMs(DateTimeOffset occurredAt, DateTimeOffset receivedAt) =>
        Math.DivRem((receivedAt - occurredAt).Ticks, TimeSpan.TicksPerMillisecond, out var rest) - (rest < 0 ? 1 : 0);

    /// <summary>The same of two times as they stand in a row; <see cref="long.MinValue"/> where one is no time.</summary>
    public static long SkewMs(ReadOnlySpan<byte> occurredAt, ReadOnlySpan<byte> receivedAt) =>
        Utf8Parser.TryParse(occurredAt, out DateTimeOffset occurred, out _, 'O') && Utf8Parser.TryParse(receivedAt, out DateTimeOffset received, out _, 'O')
            ? SkewMs(occurred, received)
            : long.MinValue;
}
