using System.Globalization;

namespace Roadproof.Records.Items;

/// <summary>Times in derived tables: UTC, one width, so that text order is time order.</summary>
static class Utc
{
    const string Format = "yyyy-MM-dd'T'HH:mm:ss.fffffff'Z'";

    public static string Text(DateTimeOffset time) => time.UtcDateTime.ToString(Format, CultureInfo.InvariantCulture);

    public static DateTimeOffset Read(string text) =>
        DateTimeOffset.ParseExact(text, Format, CultureInfo.InvariantCulture, DateTimeStyles.AssumeUniversal);

    public static DateTimeOffset? ReadOrNull(string? text) => text is null ? null : Read(text);
}
