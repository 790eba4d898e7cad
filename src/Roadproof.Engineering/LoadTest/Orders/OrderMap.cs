using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Formats;
using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Signals;
using static System.FormattableString;

namespace Roadproof.Engineering.LoadTest;

/// <summary>One row of a map: a piece of the run, read over the rotor's angle.</summary>
/// <param name="SpeedRadPerS">Mean speed of the rotor in it.</param>
/// <param name="Amplitude">Greatest line amplitude of each column of orders, peak value of a sine; NaN where the sample rate does not reach.</param>
/// <param name="Lines">Amplitude at each named order of the map, noise and all; NaN where the sample rate does not reach.</param>
public sealed record OrderMapRow(double FromS, double ToS, double SpeedRadPerS, double[] Amplitude, double[] Lines);

/// <summary>How strongly a channel repeats with the rotor, order by order, through a whole run.</summary>
/// <param name="OrderStep">Distance of two bins of the spectra: lines nearer than two of them flow together.</param>
/// <param name="Orders">Middle of each column, events per turn of the rotor.</param>
/// <param name="Named">What of the unit lies within the columns.</param>
/// <param name="Rows">In the order of time.</param>
/// <param name="Warnings">Also what could not be read: a stretch in which the rotor stands still has no orders.</param>
public sealed record OrderMap(string Channel, string Unit, double OrderStep, double[] Orders, IReadOnlyList<NamedOrder> Named, IReadOnlyList<OrderMapRow> Rows, IReadOnlyList<string> Warnings)
{
    const double ReadableShareOfRate = 0.4;
    const int LargestSamplesPerTurn = 4096;
    const int FinestTurnsPerBlock = 16;
    const int MostRowsOfStretch = 12;

    /// <summary>Resonance and run-up are seen where a row's speed hardly changes: a row is no longer than this.</summary>
    const double LongestRowS = 0.5;

    /// <param name="columns">Of orders; at least 1.</param>
    /// <param name="highestOrder">The last order shown; null for three times the first mesh, or what the slowest row can show of it.</param>
    /// <param name="fromS">Only unbroken stretches that end after this time; null for all.</param>
    /// <param name="toS">Only unbroken stretches that begin before this time; null for all.</param>
    /// <exception cref="InputException">No such channel, no angle, or nothing of it turns fast and long enough.</exception>
    /// <remarks>
    /// Every unbroken stretch of the channel is resampled over the rotor's angle once and cut into rows of about half a second; a row's spectrum averages half-overlapped
    /// Hann blocks of at most 16 turns, so that a line at order k stays in its column while the speed changes. A column shows the greatest bin in it: nothing that sticks
    /// out is lost to the picture's width. O(32·n + n·log(turns)).
    /// </remarks>
    public static OrderMap Of(Capture capture, string channel, DriveUnit unit, int columns, double? highestOrder = null, double? fromS = null, double? toS = null)
    {
        var warnings = new List<string>();
        var stretches = Turning(capture, channel, unit, fromS ?? double.NegativeInfinity, toS ?? double.PositiveInfinity, warnings);
        if (stretches.Count == 0) throw new InputException(new InputError(capture.Tables[0].Source, 0, channel, "no stretch in which the rotor turns", "a run with a rotor that turns two times at least", warnings.FirstOrDefault()));

        var names = NamedOrders.Of(unit);
        var reach = stretches.Max(s => s.Highest);
        var highest = Math.Min(highestOrder ?? 3.25 * names.Mesh(1).PerRotorTurn, reach);
        var turnsPerBlock = FinestTurnsPerBlock;
        while (turnsPerBlock > 1 && stretches.All(s => s.Shaft.Turns < 2 * turnsPerBlock)) turnsPerBlock /= 2;
        var named = names.All.Concat(names.Sidebands.Where(o => o.Name.Contains('×', StringComparison.Ordinal) && !o.Name.Contains('+', StringComparison.Ordinal) && !o.Name.Contains('−', StringComparison.Ordinal)))
            .Where(o => o.PerRotorTurn <= highest && o.PerRotorTurn >= 3.0 / turnsPerBlock).OrderBy(o => o.PerRotorTurn).ToList();

        var width = highest / columns;
        var rows = new List<OrderMapRow>();
        foreach (var stretch in stretches) rows.AddRange(RowsOf(stretch, turnsPerBlock, columns, width, named, warnings));
        if (rows.Count == 0) throw new InputException(new InputError(stretches[0].Shaft.Table.Source, 0, channel, "stretches of less than one block of turns", Invariant($"{turnsPerBlock} turns of the rotor at least")));
        return new(channel, OrderAnalysis.UnitOf(channel), 1.0 / turnsPerBlock, [.. Enumerable.Range(0, columns).Select(c => (c + 0.5) * width)], named, [.. rows.OrderBy(r => r.FromS)], warnings);
    }

