using System.Globalization;
using CsCheck;
using Roadproof.Engineering.Formats;
using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Road;
using static Roadproof.Engineering.Tests.Formats.WrittenFit;

namespace Roadproof.Engineering.Tests.Formats;

/// <summary>
/// FIT against fields decoded by another library (two recordings that nobody here made; skipped where the data is not at hand) and against files whose every octet is written here.
/// Numbers of messages and fields: the public profile of the format (from memory).
/// </summary>
public sealed class FitFileTests
{
    const ushort Sport = 12, SessionMessage = 18, Record = 20, Event = 21;
    const long Day = 1_000_000_000;

    static readonly (byte, byte)[] TimeAndDistance = [(253, U32), (5, U32)];

    [Fact]
    public void Its_checksum_has_the_catalogue_s_check_value() => Assert.Equal(0xBB3D, FitFile.Crc16("123456789"u8)); // CRC-16 with polynomial 8005 reflected, init 0 (from memory)

    [Fact]
    public void Every_record_agrees_with_the_oracle_to_the_last_digit()
    {
        var fixes = Decoded("outdoor/outdoor-3.fit");
        var lines = Oracle("outdoor-3.csv");
        Assert.Equal(lines.Count, fixes.Count);
        var (first, missing, before) = (Local(lines[0][0]), 0, lines[0]);
        foreach (var (line, fix) in lines.Zip(fixes))
        {
            Assert.Equal((Local(line[0]) - first).TotalSeconds, fix.TimeS);
            Assert.Equal(Number(line[1]), fix.HeartRatePerMin);
            Agrees(2, fix.CadenceRadPerS * 30 / Math.PI, 1e-12);
            Assert.Equal(Number(line[3]), fix.RecordedSpeedMps);
            Assert.Equal(Number(line[4]), fix.RecordedDistanceM);
            Agrees(5, fix.LatitudeDeg / 180 * (1L << 31), 1e-6);
            Agrees(6, fix.LongitudeDeg / 180 * (1L << 31), 1e-6);
            Assert.Equal(Number(line[7]), fix.ElevationM);
            Assert.Equal(Number(line[8]), fix.TemperatureC);
            before = line;

            void Agrees(int column, double value, double tolerance)
            {
                if (!double.IsNaN(value)) Assert.Equal(Number(line[column]), value, tolerance);
                else Assert.Equal((before[column], ++missing), (line[column], missing));
            }
        }

        // Where the file says "not measured" the oracle repeats the value before: 121 cadences and 9 positions (counted by a script over the octets).
        Assert.Equal(121 + 2 * 9, missing);

        static DateTime Local(string text) => DateTime.ParseExact(text, "ddd MMM dd HH:mm:ss 'PDT' yyyy", CultureInfo.InvariantCulture);
    }

    // Speed and distance in three octets, time since switching on; the oracle's distance counts past 256 m. It is a run, which no ride is made of.
    [Fact]
    public void Compressed_speed_and_distance_agree_with_the_oracle_to_the_last_digit()
    {
        var (empty, fixes) = (Decoded("edge/compressed-speed-distance.fit")[0], Decoded("edge/compressed-speed-distance.fit")[1..]);
        Assert.True(double.IsNaN(empty.HeartRatePerMin)); // a record without fields, which the oracle leaves out
        var lines = Oracle("compressed-speed-distance.csv");
        Assert.Equal(lines.Count, fixes.Count);
        foreach (var (line, fix) in lines.Zip(fixes))
        {
            Assert.Equal(Number(line[0]) - Number(lines[0][0]), fix.TimeS - fixes[0].TimeS);
            Assert.Equal(Number(line[1]), fix.HeartRatePerMin);
            Assert.Equal(Number(line[2]), fix.RecordedSpeedMps);
            Assert.Equal(Number(line[3]), fix.RecordedDistanceM);
            Assert.Equal(Number(line[4]), fix.CadenceRadPerS * 30 / Math.PI, 1e-12);
        }
    }

    // The recorder's own speed, which GPX has no place for, moves the point where assistance fades: 1 % of the motor's work. Without it both tell the same ride.
    [Fact]
    public void The_same_ride_in_two_formats_gives_the_same_spectrum()
    {
        var (fit, gpx) = (Ride("outdoor/hilly-power.fit"), Ride("outdoor/hilly-power.gpx"));
        var (one, full, other) = (Load(fit with { Fixes = [.. fit.Fixes.Select(f => f with { RecordedSpeedMps = double.NaN, RecordedDistanceM = double.NaN })] }), Load(fit), Load(gpx));
        Assert.Equal(other.Summary.DistanceM, one.Summary.DistanceM, 1e-3 * other.Summary.DistanceM);
        Assert.Equal(other.Summary.AscentM!.Value, one.Summary.AscentM!.Value, 0.5);
        Assert.Equal(other.MotorEnergyJ, one.MotorEnergyJ, 1e-3 * other.MotorEnergyJ);
        Assert.Equal(other.RiderEnergyJ, one.RiderEnergyJ, 1e-3 * other.RiderEnergyJ);
        Assert.Equal(other.MotorEnergyJ, full.MotorEnergyJ, 0.02 * other.MotorEnergyJ);
        var turns = other.Spectrum.Sum(c => c.Revolutions);
        Assert.Equal(other.Spectrum.Count, one.Spectrum.Count);
        Assert.All(other.Spectrum.Zip(one.Spectrum), pair => Assert.Equal(pair.First.Revolutions, pair.Second.Revolutions, 2e-3 * turns));
    }

