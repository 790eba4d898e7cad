using System.Text;
using Roadproof.Engineering.Formats;
using Roadproof.Engineering.Quantities;
using static Roadproof.Engineering.Tests.Formats.RideText;

namespace Roadproof.Engineering.Tests.Formats;

/// <summary>What a ride file may look like. The texts are invented; names and codes are those that recorders write (common practice, no source).</summary>
public sealed class RideFileTests
{
    [Fact]
    public void Reads_a_track_with_its_extensions_by_local_name()
    {
        var ride = Read("""
            <?xml version="1.0" encoding="UTF-8"?>
            <gpx version="1.1" xmlns="http://www.topografix.com/GPX/1/1" xmlns:a="urn:any">
              <wpt lat="0" lon="0"><ele>0</ele></wpt>
              <trk><trkseg>
                <trkpt lat="50.5" lon="5.25"><ele>120.5</ele><time>2026-05-04T10:00:00.250+02:00</time>
                  <extensions><power>210</power><a:Any><a:hr>131</a:hr><a:cad>60</a:cad><a:atemp>18.5</a:atemp></a:Any></extensions></trkpt>
                <trkpt lat="50.6" lon="5.25"><ele>121</ele><time>2026-05-04T08:00:01.750Z</time><speed>4.5</speed></trkpt>
              </trkseg></trk>
            </gpx>
            """);

        Assert.Equal("GPX track", ride.Format);
        Assert.Equal(new DateTimeOffset(2026, 5, 4, 8, 0, 0, 250, TimeSpan.Zero), ride.StartedAt);
        Assert.Equal(2, ride.Fixes.Count);
        var (first, second) = (ride.Fixes[0], ride.Fixes[1]);
        Assert.Equal((50.5, 5.25, 120.5, 210.0, 131.0, 18.5), (first.LatitudeDeg, first.LongitudeDeg, first.ElevationM, first.PowerW, first.HeartRatePerMin, first.TemperatureC));
        Assert.Equal(2 * Math.PI, first.CadenceRadPerS, 12);
        Assert.Equal((1.5, 4.5), (second.TimeS, second.RecordedSpeedMps));
        Assert.True(double.IsNaN(second.PowerW));
        Assert.Equal(5, first.Line);
        Assert.Empty(ride.Repaired);
    }

    [Fact]
    public void Takes_a_route_where_there_is_no_track()
    {
        var ride = Read("<gpx><rte><rtept lat='50' lon='5'/><rtept lat='50.01' lon='5'/></rte></gpx>");
        Assert.Equal("GPX route", ride.Format);
        Assert.Contains(ride.Repaired, note => note.StartsWith("A planned route", StringComparison.Ordinal));
        Assert.Contains("No point has a time: the way is known, speed and load are not.", ride.Repaired);
    }

    [Theory]
    [InlineData(',', "1.5", "16.2"), InlineData(';', "1,5", "16,2"), InlineData(';', "1.5", "16.2")]
    public void Finds_comma_or_semicolon_by_itself(char separator, string elevation, string speed)
    {
        string[] lines = ["\uFEFFTimestamp|position lat|Position_Long|altitude|Speed|Weather", $"2026-05-04 08:00:00|50|5|{elevation}|{speed}|\"rain| heavy\"", $"2026-05-04 08:00:01|50|5||{speed}|dry"];
        var ride = Read(string.Join("\r\n", lines).Replace('|', separator));
        Assert.Equal(1.5, ride.Fixes[0].ElevationM);
        Assert.Equal(4.5, ride.Fixes[0].RecordedSpeedMps, 12);
        Assert.True(double.IsNaN(ride.Fixes[1].ElevationM));
        Assert.Equal(["Weather"], ride.UnusedColumns);
        Assert.Equal([2, 3], ride.Fixes.Select(fix => fix.Line));
    }

