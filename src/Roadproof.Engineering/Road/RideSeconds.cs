using System.Globalization;

namespace Roadproof.Engineering.Road;

/// <summary>A ride second by second: second i runs from TimeS[i] to TimeS[i] + 1. Only whole seconds inside a piece of recording exist, and none of a long stand after its first minutes.</summary>
sealed class RideSeconds
{
    /// <summary>A recorded value stands for at most this long after it was written, s.</summary>
    const double HoldsForS = 5;

    /// <summary>After standing for so long the unit is taken as switched off until it moves on, s (common practice, no source).</summary>
    internal const int SwitchedOffAfterS = 600;

    /// <summary>Half of the time over which a mean below <see cref="RoadLoad.StandingMps"/> stands: a resting position jumps by metres now and then, s.</summary>
    const int HalfMinuteS = 30;

    RideSeconds(int count)
    {
        TimeS = new double[count];
        DistanceM = new double[count];
        SpeedMps = new double[count];
        AccelerationMps2 = new double[count];
        Gradient = new double[count];
        ElevationM = new double[count];
        RecordedPowerW = new double[count];
        RecordedCadenceRadPerS = new double[count];
    }

    public double[] TimeS { get; }

    /// <summary>Gained in the second.</summary>
    public double[] DistanceM { get; }

    /// <summary>Smoothed; see <see cref="Smooth"/>.</summary>
    public double[] SpeedMps { get; }

    public double[] AccelerationMps2 { get; }

    public double[] Gradient { get; }

    /// <summary>NaN when the ride has no elevation.</summary>
    public double[] ElevationM { get; }

    /// <summary>NaN where not recorded.</summary>
    public double[] RecordedPowerW { get; }

    /// <summary>NaN where not recorded.</summary>
    public double[] RecordedCadenceRadPerS { get; }

    public int SlopesCut { get; private set; }

    public IReadOnlyList<string> Warnings { get; private init; } = [];

    public int Count => TimeS.Length;

    public static RideSeconds Of(RidePath path)
    {
        var pieces = Pieces(path);
        List<string> warnings = [];
        var byRecordedSpeed = RecordedSpeedHolds(path, warnings);
        var seconds = new RideSeconds(pieces.Sum(piece => piece.Seconds)) { Warnings = warnings };
        var start = 0;
        foreach (var piece in pieces)
        {
            if (piece.Seconds > 0) seconds.Fill(path, piece, start, byRecordedSpeed);
            start += piece.Seconds;
        }

        return seconds.WithoutLongStands(pieces, path.HasRoad, warnings);
    }

