using Roadproof.App.Frame;
using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Signals;

namespace Roadproof.App.LoadTest;

/// <summary>Mean, edges and scatter of a capture's channels between two times, from every sample there.</summary>
public static class ShowStretch
{
    public sealed record Answer(double FromS, double ToS, IReadOnlyList<ChannelFigures> Channels);

    /// <summary>All in the channel's unit; null where nothing was recorded.</summary>
    /// <param name="MeanUncertainty">Standard uncertainty of the mean from the scatter of its blocks; null below 6 samples.</param>
    public sealed record ChannelFigures(
        string Channel, int Samples, int Missing, double? Mean, double? MeanUncertainty, double? Minimum, double? Maximum, double? Rms, double? StandardDeviation, double? PeakToPeak);

    const int MostChannels = 30;

    public static void Map(IEndpointRouteBuilder app) => app
        .MapGet("/api/v1/captures/{sha256}/statistics", (string sha256, string[] channel, double? from, double? to, OpenLine line, RecentCaptures recent) => Run(sha256, channel, from, to, line, recent).ToHttp())
        .WithSummary("Mean, edges and scatter of channels of a capture between two times");

    public static Outcome<Answer> Run(string sha256, IReadOnlyList<string> channels, double? fromS, double? toS, OpenLine line, RecentCaptures recent)
    {
        if (channels.Count is 0 or > MostChannels) throw new InputException(new InputError("statistics", 0, "channel", Invariant($"{channels.Count} channels"), Invariant($"1 to {MostChannels}")));
        if (recent.Find(sha256, line) is not { } table) return ShowTrace.NotAtHand;
        var unknown = channels.Where(c => !table.Channels.ContainsKey(c)).ToList();
        if (unknown.Count > 0) throw new InputException([.. unknown.Select(c => new InputError("statistics", 0, "channel", $"'{c}'", $"one of {string.Join(", ", table.Channels.Keys.Order(StringComparer.Ordinal))}"))]);

        var (from, to) = (fromS ?? table.TimeS[0], toS ?? table.TimeS[^1]);
        if (!(to >= from)) throw new InputException(new InputError("statistics", 0, "to", Invariant($"{to} s"), Invariant($"a time not before {from} s")));
        return new Answer(from, to, [.. channels.Select(c => Figures(c, StretchFigures.Of(table.TimeS, table.Channels[c], from, to)))]);
    }

    static ChannelFigures Figures(string channel, StretchFigures f) => new(
        channel, f.Samples, f.Missing, Known(f.Mean.Value), Known(f.Mean.StandardUncertainty), Known(f.Minimum), Known(f.Maximum), Known(f.Rms), Known(f.StandardDeviation), Known(f.PeakToPeak));

    static double? Known(double value) => double.IsFinite(value) ? value : null;
}
