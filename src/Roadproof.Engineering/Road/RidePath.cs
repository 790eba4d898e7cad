using System.Runtime.InteropServices;
using Roadproof.Engineering.Formats;
using static System.FormattableString;

namespace Roadproof.Engineering.Road;

/// <summary>The way that a ride took: fixes that can be true, with the distance along the way and an elevation for every one.</summary>
/// <remarks>Positions are not smoothed: smoothing shortens the way, and by how much is anyone's guess.</remarks>
public sealed class RidePath
{
    /// <summary>A fix that implies a faster move than this from the fix kept before is dropped, m/s (72 km/h; common practice, no source).</summary>
    public const double FastestMps = 20;

    /// <summary>So many fixes in a row that agree with each other, but not with the place before, are a new place and not a run of errors.</summary>
    public const int FixesThatMakeAPlace = 10;

    /// <summary>Elevations within this of zero may be a recorder's "no elevation", m.</summary>
    const double NearZeroM = 0.5;

    /// <summary>They are when the road to the neighbours would be this far up or down (m) and steeper than 50 %.</summary>
    const double GlitchM = 20;
    const double GlitchGradient = 0.5;

    RidePath(List<RideFix> fixes, int[] pieces, double[] distanceM, double[]? elevationM, bool byPosition, bool hasRoad, List<string> repaired)
    {
        this.fixes = fixes;
        this.pieces = pieces;
        DistanceM = distanceM;
        ElevationM = elevationM;
        LevelledM = elevationM is not null && byPosition ? HeightDrift.TakenOff(FixSpan, elevationM, distanceM, repaired) : elevationM;
        ByPosition = byPosition;
        HasRoad = hasRoad;
        Repaired = repaired;
    }

    readonly List<RideFix> fixes;
    readonly int[] pieces;

    public IReadOnlyList<RideFix> Fixes => fixes;

    /// <summary>Number of the unbroken piece of each fix; between pieces no distance is counted.</summary>
    public IReadOnlyList<int> Pieces => pieces;

    /// <summary>The same, for loops that must not copy.</summary>
    internal ReadOnlySpan<RideFix> FixSpan => CollectionsMarshal.AsSpan(fixes);

    internal ReadOnlySpan<int> PieceSpan => pieces;

    /// <summary>Along the way from the first fix, shape [fixes].</summary>
    public double[] DistanceM { get; }

    /// <summary>Shape [fixes], as recorded with gaps filled from the neighbours; null when the ride has no elevation or no road.</summary>
    public double[]? ElevationM { get; }

    /// <summary>The same without its drift (see <see cref="HeightDrift"/>): what slopes are made from. Ascent is counted as recorded, as everybody counts it.</summary>
    public double[]? LevelledM { get; }

    /// <summary>True when the distance comes from positions, false when from the recorder's own count.</summary>
    public bool ByPosition { get; }

    /// <summary>False for a ride that tells power over time and nothing of a way: a trainer indoors. Its distance is 0.</summary>
    public bool HasRoad { get; }

    /// <summary>What was mended, one sentence each: the file's and the way's.</summary>
    public IReadOnlyList<string> Repaired { get; }

    public double LengthM => DistanceM[^1];

    /// <summary>Finds the way of a ride.</summary>
    public static RidePath Of(Ride ride)
    {
        ArgumentNullException.ThrowIfNull(ride);
        List<string> repaired = [.. ride.Repaired];
        var all = ride.Fixes as List<RideFix> ?? [.. ride.Fixes];
        var span = CollectionsMarshal.AsSpan(all);
        var (positions, counts, speeds) = Told(span);
        if (positions >= 2)
        {
            var way = WithoutJumps(span, repaired);
            var kept = way.Fixes.Count == all.Count ? all : Picked(span, way.Fixes);
            var alongM = AlongPositionsM(way, repaired);
            int[] keptPieces = [.. way.Pieces];
            return new(kept, keptPieces, alongM, ElevationsM(kept, keptPieces, alongM, repaired), byPosition: true, hasRoad: true, repaired);
        }

        var recordedPieces = new int[all.Count];
        for (var i = 0; i < recordedPieces.Length; i++) recordedPieces[i] = span[i].Piece;
        if (counts == 0 && speeds == 0)
        {
            repaired.Add("No positions, no distance and no speed: there is no road, its length is 0.");
            return new(all, recordedPieces, new double[all.Count], null, byPosition: false, hasRoad: false, repaired);
        }

        var distanceM = AsRecordedM(span, recordedPieces, counts > 0, repaired);
        return new(all, recordedPieces, distanceM, ElevationsM(all, recordedPieces, distanceM, repaired), byPosition: false, hasRoad: true, repaired);
    }