    [Fact]
    public void Takes_the_unit_behind_a_name()
    {
        var ride = Read("seconds [s],distance (km),speed [m/s],latitude [semicircles],longitude[semicircles]\n100.5,0.25,4,1073741824,-536870912\n102.5,0.26,4,1073741824,-536870912\n");
        Assert.Equal((0.0, 250.0, 4.0, 90.0, -45.0), (ride.Fixes[0].TimeS, ride.Fixes[0].RecordedDistanceM, ride.Fixes[0].RecordedSpeedMps, ride.Fixes[0].LatitudeDeg, ride.Fixes[0].LongitudeDeg));
        Assert.Equal(2, ride.Fixes[1].TimeS);
        Assert.Null(ride.StartedAt);
    }

    // Unix time of 2026-05-04T09:46:40Z. What counts thousandths counted 599,000 seconds for a ride of ten minutes.
    [Fact]
    public void A_clock_of_milliseconds_is_read_where_it_is_named_and_refused_where_it_is_not()
    {
        var inMs = Read("timestamp [ms],distance\n1777888000000,0\n1777888001500,5\n");
        var inS = Read("timestamp,distance\n1777888000,0\n1777888001.5,5\n");
        Assert.Equal([0, 1.5], inMs.Fixes.Select(f => f.TimeS));
        Assert.Equal([0, 1.5], inS.Fixes.Select(f => f.TimeS));
        var refused = Assert.Throws<InputException>(() => Read("timestamp,distance\n1777888000000,0\n1777888001000,5\n"));
        Assert.Equal(
            "ride:2: time: found '1777888000000', expected seconds, or a time such as 2026-05-04T09:12:13Z. Milliseconds are read when the header says so: time [ms].", refused.Errors[0].ToString());
        Assert.Equal(2, refused.Errors.Count);
    }

    // 255 is the largest number of an eight-bit field, 65535 of a sixteen-bit one: "not measured". An elevation of 255 m is an elevation.
    [Fact]
    public void Codes_for_not_measured_are_missing_where_they_mean_it()
    {
        var ride = Read("timestamp,position_lat,position_long,altitude,heart_rate,cadence,power\n2026-05-04T08:00:00,50,5,255,255,255,65535\n2026-05-04T08:00:01,50,5,65535,100,60,255\n");
        Assert.Equal(255, ride.Fixes[0].ElevationM);
        Assert.Equal(255, ride.Fixes[1].PowerW);
        Assert.True(double.IsNaN(ride.Fixes[0].HeartRatePerMin) && double.IsNaN(ride.Fixes[0].CadenceRadPerS) && double.IsNaN(ride.Fixes[0].PowerW) && double.IsNaN(ride.Fixes[1].ElevationM));
        Assert.Contains("1 of 2 values of cadence held 255, the code for 'not measured', and are taken as missing.", ride.Repaired);
        Assert.Equal(4, ride.Repaired.Count);
    }

    [Fact]
    public void A_repeated_time_is_left_out_with_a_note()
    {
        Point[] points = [new(0, 0), new(1, 5), new(1, 6), new(2, 10)];
        var ride = Read(Gpx(points));
        Assert.Equal([0, 1, 2], ride.Fixes.Select(fix => fix.TimeS));
        Assert.Equal(["1 of 4 points repeat the time of the point before and were left out."], ride.Repaired);
    }

    [Fact]
    public void An_empty_segment_is_left_out_with_a_note() => Assert.Contains(
        "1 empty segment was left out.",
        Read("<gpx><trk><trkseg/><trkseg><trkpt lat='50' lon='5'/><trkpt lat='50' lon='5.1'/></trkseg></trk></gpx>").Repaired);

