using Microsoft.Extensions.Caching.Memory;
using Roadproof.App.Frame;
using Roadproof.Engineering.Formats;

namespace Roadproof.App.LoadTest;

/// <summary>Single channels of many runs, decoded, and what was read from them: a band over forty runs is not read anew at each look.</summary>
public sealed class RunChannelCache : IDisposable
{
    // A slow channel of a run is 0.1 MB, a fast one about 7 MB: all slow ones that a person looks at stay, a few dozen fast ones do.
    const long MostBytes = 96L << 20;
    static readonly TimeSpan Unused = TimeSpan.FromMinutes(5);

    readonly MemoryCache cache = new(new MemoryCacheOptions { SizeLimit = MostBytes });

    /// <summary>A capture's table with one channel; null when the bytes are not at hand or hold no such channel.</summary>
    public CaptureTable? Find(string sha256, string channel, OpenLine line) => Keep((sha256, channel), () => Read(sha256, new HashSet<string>(StringComparer.Ordinal) { channel }, line) is { } t && t.Channels.ContainsKey(channel) ? t : null, t => t.TimeS.Length * 12L);

    /// <summary>What was read once is not read again while it is looked at.</summary>
    public T? Keep<T>(object key, Func<T?> read, Func<T, long> bytes)
        where T : class
    {
        if (cache.Get<T>(key) is { } known) return known;
        if (read() is not { } fresh) return null;
        return cache.Set(key, fresh, new MemoryCacheEntryOptions { Size = bytes(fresh) + 100, SlidingExpiration = Unused });
    }

    /// <summary>Some channels of a capture, not kept; null when the bytes are not at hand.</summary>
    public static CaptureTable? Read(string sha256, IReadOnlySet<string> channels, OpenLine line)
    {
        using var stream = line.Captures.Open(sha256);
        return stream is null ? null : CaptureFile.Read([(sha256, stream)], channels).Tables[0];
    }

    public void Dispose() => cache.Dispose();
}
