using CsCheck;
using Roadproof.Engineering.Road;
using static Roadproof.Engineering.Tests.Formats.RideText;

namespace Roadproof.Engineering.Tests.Properties;

/// <summary>What must hold for every way over the earth and every ride on it. Rides are invented; their lengths are known by construction.</summary>
public sealed class RoadPathTests
{
    static readonly Gen<(double Latitude, double Longitude)> Place = Gen.Select(Gen.Double[-89, 89], Gen.Double[-180, 180]);

    static double M((double Latitude, double Longitude) a, (double Latitude, double Longitude) b) => Geodesic.DistanceM(a.Latitude, a.Longitude, b.Latitude, b.Longitude);

    [Fact]
    public void The_way_back_is_as_long() => Gen.Select(Place, Place).Sample((a, b) => Assert.Equal(M(a, b), M(b, a), 1e-3));

    [Fact]
    public void A_detour_is_never_shorter() => Gen.Select(Place, Place, Place).Sample((a, b, c) => Assert.True(M(a, c) <= M(a, b) + M(b, c) + 1e-3));

    [Fact]
    public void A_turn_of_the_earth_changes_nothing() => Gen.Select(Place, Place, Gen.Double[-180, 180]).Sample((a, b, turn) =>
        Assert.Equal(M(a, b), M((a.Latitude, a.Longitude + turn), (b.Latitude, b.Longitude + turn)), 1e-3));

    [Fact]
    public void No_way_is_no_length() => Place.Sample(a => Assert.Equal(0, M(a, a)));

    // By construction; the meridian near 50° north has 111,229 m per degree at its start.
    [Fact]
    public void A_ride_is_as_long_as_it_was_made()
    {
        var summary = RideSummary.Of(Read(Gpx(Steady(600, 5, 0.02))));
        Assert.Equal(3000, summary.DistanceM, 3.0);
        Assert.Equal(600, summary.MovingTimeS!.Value, 9);
        Assert.Equal(5, summary.MeanSpeedMps!.Value, 0.005);
        Assert.Empty(summary.Repaired);
    }

    [Fact]
    public void The_parts_of_a_ride_are_as_long_as_the_whole() => Gen.Select(Gen.Double[0, 15].Array[3, 60], Gen.Int[1, 58]).Sample((stepsM, cut) =>
    {
        var points = Ridden(stepsM).ToList();
        cut = Math.Clamp(cut, 1, points.Count - 2);
        var whole = RideSummary.Of(Read(Gpx(points))).DistanceM;
        var parts = RideSummary.Of(Read(Gpx(points.Take(cut + 1)))).DistanceM + RideSummary.Of(Read(Gpx(points.Skip(cut)))).DistanceM;
        Assert.Equal(whole, parts, 1e-6);
    });

    [Fact]
    public void The_same_ride_as_GPX_and_as_CSV_is_the_same() => Gen.Select(Gen.Double[0, 15].Array[3, 60], Gen.Double[50, 900].Array[61], Gen.Bool).Sample((stepsM, elevations, semicolon) =>
    {
        var points = Ridden(stepsM).Select((point, i) => point with { ElevationM = Math.Round(elevations[i], 1), PowerW = 10 * i, CadenceRpm = 60 + (i % 20) }).ToList();
        var (gpx, csv) = (Read(Gpx(points)), Read(Csv(points, semicolon ? ';' : ',')));
        Assert.Equal(gpx.Fixes.Select(fix => fix with { Line = 0, Piece = 0 }), csv.Fixes.Select(fix => fix with { Line = 0, Piece = 0 }));
        var (a, b) = (RideSummary.Of(gpx), RideSummary.Of(csv));
        Assert.Equal((a.DistanceM, a.MovingTimeS, a.AscentM, a.DescentM, a.MeanSpeedMps), (b.DistanceM, b.MovingTimeS, b.AscentM, b.DescentM, b.MeanSpeedMps));
    });

    [Fact]
    public void A_jump_is_dropped_with_a_note_and_leaves_no_length()
    {
        var points = Steady(100, 5, 0).ToList();
        var clean = RideSummary.Of(Read(Gpx(points))).DistanceM;
        points[40] = points[40] with { AlongM = 40_000 };
        points[41] = points[41] with { AlongM = -7_000 };
        var summary = RideSummary.Of(Read(Gpx(points)));
        Assert.Equal(clean, summary.DistanceM, 1e-6);
        Assert.Equal(["2 of 101 points were dropped: each implied a move faster than 20 m/s from the point kept before."], summary.Repaired);
    }

