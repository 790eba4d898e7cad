using Roadproof.Engineering.Formats;
using Roadproof.Engineering.Quantities;
using static System.FormattableString;

namespace Roadproof.Engineering.Road;

/// <summary>A ride in a line: how far, how long, how high.</summary>
public sealed record RideSummary
{
    /// <summary>A step counts as moving when its mean speed is at least this, m/s (common practice, no source).</summary>
    public const double MovingMps = 0.5;

    /// <summary>Standing for less than this is no stop, s (common practice, no source).</summary>
    public const double LeastStopS = 5;

    /// <summary>A rise counts only when it goes more than this above where the last rise or fall was counted, m.</summary>
    public const double AscentHysteresisM = 2;

    public required string File { get; init; }

    /// <summary>Over the ellipsoid along the positions, without dropped fixes and without smoothing; the recorder's count where there are no positions.</summary>
    public required double DistanceM { get; init; }

    /// <summary>"positions", "recorder" or, for a ride without a road, "nothing".</summary>
    public required string DistanceFrom { get; init; }

    /// <summary>The recorder's own count, beside it; null when the file has none.</summary>
    public required double? RecordedDistanceM { get; init; }

    /// <summary>The recorder's count over that of the positions, where both count in the same steps, at least 100 m of them; null otherwise.</summary>
    public double? RecordedOverPositions { get; init; }

    /// <summary>How often the ride stood for at least <see cref="LeastStopS"/>; a pause of the recording between two pieces counts. Null without times or road.</summary>
    public int? Stops { get; init; }

    /// <summary>How long it stood in these; null without times or road.</summary>
    public double? StoppedTimeS { get; init; }

    /// <summary>First to last time, pauses included; null without times.</summary>
    public required double? ElapsedTimeS { get; init; }

    /// <summary>Time of the steps with at least <see cref="MovingMps"/>; null without times.</summary>
    public required double? MovingTimeS { get; init; }

    /// <summary>With <see cref="AscentHysteresisM"/>; null without elevation.</summary>
    public required double? AscentM { get; init; }

    public required double? DescentM { get; init; }

    /// <summary>Distance while moving over moving time; null without times or movement.</summary>
    public required double? MeanSpeedMps { get; init; }

    public required IReadOnlyList<string> Repaired { get; init; }

    /// <exception cref="InputException">A way with times on which nothing moves: a parked recorder, or a table of something else.</exception>
    public void RequireMovement()
    {
        if (MovingTimeS == 0)
            throw new InputException(new InputError(File, 0, "", Invariant($"nothing that moves: {DistanceM:0.#} m in {ElapsedTimeS:0} s"), Invariant($"a ride that somewhere moves with at least {MovingMps} m/s"), "A ride has one line per point; a table of rides is none. Of a trainer indoors leave positions, distance and speed out of the file."));
    }

    public static RideSummary Of(Ride ride) => Of(ride, RidePath.Of(ride));

    public static RideSummary Of(Ride ride, RidePath path, double hysteresisM = AscentHysteresisM)
    {
        ArgumentNullException.ThrowIfNull(ride);
        ArgumentNullException.ThrowIfNull(path);
        var (elapsedS, movingS, movingM, stops, stoppedS) = Moving(path);
        var isTimedRoad = elapsedS is not null && path.HasRoad;
        var climb = path.ElevationM is { } elevationM ? Climb(elevationM, path.PieceSpan, hysteresisM) : ((double AscentM, double DescentM)?)null;
        return new RideSummary
        {
            File = ride.Name,
            DistanceM = path.LengthM,
            DistanceFrom = path.ByPosition ? "positions" : path.HasRoad ? "recorder" : "nothing",
            RecordedDistanceM = RecordedM(ride),
            RecordedOverPositions = RecordedOverPositionsOf(path),
            Stops = isTimedRoad ? stops : null,
            StoppedTimeS = isTimedRoad ? stoppedS : null,
            ElapsedTimeS = elapsedS,
            MovingTimeS = isTimedRoad ? movingS : null,
            AscentM = climb?.AscentM,
            DescentM = climb?.DescentM,
            MeanSpeedMps = movingS > 0 ? movingM / movingS : null,
            Repaired = path.Repaired,
        };
    }