    static (int Positions, int Counts, int Speeds) Told(ReadOnlySpan<RideFix> fixes)
    {
        var (positions, counts, speeds) = (0, 0, 0);
        foreach (ref readonly var fix in fixes)
        {
            if (fix.HasPosition) positions++;
            if (!double.IsNaN(fix.RecordedDistanceM)) counts++;
            if (!double.IsNaN(fix.RecordedSpeedMps) && fix.HasTime) speeds++;
        }

        return (positions, counts, speeds);
    }

    static List<RideFix> Picked(ReadOnlySpan<RideFix> all, List<int> which)
    {
        var picked = new List<RideFix>(which.Count);
        foreach (var i in which) picked.Add(all[i]);
        return picked;
    }

    /// <summary>Fixes that can be true: their places in the ride, the piece of each, and the step to each from the one before.</summary>
    readonly record struct Way(List<int> Fixes, List<int> Pieces, List<double> StepM)
    {
        public Way(int capacity)
            : this(new(capacity), new(capacity), new(capacity)) { }

        public void Add(int fix, int piece, double stepM)
        {
            Fixes.Add(fix);
            Pieces.Add(piece);
            StepM.Add(stepM);
        }
    }

    static Way WithoutJumps(ReadOnlySpan<RideFix> all, List<string> repaired)
    {
        var way = new Way(all.Length);
        List<(int Fix, double StepM)> elsewhere = [];
        var (piece, last, dropped, nowhere, newPlaces) = (0, -1, 0, 0, 0);
        for (var i = 0; i < all.Length; i++)
        {
            if (!all[i].HasPosition)
            {
                nowhere++;
                continue;
            }

            var startsPiece = last < 0 || all[i].Piece != all[last].Piece;
            var stepM = last < 0 ? 0 : StepM(all[last], all[i]);
            if (startsPiece || CanFollow(all[last], all[i], stepM))
            {
                dropped += elsewhere.Count;
                elsewhere.Clear();
                if (startsPiece && last >= 0) piece++;
                way.Add(i, piece, stepM);
                last = i;
                continue;
            }

            if (elsewhere.Count > 0)
            {
                stepM = StepM(all[elsewhere[^1].Fix], all[i]);
                if (!CanFollow(all[elsewhere[^1].Fix], all[i], stepM))
                {
                    dropped += elsewhere.Count;
                    elsewhere.Clear();
                }
            }

            elsewhere.Add((i, elsewhere.Count > 0 ? stepM : StepM(all[last], all[i])));
            if (elsewhere.Count < FixesThatMakeAPlace) continue;

            piece++;
            newPlaces++;
            foreach (var (fix, toItM) in elsewhere) way.Add(fix, piece, toItM);
            last = i;
            elsewhere.Clear();
        }

        dropped += elsewhere.Count;
        if (nowhere > 0) repaired.Add(Invariant($"{nowhere} of {all.Length} points have no position and were left out of the way."));
        if (dropped > 0) repaired.Add(Invariant($"{dropped} of {all.Length} points were dropped: each implied a move faster than {FastestMps} m/s from the point kept before."));
        if (newPlaces > 0) repaired.Add(Invariant($"{newPlaces} {(newPlaces == 1 ? "jump leads" : "jumps lead")} to a place that {FixesThatMakeAPlace} points in a row agree on: taken as a gap in the recording, its length not counted."));
        return way;
    }

    static bool CanFollow(in RideFix a, in RideFix b, double stepM) => !a.HasTime || !b.HasTime || stepM <= FastestMps * (b.TimeS - a.TimeS);

    static double StepM(in RideFix a, in RideFix b) => Geodesic.StepM(a.LatitudeDeg, a.LongitudeDeg, b.LatitudeDeg, b.LongitudeDeg);

    static double[] AlongPositionsM(Way way, List<string> repaired)
    {
        var distanceM = new double[way.Fixes.Count];
        var gaps = 0;
        var gapM = 0.0;
        for (var i = 1; i < distanceM.Length; i++)
        {
            var isGap = way.Pieces[i] != way.Pieces[i - 1];
            distanceM[i] = distanceM[i - 1] + (isGap ? 0 : way.StepM[i]);
            if (!isGap) continue;
            gaps++;
            gapM += way.StepM[i];
        }

        if (gaps > 0) repaired.Add(Invariant($"{gaps} {(gaps == 1 ? "gap" : "gaps")} between pieces of the recording, {gapM:0} m straight across, not counted as distance."));
        return distanceM;
    }

