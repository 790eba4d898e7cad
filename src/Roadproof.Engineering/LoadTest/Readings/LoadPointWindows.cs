using Roadproof.Engineering.Formats;
using Roadproof.Engineering.Signals;
using static System.FormattableString;

namespace Roadproof.Engineering.LoadTest;

/// <summary>A steady piece of the run that belongs to a load point.</summary>
/// <param name="Steady">The whole steady piece, rows of the slow table.</param>
/// <param name="FromS">Start of the part whose means are read: within the fast window where there is one, over whole output turns where they fit.</param>
/// <param name="RecordedToS">End of the fast window, or of the steady piece: orders of the rotor need no whole turns of the output and take all there is.</param>
sealed record LoadPointWindow(LoadPoint Point, (int From, int To) Steady, double FromS, double ToS, double RecordedToS, double OutputTurns);

/// <summary>Finds the load points in the run from torque and speed themselves; the cycle only says in which order they come.</summary>
static class LoadPointWindows
{
    const double LookOutS = 0.5;

    /// <summary>Cost of a load point that nothing fits: a fit three tolerances off in one quantity is no worse.</summary>
    const double MissingCost = 9;

    public static (List<LoadPointWindow> Found, List<MissingPoint> Missing) Find(RunChannels channels, LoadTestPlan plan)
    {
        var driveTorqueNm = DriveTorque(channels);
        var pieces = Pieces(channels, driveTorqueNm, plan);
        var means = pieces.ConvertAll(piece => Mean(piece, driveTorqueNm, channels.Slow.Channels[CaptureChannel.OutputSpeed]));
        var chosen = InOrder(plan.Cycle.Points, pieces, means, channels.Run.RateHz);

        var found = new List<LoadPointWindow>();
        var missing = new List<MissingPoint>();
        for (var i = 0; i < chosen.Length; i++)
        {
            var point = plan.Cycle.Points[i];
            if (chosen[i] >= 0) found.Add(ReadPart(point, pieces[chosen[i]], channels));
            else missing.Add(new(point, Sentence(point, means)));
        }

        return (found, missing);
    }

    /// <summary>Drive torque = output − crank share, shape of the slow table.</summary>
    public static float[] DriveTorque(RunChannels channels)
    {
        if (!channels.HasCrank) return channels.Slow.Channels[CaptureChannel.OutputTorque];
        var (output, crank) = (channels.Slow.Channels[CaptureChannel.OutputTorque], channels.Slow.Channels[CaptureChannel.CrankTorque]);
        var drive = new float[output.Length];
        for (var i = 0; i < drive.Length; i++) drive[i] = output[i] - crank[i];
        return drive;
    }

    static List<SteadyPiece> Pieces(RunChannels channels, float[] driveTorqueNm, LoadTestPlan plan)
    {
        var largestNm = plan.Cycle.Points.Max(p => p.TorqueNm);
        var largestRadPerS = plan.Cycle.Points.Max(p => p.SpeedRadPerS);
        var noiseNm = Math.Sqrt(Square(Noise(plan, CaptureChannel.OutputTorque)) + Square(Noise(plan, CaptureChannel.CrankTorque)));
        var rows = Math.Max(8, (int)Math.Round(LookOutS * channels.Run.RateHz));

        // The line through noise alone changes by √(12/rows) times the noise over the window; four of that is rare.
        Stillness torque = new(0.02 * largestNm + 4 * noiseNm * Math.Sqrt(12.0 / rows), 0.03 * largestNm + 2 * noiseNm);
        var noiseRadPerS = Noise(plan, CaptureChannel.OutputSpeed);
        Stillness speed = new(0.01 * largestRadPerS + 4 * noiseRadPerS * Math.Sqrt(12.0 / rows), 0.01 * largestRadPerS + 2 * noiseRadPerS);
        return SteadyPieces.Find([(driveTorqueNm, torque), (channels.Slow.Channels[CaptureChannel.OutputSpeed], speed)], channels.Run, rows);
    }

    static double Noise(LoadTestPlan plan, string channel) => plan.Gauges.Gauges.FirstOrDefault(g => g.Channel == channel)?.NoiseRms ?? 0;