    static (double? ElapsedS, double MovingS, double MovingM, int Stops, double StoppedS) Moving(RidePath path)
    {
        var fixes = path.FixSpan;
        var pieces = path.PieceSpan;
        var (firstS, lastS, movingS, movingM) = (double.NaN, double.NaN, 0.0, 0.0);
        var (stops, stoppedS, standsForS) = (0, 0.0, 0.0);
        for (var i = 0; i < fixes.Length; i++)
        {
            if (!fixes[i].HasTime) continue;
            if (double.IsNaN(firstS)) firstS = fixes[i].TimeS;
            lastS = fixes[i].TimeS;
            if (i == 0 || !fixes[i - 1].HasTime) continue;
            var stepS = fixes[i].TimeS - fixes[i - 1].TimeS;
            var stepM = path.DistanceM[i] - path.DistanceM[i - 1];
            if (pieces[i] != pieces[i - 1] || stepM < MovingMps * stepS)
            {
                standsForS += stepS;
                continue;
            }

            EndStop();
            movingS += stepS;
            movingM += stepM;
        }

        EndStop();
        return (double.IsNaN(firstS) ? null : lastS - firstS, movingS, movingM, stops, stoppedS);

        void EndStop()
        {
            if (standsForS >= LeastStopS)
            {
                stops++;
                stoppedS += standsForS;
            }

            standsForS = 0;
        }
    }

    /// <summary>A mark follows the elevation only when that is more than the hysteresis away; rises of the mark are ascent.</summary>
    internal static (double AscentM, double DescentM) Climb(ReadOnlySpan<double> elevationM, ReadOnlySpan<int> pieces, double hysteresisM)
    {
        // A micrometre of slack: 32.2 − 30.2 is more than 2 in binary.
        var threshold = hysteresisM + 1e-6;
        var (ascentM, descentM) = (0.0, 0.0);
        var markM = double.NaN;
        for (var i = 0; i < elevationM.Length; i++)
        {
            if (i == 0 || pieces[i] != pieces[i - 1])
            {
                markM = elevationM[i];
                continue;
            }

            var riseM = elevationM[i] - markM;
            if (Math.Abs(riseM) <= threshold) continue;
            if (riseM > 0) ascentM += riseM;
            else descentM -= riseM;
            markM = elevationM[i];
        }

        return (ascentM, descentM);
    }

    static double? RecordedM(Ride ride)
    {
        double? lengthM = null;
        var last = double.NaN;
        foreach (var fix in ride.Fixes)
        {
            if (double.IsNaN(fix.RecordedDistanceM)) continue;
            lengthM = (lengthM ?? 0) + (double.IsNaN(last) ? 0 : Math.Max(0, fix.RecordedDistanceM - last));
            last = fix.RecordedDistanceM;
        }

        return lengthM;
    }

    static double? RecordedOverPositionsOf(RidePath path)
    {
        if (!path.ByPosition) return null;
        var fixes = path.FixSpan;
        var pieces = path.PieceSpan;
        var (recordedM, wayM, before) = (0.0, 0.0, -1);
        for (var i = 0; i < fixes.Length; i++)
        {
            if (double.IsNaN(fixes[i].RecordedDistanceM)) continue;
            var stepM = before >= 0 && pieces[i] == pieces[before] ? fixes[i].RecordedDistanceM - fixes[before].RecordedDistanceM : -1;
            if (stepM >= 0)
            {
                recordedM += stepM;
                wayM += path.DistanceM[i] - path.DistanceM[before];
            }

            before = i;
        }

        return wayM >= 100 ? recordedM / wayM : null;
    }
}