    /// <summary>The recorder's count where it has one, its speed over time otherwise.</summary>
    static double[] AsRecordedM(ReadOnlySpan<RideFix> fixes, int[] pieces, bool counted, List<string> repaired)
    {
        repaired.Add(counted ? "No positions: the distance is the recorder's own count." : "No positions and no distance: the distance is the recorded speed over time.");
        var distanceM = new double[fixes.Length];
        var last = double.NaN;
        for (var i = 0; i < fixes.Length; i++)
        {
            var stepM = 0.0;
            if (counted && !double.IsNaN(fixes[i].RecordedDistanceM))
            {
                // A count that falls back has been reset: what came before stands.
                stepM = Math.Max(0, fixes[i].RecordedDistanceM - last);
                if (double.IsNaN(stepM)) stepM = 0;
                last = fixes[i].RecordedDistanceM;
            }
            else if (!counted && i > 0 && pieces[i] == pieces[i - 1])
            {
                stepM = (fixes[i].TimeS - fixes[i - 1].TimeS) * fixes[i].RecordedSpeedMps;
                if (double.IsNaN(stepM)) stepM = 0;
            }

            distanceM[i] = (i == 0 ? 0 : distanceM[i - 1]) + stepM;
        }

        return distanceM;
    }

    static double[]? ElevationsM(List<RideFix> fixes, int[] pieces, double[] distanceM, List<string> repaired)
    {
        var elevationM = new double[fixes.Count];
        var (known, zeros) = (0, 0);
        for (var i = 0; i < elevationM.Length; i++)
        {
            elevationM[i] = fixes[i].ElevationM;
            if (!double.IsNaN(elevationM[i])) known++;
            if (elevationM[i] == 0) zeros++;
        }

        if (known > 0 && zeros == known)
        {
            repaired.Add(Invariant($"All {known} elevations are exactly 0: taken as not measured."));
            return null;
        }

        if (known == 0)
        {
            repaired.Add("The file has no elevation: ascent is not known, and a load takes the road as level.");
            return null;
        }

        var missing = fixes.Count - known;
        var glitches = RemoveZeroGlitches(elevationM, distanceM);
        if (glitches > 0) repaired.Add(Invariant($"{glitches} elevations of 0 stood among others more than {GlitchM:0} m away: replaced from their neighbours."));
        if (missing > 0) repaired.Add(Invariant($"{missing} of {fixes.Count} points have no elevation: filled from their neighbours."));
        FillFromNeighbours(elevationM, distanceM, pieces);
        return elevationM;
    }

    static int RemoveZeroGlitches(double[] elevationM, double[] distanceM)
    {
        var glitches = 0;
        for (var start = 0; start < elevationM.Length; start++)
        {
            if (!(Math.Abs(elevationM[start]) < NearZeroM)) continue;
            var end = start;
            while (end + 1 < elevationM.Length && !(Math.Abs(elevationM[end + 1]) >= NearZeroM)) end++;

            var before = start - 1;
            while (before >= 0 && double.IsNaN(elevationM[before])) before--;
            if (IsGlitch(before, start, end, end + 1))
            {
                for (var i = start; i <= end; i++)
                {
                    if (!double.IsNaN(elevationM[i])) glitches++;
                    elevationM[i] = double.NaN;
                }
            }

            start = end;
        }

        return glitches;

        // At the start and the end of the ride there is one neighbour only: it decides. A ride along the sea has none.
        bool IsGlitch(int before, int start, int end, int after)
        {
            var (hasBefore, hasAfter) = (before >= 0, after < elevationM.Length);
            return (hasBefore || hasAfter) && (!hasBefore || IsCliff(before, start)) && (!hasAfter || IsCliff(after, end));
        }

        bool IsCliff(int neighbour, int zero)
        {
            var riseM = Math.Abs(elevationM[neighbour]);
            return riseM > GlitchM && riseM > GlitchGradient * Math.Abs(distanceM[neighbour] - distanceM[zero]);
        }
    }

    /// <summary>Straight along the way between known neighbours of one piece; carried on from the nearest known one otherwise.</summary>
    static void FillFromNeighbours(double[] elevationM, double[] distanceM, int[] pieces)
    {
        var before = -1;
        for (var i = 0; i < elevationM.Length; i++)
        {
            if (!double.IsNaN(elevationM[i]))
            {
                before = i;
                continue;
            }

            var after = i;
            while (after < elevationM.Length && double.IsNaN(elevationM[after])) after++;
            for (var gap = i; gap < after; gap++) elevationM[gap] = Filled(gap, before, after < elevationM.Length ? after : before);
            i = after - 1;
        }

        double Filled(int i, int left, int right)
        {
            if (left < 0) left = right;
            if (pieces[left] != pieces[i]) left = right;
            if (pieces[right] != pieces[i]) right = left;
            var lengthM = distanceM[right] - distanceM[left];
            var share = lengthM > 0 ? (distanceM[i] - distanceM[left]) / lengthM : 0;
            return elevationM[left] + (share * (elevationM[right] - elevationM[left]));
        }
    }
}