    [Fact]
    public void Says_where_every_wrong_value_stands()
    {
        var refused = Assert.Throws<InputException>(() => Read(
            "<gpx><trk><trkseg>\n<trkpt lat='50' lon='5'>\n<ele>abc</ele></trkpt>\n<trkpt lat='95' lon='5'><time>yesterday</time></trkpt>\n<trkpt lon='5'/></trkseg></trk></gpx>", "rides/a.gpx"));
        Assert.Equal(
            [
                "rides/a.gpx:3: elevation: found 'abc', expected a number in metres.",
                "rides/a.gpx:4: latitude: found '95', expected a number between -90 and 90 °.",
                "rides/a.gpx:4: time: found 'yesterday', expected a time such as 2026-05-04T09:12:13Z.",
                "rides/a.gpx:5: latitude: found nothing, expected a number in degrees.",
            ],
            refused.Errors.Select(error => error.ToString()));
    }

    [Fact]
    public void Says_where_a_table_is_wrong()
    {
        var refused = Assert.Throws<InputException>(() => Read("time,lat,lon,speed\n2026-05-04T08:00:00,50,5,12,7\n2026-05-04T08:00:01,50,five,12\n2026-05-04T08:00:02,50,5,900\n", "t.csv"));
        Assert.Equal(
            [
                "t.csv:2: found 5 cells, expected 4 cells as in the header. For decimal commas, separate the columns by ';'.",
                "t.csv:3: longitude: found 'five', expected a number in degrees.",
                "t.csv:4: speed: found '900', expected a number between 0 and 360 km/h.",
            ],
            refused.Errors.Select(error => error.ToString()));
    }

    [Fact]
    public void A_column_wrong_in_every_line_is_shown_by_twenty()
    {
        var lines = Enumerable.Range(0, 500).Select(i => $"{i},521521093,5\n");
        var refused = Assert.Throws<InputException>(() => Read("seconds,lat,lon\n" + string.Concat(lines)));
        Assert.Equal(21, refused.Errors.Count);
        Assert.StartsWith("ride:501: latitude: found 480 more of the kind", refused.Errors[^1].ToString());
    }

    [Fact]
    public void Refuses_a_time_that_goes_back()
    {
        Point[] points = [new(0, 0), new(10, 50), new(4, 60), new(11, 65)];
        var refused = Assert.Throws<InputException>(() => Read(Gpx(points)));
        Assert.Equal("ride:4: time: found a time 6 s before that of line 3, expected time to go on. Sort the lines by time, or split the file where the clock was set.", Assert.Single(refused.Errors).ToString());
    }

    [Theory]
    [InlineData("", "an empty file")]
    [InlineData(" \n\n", "an empty file")]
    [InlineData("<gpx/>", "no points")]
    [InlineData("<gpx><wpt lat='50' lon='5'/></gpx>", "one waypoint and no track")]
    [InlineData("<gpx><trk><trkseg><trkpt lat='50' lon='5'/></trkseg></trk></gpx>", "one recorded point")]
    [InlineData("<TrainingCenterDatabase/>", "no recorded points")]
    [InlineData("<TrainingCenterDatabase><Activities><Activity Sport='Running'/></Activities></TrainingCenterDatabase>", "'Running'")]
    [InlineData("<html><body/></html>", "an XML file of kind 'html'")]
    [InlineData("<gpx><trk>", "broken XML")]
    [InlineData("<!DOCTYPE gpx [<!ENTITY a 'b'>]><gpx>&a;</gpx>", "broken XML")]
    [InlineData("Dear all,\nthe ride was nice.\n", "no column of time and none of position")]
    [InlineData("Trip ID,Distance(Km),Avg Speed(Km/h)\n1,9.36,15.5\n2,1.36,15.7\n", "no column of time and none of position")]
    [InlineData("timestamp,position_lat\n2026-05-04T08:00:00,50\n", "a latitude without a longitude")]
    [InlineData("timestamp,heart_rate\n2026-05-04T08:00:00,100\n2026-05-04T08:00:01,100\n", "no positions, no distance, and no speed or power with time")]
    [InlineData("timestamp,lat,lon,ele [furlong]\n", "unit 'furlong'")]
    [InlineData("timestamp,lat,lon,ele,altitude\n", "a second column of elevation beside 'ele'")]
    [InlineData("timestamp,lat,lon\n", "no recorded points")]
    [InlineData("PK\u0003\u0004\0\0", "a binary file")]
    public void Refuses_what_is_not_a_ride(string text, string found) =>
        Assert.Contains(found, Assert.Single(Assert.Throws<InputException>(() => Read(text)).Errors).Found);