    // The edge is 20 m/s: a fix 20.5 m off after a second is dropped, one 19.5 m off is kept.
    [Theory]
    [InlineData(19.5, 0), InlineData(20.5, 1)]
    public void A_fix_is_dropped_beyond_twenty_metres_per_second(double stepM, int dropped)
    {
        Point[] points = [new(0, 0), new(1, 5), new(2, 5 + stepM), new(3, 10), new(4, 15)];
        Assert.Equal(5 - dropped, RidePath.Of(Read(Gpx(points))).Fixes.Count);
    }

    [Fact]
    public void A_wrong_first_point_does_not_cost_the_ride()
    {
        var points = Steady(100, 5, 0).ToList();
        points[0] = points[0] with { AlongM = 500_000 };
        var summary = RideSummary.Of(Read(Gpx(points)));
        Assert.Equal(495, summary.DistanceM, 1.0);
        Assert.Contains(summary.Repaired, note => note.StartsWith("1 jump leads to a place that 10 points in a row agree on", StringComparison.Ordinal));
    }

    [Fact]
    public void A_gap_between_segments_is_not_ridden()
    {
        var text = Gpx(Steady(10, 5, 0)).Replace("</trkseg></trk></gpx>", "</trkseg><trkseg>") + Gpx(Steady(20, 5, 0).Skip(15)).Split("<trkseg>\n")[1];
        var summary = RideSummary.Of(Read(text));
        Assert.Equal(75, summary.DistanceM, 0.1);
        Assert.Equal(15, summary.MovingTimeS!.Value, 9);
        Assert.Equal(["1 gap between pieces of the recording, 25 m straight across, not counted as distance."], summary.Repaired);
    }

    [Fact]
    public void Elevations_that_are_all_zero_are_not_an_elevation()
    {
        var summary = RideSummary.Of(Read(Gpx(Steady(20, 5, 0, startM: 0))));
        Assert.Null(summary.AscentM);
        Assert.Equal(["All 21 elevations are exactly 0: taken as not measured."], summary.Repaired);
    }

    [Fact]
    public void Zeros_among_mountains_make_no_ascent()
    {
        var points = Steady(300, 5, 0.01, startM: 700).ToList();
        foreach (var glitch in (int[])[0, 1, 100, 200, 201, 300]) points[glitch] = points[glitch] with { ElevationM = 0 };
        var summary = RideSummary.Of(Read(Gpx(points)));
        Assert.Equal(15, summary.AscentM!.Value, 2.05);
        Assert.Equal(0, summary.DescentM!.Value);
        Assert.Equal(["6 elevations of 0 stood among others more than 20 m away: replaced from their neighbours."], summary.Repaired);
    }

    [Fact]
    public void A_ride_along_the_sea_keeps_its_zeros()
    {
        var points = Steady(300, 5, 0).Select(point => point with { ElevationM = 3 * Math.Cos(point.TimeS / 20) }).ToList();
        points[10] = points[10] with { ElevationM = 0 };
        var summary = RideSummary.Of(Read(Gpx(points)));
        Assert.Empty(summary.Repaired);
        Assert.True(summary.AscentM > 6);
    }

    // A saw of 1.9 m never leaves the band of 2 m; one of 2.1 m counts every tooth; 2 m exactly does not, whatever binary makes of it.
    [Theory]
    [InlineData(1.9, 0), InlineData(2.0, 0), InlineData(2.1, 10 * 2.1)]
    public void A_rise_counts_when_it_leaves_the_band(double toothM, double ascentM)
    {
        var points = Steady(20, 5, 0).Select(point => point with { ElevationM = Math.Round(30.2 + (toothM * (point.TimeS % 2)), 1) });
        Assert.Equal(ascentM, RideSummary.Of(Read(Gpx(points))).AscentM!.Value, 1e-6);
    }

    [Fact]
    public void Missing_elevations_are_filled_along_the_way()
    {
        var points = Steady(100, 5, 0.05).Select(point => point.TimeS is > 20 and < 60 ? point with { ElevationM = null } : point);
        var path = RidePath.Of(Read(Csv(points)));
        Assert.Equal(path.ElevationM![20] + (path.ElevationM[60] - path.ElevationM[20]) / 2, path.ElevationM[40], 1e-6);
        Assert.Equal(["39 of 101 points have no elevation: filled from their neighbours."], path.Repaired);
    }

