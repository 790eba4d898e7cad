using Roadproof.Engineering.Formats;
using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Road;

namespace Roadproof.Engineering.Tests.Formats;

/// <summary>
/// Real recordings that nobody here made, read only where they lie. Lengths: recomputed by an independent script (Karney's algorithm, open geodesic library 2.0
/// for Python; a fix is dropped when s > 20 m/s · (t − t of the fix kept before)). Ascent: the same script, a mark that follows beyond 2 m. That the hilly
/// ride has 57.6 km, 1,269 m at 2 m and 219 W is said by the data's own description (read).
/// </summary>
public sealed class RideRecordingsTests
{
    static Ride Read(string file)
    {
        using var stream = File.OpenRead(Path.Combine(DataSets.Folder("rides"), file));
        return RideFile.Read(Path.GetFileName(file), stream);
    }

    [Theory]
    [InlineData("commute/trip-01.csv", 4824.04, 17.6)]
    [InlineData("commute/trip-02.csv", 4167.62, 9.0)]
    [InlineData("commute/trip-03.csv", 289.03, 0.0)]
    [InlineData("commute/trip-04.csv", 2809.91, 6.6)]
    [InlineData("commute/trip-05.csv", 9731.11, 44.0)]
    [InlineData("commute/trip-06.csv", 2665.16, 4.4)]
    [InlineData("commute/trip-07.csv", 1359.31, 2.2)]
    [InlineData("commute/trip-08.csv", 1324.56, 2.2)]
    [InlineData("commute/trip-09.csv", 1688.17, 2.2)]
    [InlineData("commute/trip-10.csv", 3542.04, 8.8)]
    [InlineData("commute/trip-11.csv", 1878.68, 2.2)]
    [InlineData("commute/trip-12.csv", 2702.97, 6.6)]
    [InlineData("commute/trip-13.csv", 2721.58, 4.4)]
    [InlineData("commute/trip-14.csv", 2831.08, 8.8)]
    [InlineData("commute/trip-15.csv", 1695.81, 6.6)]
    [InlineData("commute/trip-16.csv", 2863.90, 11.0)]
    [InlineData("commute/trip-17.csv", 2968.42, 37.6)]
    [InlineData("commute/trip-18.csv", 2782.82, 0.0)]
    [InlineData("outdoor/hilly-power.gpx", 57655.68, 1269.4)]
    [InlineData("outdoor/short-below-sea.gpx", 901.66, 0.0)]
    public void The_way_is_as_long_and_as_high_as_an_independent_script_says(string file, double lengthM, double ascentM)
    {
        var summary = RideSummary.Of(Read(file));
        Assert.Equal("positions", summary.DistanceFrom);
        Assert.Equal(lengthM, summary.DistanceM, 0.02);
        Assert.Equal(ascentM, summary.AscentM!.Value, 0.06);
        Assert.InRange(summary.MeanSpeedMps!.Value * 3.6, 10, 30);
    }

    // The wheel sensor counts its own way; that it differs by up to 5 % is why it stands beside and not instead.
    [Fact]
    public void The_recorder_s_count_stands_beside_the_way()
    {
        var summary = RideSummary.Of(Read("commute/trip-01.csv"));
        Assert.Equal(4898.47, summary.RecordedDistanceM!.Value, 1e-6);
        Assert.NotEqual(summary.DistanceM, summary.RecordedDistanceM.Value, 50.0);
    }

    [Fact]
    public void The_hilly_ride_has_its_power()
    {
        var ride = Read("outdoor/hilly-power.gpx");
        Assert.Equal(8357, ride.Fixes.Count);
        Assert.Equal(219, ride.Fixes.Average(fix => fix.PowerW), 0.5);
    }

    // Indoors there is no way, and yet the crank was turned: the work is the power meter's, second by second.
    [Fact]
    public void A_ride_without_a_road_is_the_power_meter_s_work()
    {
        var ride = Read("outdoor/indoor.fit");
        var load = RoadLoad.Run(ride, Rider.Default, MidDrive.Unit);
        var meteredJ = load.TimeS.Sum(atS => ride.Fixes.Last(fix => fix.TimeS <= atS) is var fix && atS - fix.TimeS <= 5 && fix.PowerW > 0 ? fix.PowerW : 0);
        Assert.Equal(meteredJ, load.RiderEnergyJ + load.MotorEnergyJ, 1e-6 * meteredJ);
        Assert.Equal(1.5, load.MotorEnergyJ / load.RiderEnergyJ, 0.01);
        Assert.False(load.HasRoad);
        Assert.Null(load.ModelAgainstMeter);
        Assert.Equal((0.0, "nothing", null, null, null), (load.Summary.DistanceM, load.Summary.DistanceFrom, load.Summary.MovingTimeS, load.Summary.MeanSpeedMps, load.Summary.AscentM));
        Assert.Contains("No positions, no distance and no speed: there is no road, its length is 0.", load.Summary.Repaired);
        Assert.StartsWith("No road: the power meter tells the total", load.Warnings[0], StringComparison.Ordinal);
        Assert.Contains("found power over time and no way", Assert.Throws<InputException>(() => RoadLoad.Run(ride, Rider.Default, MidDrive.Unit, new() { UseRecordedPower = false })).Message);
    }

    // Two recorders of one ride drifted alike; without the drift the way back to the start ends where it began.
    [Theory]
    [InlineData("outdoor/hilly-power.fit", 10.0, "higher"), InlineData("outdoor/hilly-power.gpx", 10.0, "higher"), InlineData("outdoor/flat.fit", 6.2, "higher"), InlineData("outdoor/outdoor-1.fit", 9.2, "lower")]
    public void A_height_that_drifted_is_told_with_its_size(string file, double driftM, string how)
    {
        var path = RidePath.Of(Read(file));
        Assert.Contains(path.Repaired, note => note.StartsWith(FormattableString.Invariant($"The ride comes back to its start {driftM:0.0} m {how} than it left: taken as a drift"), StringComparison.Ordinal));
        Assert.Equal(driftM, Math.Abs(path.ElevationM![^1] - path.LevelledM![^1]), 0.05);
        Assert.Equal(path.ElevationM[0], path.LevelledM[0]);
    }