    static (double TorqueNm, double SpeedRadPerS) Mean(SteadyPiece piece, float[] driveTorqueNm, float[] outputSpeed) =>
        (Moments.MeanOf(driveTorqueNm.AsSpan(piece.From, piece.To - piece.From)), Moments.MeanOf(outputSpeed.AsSpan(piece.From, piece.To - piece.From)));

    /// <summary>For each point the piece that fits it (−1: none), so that the order is kept and the sum of misfits is least.</summary>
    static int[] InOrder(IReadOnlyList<LoadPoint> points, List<SteadyPiece> pieces, List<(double TorqueNm, double SpeedRadPerS)> means, double rateHz)
    {
        var (n, m) = (points.Count, pieces.Count);
        var cost = new double[n + 1, m + 1]; // of the first i points within the first j pieces
        for (var i = 1; i <= n; i++)
        {
            cost[i, 0] = i * MissingCost;
            for (var j = 1; j <= m; j++)
                cost[i, j] = Math.Min(cost[i, j - 1], Math.Min(cost[i - 1, j] + MissingCost, cost[i - 1, j - 1] + Fit(i, j)));
        }

        var chosen = new int[n];
        for (var (i, j) = (n, m); i > 0;)
        {
            if (j > 0 && cost[i, j] == cost[i, j - 1]) j--;
            else if (j > 0 && cost[i, j] == cost[i - 1, j - 1] + Fit(i, j)) chosen[--i] = --j;
            else chosen[--i] = -1;
        }

        return chosen;

        double Fit(int i, int j)
        {
            var point = points[i - 1];
            var (torqueNm, speedRadPerS) = means[j - 1];
            var misfit = Square((torqueNm - point.TorqueNm) / Math.Max(2, 0.08 * point.TorqueNm)) + Square((speedRadPerS - point.SpeedRadPerS) / Math.Max(0.2, 0.03 * point.SpeedRadPerS));
            var piece = pieces[j - 1];
            var share = (piece.To - piece.From) / rateHz / point.HoldS; // of two pieces that fit, the longer one
            return misfit + Square(Math.Max(0, 1 - share));
        }
    }

    static LoadPointWindow ReadPart(LoadPoint point, SteadyPiece piece, RunChannels channels)
    {
        var timeS = channels.Slow.TimeS;
        var (fromS, toS) = (timeS[piece.From], timeS[piece.To - 1]);
        if (point.WindowForS > 0)
        {
            var overlap = channels.FastWindows.Select(w => (FromS: Math.Max(fromS, w.FromS), ToS: Math.Min(toS, w.ToS))).OrderByDescending(o => o.ToS - o.FromS).FirstOrDefault();
            if (overlap.ToS - overlap.FromS > LookOutS) (fromS, toS) = overlap;
        }

        var recordedToS = toS;

        var rows = channels.Run.Rows(timeS, fromS, toS);
        var track = AngleTrack.FromSpeed(timeS.AsSpan(rows.From, rows.To - rows.From), channels.SlowRows(CaptureChannel.OutputSpeed, rows));
        var turns = LoadPoint.WholeTurns(track.Turns);
        var last = Array.FindIndex(track.AngleRad, a => a >= turns * 2 * Math.PI);
        if (last > 0) toS = timeS[rows.From + last - 1];
        return new(point, (piece.From, piece.To), fromS, toS, recordedToS, turns);
    }

    static string Sentence(LoadPoint point, List<(double TorqueNm, double SpeedRadPerS)> means)
    {
        var wanted = Invariant($"Load point {point.Id} ({point.TorqueNm:0.#} N·m at {point.OutputRpm:0.#} rpm) was not found in the run");
        if (means.Count == 0) return wanted + ": nothing in it is steady.";
        var (torqueNm, speedRadPerS) = means.MinBy(m => Square((m.TorqueNm - point.TorqueNm) / Math.Max(2, point.TorqueNm)) + Square((m.SpeedRadPerS - point.SpeedRadPerS) / Math.Max(0.2, point.SpeedRadPerS)));
        return wanted + Invariant($"; the nearest steady piece has {torqueNm:0.#} N·m at {speedRadPerS / Quantities.ReferenceConditions.RadPerSPerRpm:0.#} rpm.");
    }

    static double Square(double x) => x * x;
}