    // A short ride as TCX and GPX by the same recorder: the way is the same.
    [Fact]
    public void TCX_and_GPX_tell_the_same_way()
    {
        var (tcx, gpx) = (RideSummary.Of(Ride("outdoor/short-below-sea-power.tcx")), RideSummary.Of(Ride("outdoor/short-below-sea.gpx")));
        Assert.Equal((gpx.AscentM, gpx.ElapsedTimeS), (tcx.AscentM, tcx.ElapsedTimeS));
        Assert.Equal(gpx.DistanceM, tcx.DistanceM, 1e-3 * gpx.DistanceM);
    }

    [Fact]
    public void Reads_what_is_written()
    {
        var file = new WrittenFit()
            .Define(0, Record, [(253, U32), (0, S32), (1, S32), (2, U16), (3, U8), (4, U8), (6, U16), (7, U16), (13, S8)], bigEndian: true)
            .Data(0, true, (U32, Day), (S32, 600_000_000), (S32, -60_000_000), (U16, 2600), (U8, 131), (U8, 60), (U16, 4500), (U16, 210), (S8, -3))
            .Data(0, true, (U32, Day + 2), (S32, 600_000_500), (S32, -60_000_000), (U16, 0xFFFF), (U8, 0xFF), (U8, 0xFF), (U16, 0xFFFF), (U16, 0xFFFF), (S8, 0x7F))
            .File();
        var ride = Read(file, "whatever");
        Assert.Equal("FIT", ride.Format);
        Assert.Equal(new DateTimeOffset(1989, 12, 31, 0, 0, 0, TimeSpan.Zero).AddSeconds(Day), ride.StartedAt);
        var (first, second) = (ride.Fixes[0], ride.Fixes[1]);
        Assert.Equal((600_000_000 * 180.0 / (1L << 31), 20.0, 131.0, 4.5, 210.0, -3.0),
            (first.LatitudeDeg, first.ElevationM, first.HeartRatePerMin, first.RecordedSpeedMps, first.PowerW, first.TemperatureC));
        Assert.Equal(2, second.TimeS);
        Assert.All((double[])[second.ElevationM, second.HeartRatePerMin, second.CadenceRadPerS, second.RecordedSpeedMps, second.PowerW, second.TemperatureC], value => Assert.True(double.IsNaN(value)));
        Assert.Empty(ride.Repaired);
    }

    [Fact]
    public void The_clock_in_a_header_goes_round_after_32_seconds()
    {
        var fit = new WrittenFit().Define(0, Record, TimeAndDistance).Data(0, false, (U32, Day + 30), (U32, 0)).Define(1, Record, [(5, U32)]);
        foreach (var s in (int[])[31, 33, 62, 66]) fit.Compressed(1, (int)((Day + s) & 0x1F), (U32, 100 * s));
        Assert.Equal([0, 1, 3, 32, 36], Read(fit.File(12)).Fixes.Select(f => f.TimeS));
    }

    [Fact]
    public void Fields_that_only_a_developer_knows_are_passed_over()
    {
        var fit = new WrittenFit().Define(3, Record, TimeAndDistance, false, 2, 5);
        for (var s = 0; s < 3; s++) fit.Data(3, false, (U32, Day + s), (U32, 500 * s)).Octets(1, 2, 3, 4, 5, 6, 7);
        Assert.Equal([0, 5, 10], Read(fit.File()).Fixes.Select(f => f.RecordedDistanceM));
    }

    [Fact]
    public void A_stop_of_the_recorder_s_timer_begins_a_new_piece()
    {
        var fit = new WrittenFit().Define(0, Record, TimeAndDistance).Define(1, Event, [(253, U32), (0, Code), (1, Code)]);
        void Ride(long from) => fit.Data(0, false, (U32, Day + from), (U32, 0)).Data(0, false, (U32, Day + from + 1), (U32, 500));
        fit.Data(1, false, (U32, Day), (Code, 0), (Code, 0));
        Ride(0);
        fit.Data(1, false, (U32, Day + 2), (Code, 0), (Code, 4)).Data(1, false, (U32, Day + 50), (Code, 0), (Code, 0));
        Ride(50);
        fit.Data(1, false, (U32, Day + 52), (Code, 0), (Code, 4));
        Ride(90);
        Assert.Equal([1, 1, 1, 1, 2, 2], Read(fit.File()).Fixes.Select(f => f.Piece));
    }