    [Fact]
    public void Knows_a_FIT_file_by_its_content()
    {
        byte[] header = [14, 16, 0, 0, 0, 0, 0, 0, (byte)'.', (byte)'F', (byte)'I', (byte)'T', 0, 0];
        var refused = Assert.Throws<InputException>(() => RideFile.Read("ride.gpx", new MemoryStream(header)));
        Assert.Equal("ride.gpx: found 0 messages and no record, expected a recorded ride. Settings, courses and workouts are no rides.", refused.Message);
    }

    [Fact]
    public void Reads_the_laps_of_an_activity_and_what_stands_in_its_points()
    {
        static string Point(int s, string more = "") => $"<Trackpoint><Time>2026-05-04T08:00:{s:00}Z</Time><DistanceMeters>{5 * s}</DistanceMeters>{more}</Trackpoint>";
        var ride = Read($"""
            <TrainingCenterDatabase xmlns="urn:any" xmlns:e="urn:other"><Activities>
              <Activity Sport="Running"><Lap><Track>{Point(0)}{Point(1)}</Track></Lap></Activity>
              <Activity Sport="Biking">
                <Lap><Track>{Point(10, "<Position><LatitudeDegrees>50.5</LatitudeDegrees><LongitudeDegrees>5.25</LongitudeDegrees></Position><AltitudeMeters>-3.5</AltitudeMeters><HeartRateBpm><Value>131</Value></HeartRateBpm><Cadence>60</Cadence><Extensions><e:TPX><e:Speed>4.5</e:Speed><e:Watts>210</e:Watts></e:TPX></Extensions>")}{Point(11)}</Track></Lap>
                <Lap><Track>{Point(12)}</Track><Track>{Point(40)}</Track></Lap>
              </Activity>
            </Activities></TrainingCenterDatabase>
            """);
        Assert.Equal("TCX activity", ride.Format);
        Assert.Equal([0, 1, 2, 30], ride.Fixes.Select(f => f.TimeS));
        Assert.Equal([1, 1, 1, 2], ride.Fixes.Select(f => f.Piece));
        var first = ride.Fixes[0];
        Assert.Equal((50.5, 5.25, -3.5, 131.0, 4.5, 210.0), (first.LatitudeDeg, first.LongitudeDeg, first.ElevationM, first.HeartRatePerMin, first.RecordedSpeedMps, first.PowerW));
        Assert.Equal(60 * Math.PI / 30, first.CadenceRadPerS, 1e-12);
        Assert.Equal("Left out as no part of a ride: Running.", Assert.Single(ride.Repaired));
    }

    [Fact]
    public void Names_the_line_that_is_not_UTF_8()
    {
        var bytes = Encoding.Latin1.GetBytes("timestamp,lat,lon,temperature [°C]\n");
        Assert.StartsWith("a.csv:1: found bytes that are not UTF-8", Assert.Throws<InputException>(() => RideFile.Read("a.csv", new MemoryStream(bytes))).Message);
    }

    [Fact]
    public void A_table_may_say_where_its_recording_was_broken()
    {
        var ride = Read("recording_piece,seconds,distance\n0,0,0\n,1,5\n2,600,5\n2,601,9\n");
        Assert.Equal([0, 0, 2, 2], ride.Fixes.Select(f => f.Piece));
        var refused = Assert.Throws<InputException>(() => Read("recording_piece,seconds,distance\n1,0,0\n0,1,5\nlate,2,7\n-1,3,9\n"));
        Assert.Equal([(3, "'0'"), (4, "'late'"), (5, "'-1'")], refused.Errors.Select(e => (e.Line, e.Found)));
        Assert.All(refused.Errors, e => Assert.StartsWith("the number of a piece of the recording", e.Expected, StringComparison.Ordinal));
    }
}