    /// <summary>Rows of the map in one: of each column and each line the root mean square, NaN where one of them has none.</summary>
    /// <param name="rows">At least one, of one map.</param>
    public static OrderMapRow Together(IReadOnlyList<OrderMapRow> rows) => new(
        rows[0].FromS, rows[^1].ToS, rows.Average(r => r.SpeedRadPerS),
        [.. rows[0].Amplitude.Select((_, c) => Math.Sqrt(rows.Average(r => r.Amplitude[c] * r.Amplitude[c])))],
        [.. rows[0].Lines.Select((_, l) => Math.Sqrt(rows.Average(r => r.Lines[l] * r.Lines[l])))]);

    sealed record Stretch(TurningShaft Shaft, int PerTurn, double Highest);

    static List<Stretch> Turning(Capture capture, string channel, DriveUnit unit, double fromS, double toS, List<string> warnings)
    {
        var table = capture.Tables.Where(t => t.Channels.ContainsKey(channel)).MaxBy(t => t.TimeS.Length)
            ?? throw new InputException(new InputError(capture.Tables[0].Source, 0, "channel", $"no channel '{channel}'", $"one of {string.Join(", ", capture.Tables.SelectMany(t => t.Channels.Keys).Distinct().Order(StringComparer.Ordinal))}"));
        var found = new List<Stretch>();
        foreach (var piece in Segment.Of(table.TimeS).Where(s => s.Count > 16 && s.ToS > fromS && s.FromS < toS))
        {
            try
            {
                var shaft = TurningShaft.Find(Around(capture, channel, piece), new(channel) { FromS = piece.FromS, ToS = piece.ToS }, unit, []);
                var perSample = shaft.Samples.Length / shaft.Turns; // samples a turn at the mean speed
                var fastest = OrderAnalysis.Speeds(shaft).Fastest;
                var readable = ReadableShareOfRate * shaft.Rows.RateHz * 2 * Math.PI / fastest;
                if (readable < 2) continue;
                var perTurn = (int)Math.Min(LargestSamplesPerTurn, System.Numerics.BitOperations.RoundUpToPowerOf2((uint)Math.Ceiling(perSample)));
                found.Add(new(shaft, perTurn, Math.Min(readable, ReadableShareOfRate * perTurn)));
            }
            catch (InputException e)
            {
                // One window at rest is no reason to show nothing of the others.
                warnings.Add(Invariant($"{piece.FromS:0.##} to {piece.ToS:0.##} s is left out: {e.Errors[0].Found}."));
            }
        }

        return found;
    }

    // Only the rows about a piece, with one more on both sides: the whole run would be looked through for each of its windows.
    static Capture Around(Capture capture, string channel, Segment piece) => capture with
    {
        Tables = [.. capture.Tables.Select(t =>
        {
            var (from, to) = (Math.Max(0, FirstNotBefore(t.TimeS, piece.FromS) - 1), Math.Min(t.TimeS.Length, FirstNotBefore(t.TimeS, Math.BitIncrement(piece.ToS)) + 1));
            return t with { TimeS = t.TimeS[from..to], Channels = t.Channels.Where(c => c.Key == channel || TurningShaft.UsualAngles.Contains(c.Key)).ToDictionary(c => c.Key, c => c.Value[from..to], StringComparer.Ordinal) };
        }).Where(t => t.TimeS.Length > 1)],
    };