    [Theory]
    [InlineData(1, "a run"), InlineData(5, "a swim"), InlineData(11, "a walk"), InlineData(13, "an activity of kind 13")]
    public void What_is_no_ride_is_refused_by_its_name(int sport, string name)
    {
        var fit = Kilometre(new WrittenFit().Define(1, Sport, [(0, Code)]).Data(1, false, (Code, sport)), Day);
        Assert.Equal($"ride.fit: found {name}, expected a ride.", Assert.Throws<InputException>(() => Read(fit.File())).Message);
    }

    [Fact]
    public void Of_several_sports_the_ride_is_kept()
    {
        var fit = Kilometre(Kilometre(new WrittenFit(), Day), Day + 5000).Define(1, SessionMessage, [(253, U32), (2, U32), (5, Code)]);
        fit.Data(1, false, (U32, Day + 1000), (U32, Day), (Code, 5)).Data(1, false, (U32, Day + 6000), (U32, Day + 5000), (Code, 21));
        var ride = Read(fit.File());
        Assert.Equal(11, ride.Fixes.Count);
        Assert.Equal("Left out as no part of a ride: a swim, 11 records.", Assert.Single(ride.Repaired));
    }

    [Fact]
    public void A_file_without_records_is_refused() =>
        Assert.Equal("ride.fit: found 1 messages and no record, expected a recorded ride. Settings, courses and workouts are no rides.",
            Assert.Throws<InputException>(() => Read(new WrittenFit().Define(1, Sport, [(0, Code)]).Data(1, false, (Code, 2)).File())).Message);

    [Fact]
    public void A_value_that_cannot_be_is_refused_with_the_message_that_holds_it()
    {
        var fit = new WrittenFit().Define(0, Record, [(253, U32), (5, U32), (7, U16)]).Data(0, false, (U32, Day), (U32, 0), (U16, 200)).Data(0, false, (U32, Day + 1), (U32, 500), (U16, 9000));
        Assert.Equal("ride.fit:2: power: found '9000', expected a number between 0 and 5000 W.", Assert.Throws<InputException>(() => Read(fit.File())).Message);
    }

    // Whatever is cut off: it loads with a note and never more than was there, or is refused; nothing else is thrown.
    [Fact]
    public void A_file_cut_anywhere_gives_what_is_whole()
    {
        var whole = Kilometre(new WrittenFit(), Day).File();
        var before = 0;
        for (var length = 0; length < whole.Length; length++)
        {
            try
            {
                var ride = Read(whole[..length]);
                Assert.StartsWith("The file ends early", ride.Repaired[0], StringComparison.Ordinal);
                Assert.InRange(ride.Fixes.Count, before, 11);
                before = ride.Fixes.Count;
            }
            catch (InputException refused)
            {
                Assert.Equal(0, before);
                Assert.NotEmpty(refused.Errors);
            }
        }

        Assert.Equal(11, before);
    }

    // A CRC of 16 bits finds every error within one octet.
    [Fact]
    public void One_wrong_octet_is_always_found()
    {
        var whole = Kilometre(new WrittenFit(), Day).File();
        Gen.Select(Gen.Int[0, whole.Length - 1], Gen.Int[1, 255]).Sample((at, by) =>
        {
            var wrong = (byte[])whole.Clone();
            wrong[at] ^= (byte)by;
            try
            {
                // A length in the header that is too long now looks like a file that ends early, and one of the old header's size has no checksum of its own.
                Assert.StartsWith("The file ends early", Read(wrong).Repaired[0], StringComparison.Ordinal);
            }
            catch (InputException refused)
            {
                Assert.NotEmpty(refused.Errors);
            }
        }, iter: 3000, seed: "0000000000001");
    }

    [Fact]
    public void A_message_that_nothing_defines_is_refused_with_its_place() =>
        Assert.Equal("ride.fit: octet 14: found a message 5 that nothing before it defines, expected a definition before its messages.",
            Assert.Throws<InputException>(() => Read(new WrittenFit().Octets(5, 0, 0).File())).Message);

    static WrittenFit Kilometre(WrittenFit fit, long from)
    {
        fit.Define(0, Record, TimeAndDistance);
        for (var s = 0; s <= 10; s++) fit.Data(0, false, (U32, from + 20 * s), (U32, 10_000 * s));
        return fit;
    }

    static RoadLoad Load(Ride ride) => RoadLoad.Run(ride, Rider.Default, MidDrive.Unit);

    static Ride Ride(string file)
    {
        using var stream = File.OpenRead(Path.Combine(DataSets.Folder("rides"), file));
        return RideFile.Read(Path.GetFileName(file), stream);
    }

    static List<RideFix> Decoded(string file) => [.. FitRide.Decode(file, File.ReadAllBytes(Path.Combine(DataSets.Folder("rides"), file))).Fixes];

    static List<string[]> Oracle(string file) => [.. File.ReadLines(Path.Combine(DataSets.Folder("rides"), "decoded", file)).Skip(1).Select(line => line.Split(','))];

    static double Number(string text) => text is "null" or "" ? double.NaN : double.Parse(text, CultureInfo.InvariantCulture);
}
