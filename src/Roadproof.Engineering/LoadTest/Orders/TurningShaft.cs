using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Formats;
using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Signals;
using static System.FormattableString;

namespace Roadproof.Engineering.LoadTest;

/// <summary>A stretch of a channel in which a shaft turns, with the shaft's angle beside each sample.</summary>
/// <param name="Samples">Evenly sampled, shape [n].</param>
/// <param name="AngleRad">Unwrapped, strictly rising, shape [n].</param>
/// <param name="IsRotor">Orders count by the rotor; else by whatever shaft the angle channel belongs to.</param>
sealed record TurningShaft(float[] Samples, double[] AngleRad, Segment Rows, CaptureTable Table, string AngleChannel, bool IsRotor)
{
    /// <summary>What turns slower than this share of the stretch's usual speed is a start or a stop.</summary>
    const double LeastSpeedShare = 0.05;

    const int PulsesOfAStop = 10;

    internal static readonly string[] UsualAngles = [CaptureChannel.MotorAngle, CaptureChannel.MotorSpeed, CaptureChannel.OutputSpeed, CaptureChannel.WheelSpeed];

    public double Turns => (AngleRad[^1] - AngleRad[0]) / (2 * Math.PI);

    /// <exception cref="InputException">No such channel, no angle, or a shaft that does not turn.</exception>
    public static TurningShaft Find(Capture capture, OrderRequest request, DriveUnit? unit, List<string> warnings)
    {
        var table = TableOf(capture, request.Channel, "--channel");
        var (angleTable, angle) = AngleOf(capture, table, request);
        RequireWhole(table, request.Channel, request);
        if (angle != request.Channel) RequireWhole(angleTable, angle, request);

        var stretches = Stretches(table, angleTable, request);
        if (stretches.Count == 0) throw Wrong(table.Source, request.Channel, Found(request, table), "rows of the channel and of the angle at the same times");
        var shafts = new List<TurningShaft>();
        var said = new Dictionary<TurningShaft, List<string>>();
        InputException? refused = null;
        foreach (var (fromS, toS) in stretches)
        {
            try
            {
                var ofStretch = new List<string>();
                if (Turning(table, angleTable, angle, fromS, toS, request, ofStretch) is not { } shaft) continue;
                shafts.Add(shaft);
                said[shaft] = ofStretch;
            }
            catch (InputException e)
            {
                refused = e;
            }
        }

        if (shafts.Count == 0 && refused is not null) throw refused;
        var best = shafts.MaxBy(s => s.Turns)
            ?? throw Wrong(angleTable.Source, angle, "an angle that stands still", "a shaft that turns", "Was the right channel named? Orders are events per turn.");
        if (best.Turns < 1.5) throw Wrong(angleTable.Source, angle, Invariant($"{best.Turns:0.##} turns"), "two turns at least", "Record longer, or name the angle of a faster shaft.");
        warnings.AddRange(said[best]);
        if (shafts.Count > 1)
        {
            warnings.Add(Invariant($"Read from {best.Rows.FromS:0.###} s to {best.Rows.ToS:0.###} s, where the shaft turns most; left out: {string.Join(", ", shafts.Where(s => s != best).Select(s => Invariant($"{s.Rows.FromS:0.#} to {s.Rows.ToS:0.#} s")).Take(10))}. Choose by --from-s and --to-s."));
        }

        return best.CountedByRotor(unit, warnings);
    }

    TurningShaft CountedByRotor(DriveUnit? unit, List<string> warnings)
    {
        if (AngleChannel is CaptureChannel.MotorAngle or CaptureChannel.MotorSpeed) return this with { IsRotor = true };
        if (unit is null) return this;
        if (AngleChannel != CaptureChannel.OutputSpeed)
        {
            warnings.Add($"{AngleChannel} is taken for the rotor's: orders and names count by it.");
            return this with { IsRotor = true };
        }

        warnings.Add("The rotor's angle is the output's times the ratio: play between them, and a clutch that runs free, are not seen.");
        return this with { AngleRad = Array.ConvertAll(AngleRad, a => a * unit.Ratio), IsRotor = true };
    }

    static CaptureTable TableOf(Capture capture, string channel, string option)
    {
        // The same channel in two tables: the one with more rows was sampled faster.
        var table = capture.Tables.Where(t => t.Channels.ContainsKey(channel)).MaxBy(t => t.TimeS.Length);
        if (table is not null) return table;
        var names = capture.Tables.SelectMany(t => t.Channels.Keys).Distinct().ToList();
        throw new InputException(new InputError(capture.Tables[0].Source, 0, option, $"no channel '{channel}'", $"one of {string.Join(", ", names.Take(20))}",
            CaptureChannel.Nearest(channel, names) is { } nearest ? $"Is it {nearest}?" : null));
    }

    static (CaptureTable Table, string Channel) AngleOf(Capture capture, CaptureTable table, OrderRequest request)
    {
        if (request.Angle is { } named) return (TableOf(capture, named, "--angle"), named);
        foreach (var usual in UsualAngles)
        {
            // Beside the samples themselves where it is; else the fastest of the other files.
            if (usual == request.Channel) continue;
            if (table.Channels.ContainsKey(usual)) return (table, usual);
            if (capture.Tables.Any(t => t.Channels.ContainsKey(usual))) return (TableOf(capture, usual, "--angle"), usual);
        }

        throw new InputException(new InputError(table.Source, 0, "--angle", "no channel that says how the shaft turns", $"one of {string.Join(", ", UsualAngles)}, or another one named by --angle",
            "An angle ends in _rad, a speed in _rad_s or _rpm; a tacho needs --pulses-per-turn. It may stand in another file of the run: name that too."));
    }

    static void RequireWhole(CaptureTable table, string channel, OrderRequest request)
    {
        var samples = table.Channels[channel];
        for (var i = 0; i < samples.Length; i++)
        {
            if (float.IsFinite(samples[i]) || table.TimeS[i] < request.FromS || table.TimeS[i] > request.ToS) continue;
            throw Wrong(table.Source, channel, Invariant($"no value in row {i + 1} at {table.TimeS[i]} s"), "a number in every row that is read", "Read a stretch without the hole by --from-s and --to-s.");
        }
    }

    /// <summary>Times in which both tables have unbroken rows.</summary>
    static List<(double FromS, double ToS)> Stretches(CaptureTable table, CaptureTable angleTable, OrderRequest request)
    {
        var (own, other) = (Segment.Of(table.TimeS), Segment.Of(angleTable.TimeS));
        return
        [
            .. from a in own
               from b in other
               let fromS = Math.Max(Math.Max(a.FromS, b.FromS), request.FromS ?? double.NegativeInfinity)
               let toS = Math.Min(Math.Min(a.ToS, b.ToS), request.ToS ?? double.PositiveInfinity)
               where toS > fromS && a.Count > 8 && b.Count > 8
               select (fromS, toS),
        ];
    }

    /// <summary>The longest part of a stretch in which the shaft turns one way; null where it does not turn.</summary>
    static TurningShaft? Turning(CaptureTable table, CaptureTable angleTable, string angle, double fromS, double toS, OrderRequest request, List<string> warnings)
    {
        if (TrackOf(angleTable, angle, fromS, toS, request, warnings) is not { } track) return null;
        (fromS, toS) = (Math.Max(fromS, track.FromS), Math.Min(toS, track.ToS));
        if (!(toS > fromS) || Segment.Of(table.TimeS).Find(s => s.FromS <= fromS && s.ToS >= toS) is not { Count: > 8 } inside) return null;

        var (from, to) = inside.Rows(table.TimeS, fromS, toS);
        if (to - from < 16) return null;
        var angleRad = track.At(table.TimeS.AsSpan(from, to - from));
        if (angleRad[^1] < angleRad[0]) angleRad = Array.ConvertAll(angleRad, a => -a); // which way round does not matter
        var (first, last) = LongestTurning(angleRad, inside.RateHz);
        if (last - first < 16) return null;

        var rows = new Segment(from + first, from + last, table.TimeS[from + first], table.TimeS[from + last - 1], inside.RateHz);
        return new(table.Channels[request.Channel][rows.From..rows.To], Rising(angleRad.AsSpan(first, last - first), angleTable.Source, angle, warnings), rows, table, angle, IsRotor: false);
    }

    static AngleTrack? TrackOf(CaptureTable table, string channel, double fromS, double toS, OrderRequest request, List<string> warnings)
    {
        var segment = Segment.Of(table.TimeS).First(s => s.FromS <= fromS && s.ToS >= toS);
        var (from, to) = segment.Rows(table.TimeS, fromS, toS);

        // A row more on both sides, so that the other table's first and last samples lie between rows.
        (from, to) = (Math.Max(segment.From, from - 1), Math.Min(segment.To, to + 1));
        if (to - from < 8) return null;
        var timeS = table.TimeS.AsSpan(from, to - from);
        var samples = table.Channels[channel].AsSpan(from, to - from);
        if (request.PulsesPerTurn is { } perTurn) return OfTacho(table.Source, channel, timeS, samples, perTurn, warnings);
        if (channel.EndsWith("_rad_s", StringComparison.Ordinal)) return AngleTrack.FromSpeed(timeS, samples);
        if (channel.EndsWith("_rpm", StringComparison.Ordinal)) return AngleTrack.FromSpeed(timeS, Array.ConvertAll(samples.ToArray(), rpm => rpm * (float)(Math.PI / 30)));
        if (!channel.EndsWith("_rad", StringComparison.Ordinal))
            throw new InputException(new InputError(table.Source, 0, "--angle", $"'{channel}'", "a channel whose name ends in _rad (angle), _rad_s or _rpm (speed), or --pulses-per-turn for a tacho"));
        RequireFewStepsPerTurn(table.Source, channel, samples);
        return AngleTrack.FromWrapped(timeS, samples);
    }

    static AngleTrack? OfTacho(string source, string channel, ReadOnlySpan<double> timeS, ReadOnlySpan<float> samples, int perTurn, List<string> warnings)
    {
        if (TachoPulses.LevelOf(samples) is not var (level, low)) return null;
        var rows = TachoPulses.Rows(samples, level, low);
        if (rows.Length < 3) return null;
        var pulseS = new double[rows.Length];
        for (var i = 0; i < rows.Length; i++) pulseS[i] = timeS[(int)rows[i]] + (rows[i] - (int)rows[i]) * (timeS[(int)rows[i] + 1] - timeS[(int)rows[i]]);
        var train = PulseTrain.Of(LongestWithoutStop(pulseS));
        if (train.Faults.Count * 5 > rows.Length)
            throw Wrong(source, channel, Invariant($"{train.Faults.Count} of {rows.Length} pulses missing or double"), "a clean tacho", "Is the level right, and does the tacho have evenly spaced marks?");
        foreach (var fault in train.Faults.Take(10))
            warnings.Add(fault.Missing > 0 ? Invariant($"{channel}: {fault.Missing} {(fault.Missing == 1 ? "pulse is" : "pulses are")} missing after {fault.AtS:0.####} s; the curve goes on through the gap.") : Invariant($"{channel}: a pulse too many at {fault.AtS:0.####} s was left out."));
        if (train.Faults.Count > 10) warnings.Add(Invariant($"{channel}: {train.Faults.Count - 10} more pulses missing or double."));
        var edgeS = EdgeUncertaintyS(timeS, samples, rows, low, level);
        if (edgeS == 0) return AngleTrack.FromPulses(train, perTurn);
        var (smooth, leftS) = SmoothPulses.Of(train, edgeS);
        var track = AngleTrack.FromPulses(smooth, perTurn);
        // A phase that wanders by σ takes σ²/2 of a line away; the rest stands beside it.
        var highest = Math.Sqrt(2 * WorthTelling) / (FastestRadPerS(smooth, perTurn) * leftS);
        warnings.Add(Invariant($"{channel} rises within one sample, so its edges are known to ±{edgeS * Math.Sqrt(3) * 1e6:0} µs; the smoothed track is sure to {leftS * 1e6:0.#} µs, and orders above {highest:0} read more than {100 * WorthTelling:0} % too small, with false lines beside them. Record the tacho faster for higher ones."));
        return track;
    }

    /// <summary>Loss of amplitude that is told.</summary>
    const double WorthTelling = 0.01;

    static double FastestRadPerS(PulseTrain train, int perTurn)
    {
        var fastest = 0.0;
        for (var i = 1; i < train.TimeS.Length; i++) fastest = Math.Max(fastest, (train.Number[i] - train.Number[i - 1]) / (train.TimeS[i] - train.TimeS[i - 1]));
        return 2 * Math.PI * fastest / perTurn;
    }

    /// <summary>Standard uncertainty of a pulse's time where most edges rise within a sample, s: it came at any time between the two. 0 where edges are drawn by several samples.</summary>
    static double EdgeUncertaintyS(ReadOnlySpan<double> timeS, ReadOnlySpan<float> samples, double[] rows, float low, float level)
    {
        var steep = 0;
        foreach (var row in rows)
            if (samples[(int)row] <= low && samples[(int)row + 1] >= level + (level - low)) steep++;
        return 2 * steep > rows.Length ? (timeS[^1] - timeS[0]) / (timeS.Length - 1) / Math.Sqrt(12) : 0;
    }

    /// <summary>Where so many pulses in a row are missing the shaft has stood still: the piece with the most pulses.</summary>
    static double[] LongestWithoutStop(double[] pulseS)
    {
        var (best, from) = ((From: 0, To: 0), 0);
        var stops = PulseTrain.Of(pulseS).Faults.Where(f => f.Missing >= PulsesOfAStop).Select(f => Array.IndexOf(pulseS, f.AtS) + 1).Append(pulseS.Length);
        foreach (var stop in stops)
        {
            if (stop - from > best.To - best.From) best = (from, stop);
            from = stop;
        }

        return best.To - best.From < 3 ? pulseS : pulseS[best.From..best.To];
    }

    static void RequireFewStepsPerTurn(string source, string channel, ReadOnlySpan<float> wrappedRad)
    {
        var wide = 0;
        for (var i = 1; i < wrappedRad.Length; i++)
        {
            var step = Math.Abs(Math.IEEERemainder(wrappedRad[i] - wrappedRad[i - 1], 2 * Math.PI));
            if (step > 0.8 * Math.PI) wide++;
        }

        if (wide * 50 > wrappedRad.Length)
            throw Wrong(source, channel, "less than two and a half angles a turn", "an angle that is sampled faster than that", "Name a faster table's angle, or the speed.");
    }

    /// <summary>Pieces of about a fiftieth of a second that turn forward, at more than a small share of the usual speed: the longest run of them by angle.</summary>
    static (int First, int Last) LongestTurning(double[] angleRad, double rateHz)
    {
        var piece = Math.Clamp((int)(rateHz / 50), 4, Math.Max(4, angleRad.Length / 8));
        var steps = new double[(angleRad.Length - 1) / piece];
        for (var p = 0; p < steps.Length; p++) steps[p] = angleRad[(p + 1) * piece] - angleRad[p * piece];
        if (steps.Length == 0) return (0, 0);

        var sorted = steps.Order().ToArray();
        var least = LeastSpeedShare * sorted[(int)(0.95 * (sorted.Length - 1))];
        if (!(least > 0)) return (0, 0);
        var (best, first, last) = (0.0, 0, 0);
        for (var p = 0; p < steps.Length; p++)
        {
            if (!(steps[p] > least)) continue;
            var q = p;
            while (q < steps.Length && steps[q] > least) q++;
            var turned = angleRad[q * piece] - angleRad[p * piece];
            if (turned > best) (best, first, last) = (turned, p * piece, q == steps.Length ? angleRad.Length : q * piece + 1);
            p = q;
        }

        return (first, last);
    }

    /// <summary>A coarse encoder shows the same angle in several rows: means over as few rows as make it rise.</summary>
    static double[] Rising(ReadOnlySpan<double> angleRad, string source, string channel, List<string> warnings)
    {
        var angle = angleRad.ToArray();
        if (Rises(angle)) return angle;
        var summed = new double[angle.Length + 1];
        for (var i = 0; i < angle.Length; i++) summed[i + 1] = summed[i] + angle[i];
        for (var reach = 1; reach <= angle.Length / 32; reach *= 2)
        {
            for (var i = reach; i < angle.Length - reach; i++) angle[i] = (summed[i + reach + 1] - summed[i - reach]) / (2 * reach + 1);

            // At the ends, where there is nothing to take the mean with, the speed beside them goes on.
            var last = angle.Length - 1 - reach;
            var (early, late) = ((angle[2 * reach] - angle[reach]) / reach, (angle[last] - angle[last - reach]) / reach);
            for (var i = 1; i <= reach; i++) (angle[reach - i], angle[last + i]) = (angle[reach] - i * early, angle[last] + i * late);
            if (!Rises(angle)) continue;
            warnings.Add(Invariant($"{channel} stands still or steps back from row to row; it was smoothed over {2 * reach + 1} rows. Orders that are faster than that are not to be trusted."));
            return angle;
        }

        throw Wrong(source, channel, "an angle that goes to and fro", "a shaft that turns one way", "Choose a stretch by --from-s and --to-s.");
    }

    static bool Rises(double[] angle)
    {
        for (var i = 1; i < angle.Length; i++)
            if (!(angle[i] > angle[i - 1])) return false;
        return true;
    }

    static string Found(OrderRequest request, CaptureTable table) =>
        request.FromS is null && request.ToS is null ? "no such rows" : Invariant($"rows from {table.TimeS[0]} s to {table.TimeS[^1]} s only");

    static InputException Wrong(string source, string channel, string found, string expected, string? hint = null) => new(new InputError(source, 0, channel, found, expected, hint));
}
