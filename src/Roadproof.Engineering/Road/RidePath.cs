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

    RidePath(List<RideFix> fixes, List<int> pieces, double[] distanceM, double[]? elevationM, bool byPosition, List<string> repaired)
    {
        Fixes = fixes;
        Pieces = pieces;
        DistanceM = distanceM;
        ElevationM = elevationM;
        ByPosition = byPosition;
        Repaired = repaired;
    }

    public IReadOnlyList<RideFix> Fixes { get; }

    /// <summary>Number of the unbroken piece of each fix; between pieces no distance is counted.</summary>
    public IReadOnlyList<int> Pieces { get; }

    /// <summary>Along the way from the first fix, shape [fixes].</summary>
    public double[] DistanceM { get; }

    /// <summary>Shape [fixes], gaps filled from the neighbours; null when the ride has no elevation.</summary>
    public double[]? ElevationM { get; }

    /// <summary>True when the distance comes from positions, false when from the recorder's own count.</summary>
    public bool ByPosition { get; }

    /// <summary>What was mended, one sentence each: the file's and the way's.</summary>
    public IReadOnlyList<string> Repaired { get; }

    public double LengthM => DistanceM[^1];

    /// <summary>Finds the way of a ride.</summary>
    public static RidePath Of(Ride ride)
    {
        ArgumentNullException.ThrowIfNull(ride);
        List<string> repaired = [.. ride.Repaired];
        var byPosition = ride.Fixes.Count(fix => fix.HasPosition) >= 2;
        var (fixes, pieces) = byPosition ? WithoutJumps(ride.Fixes, repaired) : ([.. ride.Fixes], ride.Fixes.Select(fix => fix.Piece).ToList());
        var distanceM = byPosition ? AlongPositionsM(fixes, pieces, repaired) : AsRecordedM(fixes, pieces, repaired);
        var elevationM = ElevationsM(fixes, pieces, distanceM, repaired);
        return new(fixes, pieces, distanceM, elevationM, byPosition, repaired);
    }

    static (List<RideFix> Fixes, List<int> Pieces) WithoutJumps(IReadOnlyList<RideFix> all, List<string> repaired)
    {
        List<RideFix> kept = [];
        List<int> pieces = [];
        List<RideFix> elsewhere = [];
        var piece = 0;
        var dropped = 0;
        var newPlaces = 0;

        foreach (var fix in all)
        {
            if (!fix.HasPosition) continue;
            var startsPiece = kept.Count == 0 || fix.Piece != kept[^1].Piece;
            if (startsPiece || CanFollow(kept[^1], fix))
            {
                dropped += elsewhere.Count;
                elsewhere.Clear();
                if (startsPiece && kept.Count > 0) piece++;
                kept.Add(fix);
                pieces.Add(piece);
                continue;
            }

            if (elsewhere.Count > 0 && !CanFollow(elsewhere[^1], fix))
            {
                dropped += elsewhere.Count;
                elsewhere.Clear();
            }

            elsewhere.Add(fix);
            if (elsewhere.Count < FixesThatMakeAPlace) continue;

            piece++;
            newPlaces++;
            kept.AddRange(elsewhere);
            pieces.AddRange(elsewhere.Select(_ => piece));
            elsewhere.Clear();
        }

        dropped += elsewhere.Count;
        var nowhere = all.Count(fix => !fix.HasPosition);
        if (nowhere > 0) repaired.Add(Invariant($"{nowhere} of {all.Count} points have no position and were left out of the way."));
        if (dropped > 0) repaired.Add(Invariant($"{dropped} of {all.Count} points were dropped: each implied a move faster than {FastestMps} m/s from the point kept before."));
        if (newPlaces > 0) repaired.Add(Invariant($"{newPlaces} {(newPlaces == 1 ? "jump leads" : "jumps lead")} to a place that {FixesThatMakeAPlace} points in a row agree on: taken as a gap in the recording, its length not counted."));
        return (kept, pieces);
    }

    static bool CanFollow(RideFix a, RideFix b)
    {
        if (!a.HasTime || !b.HasTime) return true;
        return StepM(a, b) <= FastestMps * (b.TimeS - a.TimeS);
    }

    static double StepM(RideFix a, RideFix b) => Geodesic.DistanceM(a.LatitudeDeg, a.LongitudeDeg, b.LatitudeDeg, b.LongitudeDeg);

    static double[] AlongPositionsM(List<RideFix> fixes, List<int> pieces, List<string> repaired)
    {
        var distanceM = new double[fixes.Count];
        var gaps = 0;
        var gapM = 0.0;
        for (var i = 1; i < fixes.Count; i++)
        {
            var stepM = StepM(fixes[i - 1], fixes[i]);
            var isGap = pieces[i] != pieces[i - 1];
            distanceM[i] = distanceM[i - 1] + (isGap ? 0 : stepM);
            if (!isGap) continue;
            gaps++;
            gapM += stepM;
        }

        if (gaps > 0) repaired.Add(Invariant($"{gaps} {(gaps == 1 ? "gap" : "gaps")} between pieces of the recording, {gapM:0} m straight across, not counted as distance."));
        return distanceM;
    }

    /// <summary>The recorder's count where it has one, its speed over time otherwise.</summary>
    static double[] AsRecordedM(List<RideFix> fixes, List<int> pieces, List<string> repaired)
    {
        var counted = fixes.Exists(fix => !double.IsNaN(fix.RecordedDistanceM));
        repaired.Add(counted ? "No positions: the distance is the recorder's own count." : "No positions and no distance: the distance is the recorded speed over time.");
        var distanceM = new double[fixes.Count];
        var last = double.NaN;
        for (var i = 0; i < fixes.Count; i++)
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

    static double[]? ElevationsM(List<RideFix> fixes, List<int> pieces, double[] distanceM, List<string> repaired)
    {
        var elevationM = fixes.Select(fix => fix.ElevationM).ToArray();
        var known = elevationM.Count(z => !double.IsNaN(z));
        if (known > 0 && elevationM.All(z => double.IsNaN(z) || z == 0))
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
    static void FillFromNeighbours(double[] elevationM, double[] distanceM, List<int> pieces)
    {
        var known = Enumerable.Range(0, elevationM.Length).Where(i => !double.IsNaN(elevationM[i])).ToArray();
        var next = 0;
        for (var i = 0; i < elevationM.Length; i++)
        {
            while (next < known.Length && known[next] < i) next++;
            if (!double.IsNaN(elevationM[i])) continue;
            var before = next > 0 ? known[next - 1] : known[next];
            var after = next < known.Length ? known[next] : known[^1];
            if (pieces[before] != pieces[i]) before = after;
            if (pieces[after] != pieces[i]) after = before;
            var lengthM = distanceM[after] - distanceM[before];
            var share = lengthM > 0 ? (distanceM[i] - distanceM[before]) / lengthM : 0;
            elevationM[i] = elevationM[before] + (share * (elevationM[after] - elevationM[before]));
        }
    }
}