    static int FirstNotBefore(double[] timeS, double s)
    {
        var i = Array.BinarySearch(timeS, s);
        return i >= 0 ? i : ~i;
    }

    static IEnumerable<OrderMapRow> RowsOf(Stretch stretch, int turnsPerBlock, int columns, double width, List<NamedOrder> named, List<string> warnings)
    {
        var (shaft, perTurn) = (stretch.Shaft, stretch.PerTurn);
        var resampled = AngleResampling.ToTurns(shaft.Samples, shaft.AngleRad, perTurn);
        var mean = Moments.MeanOf(resampled);
        for (var i = 0; i < resampled.Length; i++) resampled[i] -= mean;

        var turns = resampled.Length / perTurn;
        if (turns < turnsPerBlock)
        {
            warnings.Add(Invariant($"{shaft.Rows.FromS:0.##} to {shaft.Rows.ToS:0.##} s is left out: {turns} whole turns, and a block takes {turnsPerBlock}."));
            yield break;
        }

        var wanted = (int)Math.Ceiling((shaft.Rows.ToS - shaft.Rows.FromS) / LongestRowS);
        var count = Math.Clamp(wanted, 1, Math.Min(MostRowsOfStretch, turns / turnsPerBlock));
        var firstRad = Math.Ceiling(shaft.AngleRad[0] / (2 * Math.PI / perTurn)) * (2 * Math.PI / perTurn);
        for (var r = 0; r < count; r++)
        {
            var (from, to) = (turns * r / count * perTurn, turns * (r + 1) / count * perTurn);
            var spectrum = OrderSpectrum.Of(resampled.AsSpan(from, to - from), perTurn, turnsPerBlock, Window.Hann);
            var (fromS, toS) = (TimeAt(shaft, firstRad + from * (2 * Math.PI / perTurn)), TimeAt(shaft, firstRad + to * (2 * Math.PI / perTurn)));
            yield return new(fromS, toS, (to - from) * (2 * Math.PI / perTurn) / (toS - fromS), Columns(spectrum, columns, width, stretch.Highest),
                [.. named.Select(o => o.PerRotorTurn <= stretch.Highest ? spectrum.AmplitudeAt(o.PerRotorTurn) : double.NaN)]);
        }
    }

    /// <summary>The greatest bin within each column; where columns are finer than bins, the nearest bin.</summary>
    static double[] Columns(OrderSpectrum spectrum, int columns, double width, double highest)
    {
        var amplitude = new double[columns];
        for (var c = 0; c < columns; c++)
        {
            var middle = (int)Math.Round((c + 0.5) * width / spectrum.OrderStep);
            var (from, to) = (Math.Min(middle, (int)Math.Ceiling(c * width / spectrum.OrderStep)), Math.Max(middle, (int)Math.Ceiling((c + 1) * width / spectrum.OrderStep) - 1));
            amplitude[c] = (c + 1) * width > highest * (1 + 1e-9) || to >= spectrum.Amplitude.Length ? double.NaN : spectrum.Amplitude[from];
            for (var k = from + 1; k <= to && k < spectrum.Amplitude.Length; k++) amplitude[c] = Math.Max(amplitude[c], spectrum.Amplitude[k]);
        }

        return amplitude;
    }

    static double TimeAt(TurningShaft shaft, double rad)
    {
        var i = Array.BinarySearch(shaft.AngleRad, rad);
        var row = Math.Clamp(i >= 0 ? i : ~i - 1, 0, shaft.AngleRad.Length - 2);
        var share = Math.Clamp((rad - shaft.AngleRad[row]) / (shaft.AngleRad[row + 1] - shaft.AngleRad[row]), 0, 1);
        return shaft.Table.TimeS[shaft.Rows.From + row] + share * (shaft.Table.TimeS[shaft.Rows.From + row + 1] - shaft.Table.TimeS[shaft.Rows.From + row]);
    }
}