    // The wheel sensor of one commute lost turns; that of another agrees.
    [Theory]
    [InlineData("commute/trip-05.csv", 0.961, true), InlineData("commute/trip-06.csv", 0.998, false)]
    public void A_wheel_that_counts_another_way_is_told(string file, double ratio, bool isTold)
    {
        var load = RoadLoad.Run(Read(file), Rider.Default, MidDrive.Unit);
        Assert.Equal(ratio, load.Summary.RecordedOverPositions!.Value, 6e-4);
        Assert.Equal(isTold, load.Warnings.Any(warning => warning.StartsWith("The recorder counts", StringComparison.Ordinal)));
    }

    // A sporty rider on a light bicycle (75 + 8 kg, CdA 0.32 m², Crr 0.004: from memory, typical) must come near the power meter over 58 hilly kilometres.
    [Fact]
    public void The_model_is_near_the_power_meter_on_the_hilly_ride()
    {
        var rider = Rider.Default with { RiderMassKg = 75, BikeMassKg = 8, CdaM2 = 0.32, RollingCoefficient = 0.004 };
        var load = RoadLoad.Run(Read("outdoor/hilly-power.gpx"), rider, MidDrive.Unit);
        var meter = load.ModelAgainstMeter!;
        Assert.InRange(meter.MeanErrorW / meter.MeanRecordedW, -0.15, 0.15);
    }

    [Theory]
    [InlineData("cerknicko-jezero-with-elevations-zero.gpx", "All 291 elevations are exactly 0: taken as not measured.")]
    [InlineData("cerknicko-jezero-with-elevations-zero.gpx", "5 of 296 points were dropped")]
    [InlineData("cerknicko-jezero-without-elevations.gpx", "The file has no elevation")]
    [InlineData("cerknicko-jezero.gpx", "6 gaps between pieces of the recording")]
    [InlineData("cerknicko-without-times.gpx", "291 of 296 points have no time")]
    [InlineData("korita-zbevnica.gpx", "358 of 871 points have no time")]
    [InlineData("route.gpx", "A planned route, not a recorded track")]
    [InlineData("track-with-empty-segment.gpx", "1 empty segment was left out.")]
    [InlineData("track-with-extremes.gpx", "No point has a time")]
    public void An_odd_file_is_mended_with_a_note(string file, string note)
    {
        var summary = RideSummary.Of(Read("edge/" + file));
        Assert.Contains(summary.Repaired, sentence => sentence.StartsWith(note, StringComparison.Ordinal));
        Assert.True(summary.DistanceM > 0);
    }

    // Its waypoints lie near 0 m and its track above 500 m: taken together they make 765 m of ascent, the track alone climbs 218 m.
    [Fact]
    public void Waypoints_make_no_ascent() => Assert.Equal(217.7, RideSummary.Of(Read("edge/cerknicko-jezero.gpx")).AscentM!.Value, 0.1);

    [Theory]
    [InlineData("track-with-less-sec-time.gpx", 2, 0.994), InlineData("track_with_speed.gpx", 3, 13)]
    public void A_short_track_loads_as_it_is(string file, int fixes, double elapsedS)
    {
        var ride = Read("edge/" + file);
        Assert.Equal(fixes, ride.Fixes.Count);
        Assert.Equal(elapsedS, RideSummary.Of(ride).ElapsedTimeS!.Value, 1e-9);
        Assert.Empty(ride.Repaired);
    }

    [Theory]
    [InlineData("heart-rate-extension.gpx", "one waypoint and no track")]
    [InlineData("unicode_with_bom.gpx", "one waypoint and no track")]
    [InlineData("track_with_dilution_errors.gpx", "one recorded point")]
    [InlineData("activity-activity-filecrc.fit", "the checksum")]
    [InlineData("activity-settings-corruptheader.fit", "no header")]
    [InlineData("activity-unexpected-eof.fit", "a run")]
    [InlineData("compressed-speed-distance.fit", "a run")]
    [InlineData("../commute/index.csv", "no column of time and none of position")]
    public void What_is_no_ride_is_refused_with_a_reason(string file, string found) =>
        Assert.Contains(found, Assert.Throws<InputException>(() => Read("edge/" + file)).Message);

    [Fact]
    public void Every_recording_loads_or_is_refused_and_its_energy_closes()
    {
        var folder = DataSets.Folder("rides");
        var loads = 0;
        foreach (var file in Directory.EnumerateFiles(folder, "*", SearchOption.AllDirectories).Order(StringComparer.Ordinal))
        {
            RoadLoad load;
            try
            {
                load = RoadLoad.Run(Read(Path.GetRelativePath(folder, file)), Rider.Default, MidDrive.Unit);
            }
            catch (InputException refused)
            {
                Assert.NotEmpty(refused.Errors);
                continue;
            }

            loads++;
            var totalJ = load.TotalTorqueNm.Zip(load.CadenceRadPerS, (torqueNm, radPerS) => torqueNm * radPerS).Sum();
            Assert.Equal(totalJ, load.RiderEnergyJ + load.MotorEnergyJ, 1e-9 * totalJ);
            Assert.All(load.TotalTorqueNm, torqueNm => Assert.True(double.IsFinite(torqueNm)));
            Assert.InRange(load.PeakMotorTorqueNm, 0, 85);
        }

        Assert.Equal(37, loads);
    }
}