    /// <summary>A bicycle parked with its recorder on does not ride: what a stand lasts beyond <see cref="SwitchedOffAfterS"/> is left out like the time between two pieces, be it one gap between two fixes or thousands of fixes.</summary>
    RideSeconds WithoutLongStands(List<Piece> pieces, bool hasRoad, List<string> warnings)
    {
        var on = new List<int>(Count);
        var (start, stands) = (0, 0);
        foreach (var piece in pieces)
        {
            var moves = hasRoad ? Moves(SpeedMps.AsSpan(start, piece.Seconds)) : Pedalled(RecordedPowerW.AsSpan(start, piece.Seconds));
            var standsForS = 0;
            for (var k = 0; k < moves.Length; k++)
            {
                standsForS = moves[k] ? 0 : standsForS + 1;
                if (standsForS <= SwitchedOffAfterS) on.Add(start + k);
                else if (standsForS == SwitchedOffAfterS + 1) stands++;
            }

            start += piece.Seconds;
        }

        if (stands == 0) return this;
        var offS = Count - on.Count;
        var after = string.Create(CultureInfo.InvariantCulture, $"of more than {SwitchedOffAfterS / 60} minutes: from then on the unit is taken as switched off, and {(offS < 3600 ? $"{offS / 60.0:0.#} minutes" : $"{offS / 3600.0:0.#} hours")} count neither as riding nor as standing by.");
        warnings.Add(stands == 1 ? $"A stand {after}" : string.Create(CultureInfo.InvariantCulture, $"{stands} stands {after}"));
        return Picked(on);
    }

    /// <summary>A second moves when it does by itself and so does the minute around it.</summary>
    static bool[] Moves(ReadOnlySpan<double> speedMps)
    {
        var (moves, alongM) = (new bool[speedMps.Length], new double[speedMps.Length + 1]);
        for (var k = 0; k < speedMps.Length; k++) alongM[k + 1] = alongM[k] + speedMps[k];
        for (var k = 0; k < moves.Length; k++)
        {
            var (from, to) = (Math.Max(0, k - HalfMinuteS), Math.Min(moves.Length, k + HalfMinuteS));
            moves[k] = speedMps[k] >= RoadLoad.StandingMps && alongM[to] - alongM[from] >= RoadLoad.StandingMps * (to - from);
        }

        return moves;
    }

    /// <summary>Without a road whoever pedals rides.</summary>
    static bool[] Pedalled(ReadOnlySpan<double> powerW)
    {
        var pedalled = new bool[powerW.Length];
        for (var k = 0; k < pedalled.Length; k++) pedalled[k] = powerW[k] > 0;
        return pedalled;
    }

    RideSeconds Picked(List<int> which)
    {
        var picked = new RideSeconds(which.Count) { Warnings = Warnings, SlopesCut = SlopesCut };
        for (var i = 0; i < which.Count; i++)
        {
            var from = which[i];
            picked.TimeS[i] = TimeS[from];
            picked.DistanceM[i] = DistanceM[from];
            picked.SpeedMps[i] = SpeedMps[from];
            picked.AccelerationMps2[i] = AccelerationMps2[from];
            picked.Gradient[i] = Gradient[from];
            picked.ElevationM[i] = ElevationM[from];
            picked.RecordedPowerW[i] = RecordedPowerW[from];
            picked.RecordedCadenceRadPerS[i] = RecordedCadenceRadPerS[from];
        }

        return picked;
    }

    /// <summary>Fixes with a time of one piece of the recording: places From to To (not included) of the way, and how many whole seconds lie between them.</summary>
    readonly record struct Piece(int From, int To, int Seconds);

    static List<Piece> Pieces(RidePath path)
    {
        List<Piece> pieces = [];
        var fixes = path.FixSpan;
        var numbers = path.PieceSpan;
        for (var from = 0; from < fixes.Length;)
        {
            var (to, firstS, lastS) = (from, double.NaN, double.NaN);
            for (; to < fixes.Length && numbers[to] == numbers[from]; to++)
            {
                if (!fixes[to].HasTime) continue;
                if (double.IsNaN(firstS)) firstS = fixes[to].TimeS;
                lastS = fixes[to].TimeS;
            }

            if (!double.IsNaN(firstS)) pieces.Add(new(from, to, (int)Math.Floor(lastS - firstS + 1e-6)));
            from = to;
        }

        return pieces;
    }

    /// <summary>A wheel sensor's speed is steadier than one from positions, but only if it tells the same way.</summary>
    static bool RecordedSpeedHolds(RidePath path, List<string> warnings)
    {
        if (!path.ByPosition) return false;
        var fixes = path.FixSpan;
        var pieces = path.PieceSpan;
        var (timed, told, recordedM, wayM) = (0, 0, 0.0, 0.0);
        for (var i = 0; i < fixes.Length; i++)
        {
            if (!fixes[i].HasTime) continue;
            timed++;
            if (!double.IsNaN(fixes[i].RecordedSpeedMps)) told++;
            if (i == 0 || pieces[i] != pieces[i - 1] || !fixes[i - 1].HasTime) continue;
            var stepS = fixes[i].TimeS - fixes[i - 1].TimeS;
            var stepM = stepS * (fixes[i].RecordedSpeedMps + fixes[i - 1].RecordedSpeedMps) / 2;
            if (double.IsNaN(stepM) || stepS > HoldsForS) continue;
            recordedM += stepM;
            wayM += path.DistanceM[i] - path.DistanceM[i - 1];
        }

        if (told < 0.98 * timed) return false;
        var ratio = recordedM / wayM;
        if (ratio is > 0.8 and < 1.25) return true;
        if (wayM > 100)
            warnings.Add(string.Create(CultureInfo.InvariantCulture, $"The recorded speed is {ratio:0.00} times that of the positions: the positions are used. Is its unit right?"));
        return false;
    }

    void Fill(RidePath path, Piece piece, int start, bool byRecordedSpeed)
    {
        var fixes = path.FixSpan[piece.From..piece.To];
        var (way, heights, told) = (new Line(fixes.Length), new Line(fixes.Length), new Line(byRecordedSpeed ? fixes.Length : 0));
        var at = new int[fixes.Length];
        for (var i = 0; i < fixes.Length; i++)
        {
            if (!fixes[i].HasTime) continue;
            at[way.Count] = i;
            way.Add(fixes[i].TimeS, path.DistanceM[piece.From + i]);
            if (path.LevelledM is not null) heights.Add(path.DistanceM[piece.From + i], path.LevelledM[piece.From + i]);
            if (byRecordedSpeed && !double.IsNaN(fixes[i].RecordedSpeedMps)) told.Add(fixes[i].TimeS, fixes[i].RecordedSpeedMps);
        }

        var (count, startS) = (piece.Seconds, way.X[0]);
        var (alongM, stepM) = (new double[count], new double[count]);
        var fromM = way.Y[0];
        var fix = 0;
        for (var k = 0; k < count; k++)
        {
            var atS = startS + k;
            while (fix + 1 < way.Count && way.X[fix + 1] <= atS) fix++;
            var toM = way.At(atS + 1);
            TimeS[start + k] = atS;
            DistanceM[start + k] = toM - fromM;
            alongM[k] = (fromM + toM) / 2;
            var inGap = fix + 1 < way.Count && way.X[fix + 1] - way.X[fix] > HoldsForS;
            stepM[k] = told.Count > 0 && !inGap ? told.At(atS + 0.5) : toM - fromM;
            ref readonly var held = ref fixes[at[fix]];
            var holds = atS - held.TimeS <= HoldsForS;
            RecordedPowerW[start + k] = holds ? held.PowerW : double.NaN;
            RecordedCadenceRadPerS[start + k] = holds ? held.CadenceRadPerS : double.NaN;
            ElevationM[start + k] = double.NaN;
            fromM = toM;
        }

        Smooth(stepM, SpeedMps.AsSpan(start, count), AccelerationMps2.AsSpan(start, count));
        if (path.LevelledM is null) return;

        Road.Gradient.At(alongM, heights.X.AsSpan(0, heights.Count), heights.Y.AsSpan(0, heights.Count), Gradient.AsSpan(start, count), out var cut);
        SlopesCut += cut;
        for (var k = 0; k < count; k++) ElevationM[start + k] = heights.At(alongM[k]);
    }

    /// <summary>Straight between known values, constant beyond them; asked from left to right.</summary>
    sealed class Line(int most)
    {
        int next;

        public double[] X { get; } = new double[most];

        public double[] Y { get; } = new double[most];

        public int Count { get; private set; }

        public void Add(double x, double y)
        {
            X[Count] = x;
            Y[Count++] = y;
        }

        public double At(double x)
        {
            while (next < Count && X[next] <= x) next++;
            if (next == 0) return Y[0];
            if (next == Count) return Y[Count - 1];
            return Y[next - 1] + ((x - X[next - 1]) / (X[next] - X[next - 1]) * (Y[next] - Y[next - 1]));
        }
    }

    /// <summary>
    /// Speed is the parabola through seven seconds at its middle, acceleration the slope of the line through five (Savitzky and Golay, Anal. Chem. 36,
    /// 1964, tables from memory). Near the ends of a piece both windows shrink.
    /// </summary>
    static void Smooth(ReadOnlySpan<double> stepM, Span<double> speedMps, Span<double> accelerationMps2)
    {
        ReadOnlySpan<double> seven = [-2, 3, 6, 7, 6, 3, -2];
        ReadOnlySpan<double> five = [-3, 12, 17, 12, -3];
        for (var k = 0; k < stepM.Length; k++)
        {
            var room = Math.Min(k, stepM.Length - 1 - k);
            var speed = room switch
            {
                >= 3 => Weighted(seven, stepM[(k - 3)..]) / 21,
                2 => Weighted(five, stepM[(k - 2)..]) / 35,
                1 => (stepM[k - 1] + stepM[k] + stepM[k + 1]) / 3,
                _ => stepM[k],
            };
            speedMps[k] = Math.Max(0, speed);
        }

        for (var k = 0; k < stepM.Length; k++)
        {
            accelerationMps2[k] = Math.Min(k, stepM.Length - 1 - k) switch
            {
                >= 2 => Weighted([-2, -1, 0, 1, 2], speedMps[(k - 2)..]) / 10,
                1 => (speedMps[k + 1] - speedMps[k - 1]) / 2,
                _ => 0,
            };
        }
    }

    static double Weighted(ReadOnlySpan<double> weights, ReadOnlySpan<double> values)
    {
        var sum = 0.0;
        for (var i = 0; i < weights.Length; i++) sum += weights[i] * values[i];
        return sum;
    }
}