    [Fact]
    public void Without_positions_the_recorder_counts()
    {
        var summary = RideSummary.Of(Read("seconds,distance,altitude\n0,100,10\n10,150,10\n20,3,10\n30,43,10\n"));
        Assert.Equal((90.0, 90.0, "recorder"), (summary.DistanceM, summary.RecordedDistanceM, summary.DistanceFrom));
        Assert.Contains("No positions: the distance is the recorder's own count.", summary.Repaired);
        var bySpeed = RideSummary.Of(Read("seconds,speed [m/s]\n0,0\n10,5\n20,5\n"));
        Assert.Equal(100, bySpeed.DistanceM, 1e-9);
    }

    // A quick step must be the slow one; 2 µm is what the iteration itself leaves.
    [Fact]
    public void A_short_step_is_the_geodesic() => Gen.Select(Gen.Double[-80, 80], Gen.Double[-180, 180], Gen.Double[-0.003, 0.003], Gen.Double[-0.003, 0.003]).Sample((latitude, longitude, north, east) =>
        Assert.Equal(Geodesic.DistanceM(latitude, longitude, latitude + north, longitude + east), Geodesic.StepM(latitude, longitude, latitude + north, longitude + east), 2e-6), seed: "0000000000001");

    // Out and back at 5 m/s with a barometer that rises by 12 m on the way: the slopes are those of the road, and the height comes home.
    [Theory]
    [InlineData(12, "12.0 m higher"), InlineData(-7.5, "7.5 m lower")]
    public void A_drift_of_the_height_is_spread_over_the_way_back(double driftM, string told)
    {
        var path = RidePath.Of(Read(Gpx(OutAndBack(driftM))));
        Assert.StartsWith($"The ride comes back to its start {told} than it left: taken as a drift of the height and spread over the time between.", Assert.Single(path.Repaired), StringComparison.Ordinal);
        for (var i = 0; i < path.Fixes.Count; i++) Assert.Equal(200 + (0.02 * (i <= 600 ? 5 * i : 5 * (1200 - i))), path.LevelledM![i], 0.2);
        Assert.Equal(200 + driftM, path.ElevationM![^1], 1e-9);
    }

    [Fact]
    public void A_little_difference_is_no_drift() => Assert.Empty(RidePath.Of(Read(Gpx(OutAndBack(2)))).Repaired);

    // 300 m within twenty minutes is no weather: nobody knows which height is right.
    [Fact]
    public void An_impossible_drift_is_told_and_left()
    {
        var path = RidePath.Of(Read(Gpx(OutAndBack(300))));
        Assert.Equal(path.ElevationM, path.LevelledM);
        Assert.Contains("m higher than it left: more than weather or receiver make, left as recorded", Assert.Single(path.Repaired));
    }

    [Fact]
    public void Stops_are_counted_with_their_time()
    {
        double[] steps = [.. Enumerable.Repeat(5.0, 50), .. Enumerable.Repeat(0.0, 20), .. Enumerable.Repeat(5.0, 50), .. Enumerable.Repeat(0.1, 3), .. Enumerable.Repeat(5.0, 50), .. Enumerable.Repeat(0.0, 8)];
        var summary = RideSummary.Of(Read(Gpx(Ridden(steps))));
        Assert.Equal((2, 28.0, 150.0), (summary.Stops, summary.StoppedTimeS, summary.MovingTimeS));
    }

    [Fact]
    public void A_ride_that_tells_power_alone_has_no_road()
    {
        var path = RidePath.Of(Read("seconds,power,cadence\n0,100,60\n1,110,60\n2,120,60\n"));
        Assert.Equal((false, 0.0), (path.HasRoad, path.LengthM));
    }

    static IEnumerable<Point> OutAndBack(double driftM) => Enumerable.Range(0, 1201).Select(s =>
    {
        var alongM = s <= 600 ? 5.0 * s : 5.0 * (1200 - s);
        return new Point(s, alongM, 200 + (0.02 * alongM) + (driftM * s / 1200));
    });

    static IEnumerable<Point> Ridden(double[] stepsM)
    {
        var alongM = 0.0;
        yield return new(0, 0);
        for (var i = 0; i < stepsM.Length; i++) yield return new(i + 1, alongM += stepsM[i]);
    }
}
