using System.Globalization;
using System.Text;
using Microsoft.Extensions.Time.Testing;
using Roadproof.Engineering.Formats;
using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Road;
using Roadproof.Records.Rides;

namespace Roadproof.Records.Tests;

public sealed class RideStoreTests : IDisposable
{
    static readonly DateTimeOffset Morning = new(2031, 3, 4, 6, 0, 0, TimeSpan.FromHours(1));

    readonly TestFolder place = new();
    readonly FakeTimeProvider clock = new(Morning);

    RideStore Open() => new(place.Path, clock);

    string Rides => Path.Combine(place.Path, "rides");

    public void Dispose() => place.Dispose();

    [Fact]
    public void The_same_file_twice_counts_once()
    {
        var store = Open();
        var first = store.Keep("to-work.gpx", Gpx(), "k7f2");
        var again = store.Keep("another-name.gpx", Gpx(), "m3d9");

        Assert.True(first.New);
        Assert.False(again.New);
        Assert.Equal("to-work.gpx", Assert.Single(store.All).Name);
        Assert.Same(first.Ride, again.Ride);
        Assert.Equivalent(store.All, Open().All, strict: true);
        Assert.Equal(["at,act,ride,person", $"{clock.GetLocalNow():O},kept,{first.Ride.Id},k7f2"], File.ReadAllLines(Path.Combine(Rides, "journal.csv")));
    }

    // Nobody's home is on record: no figure of a place, and no heart.
    [Fact]
    public void No_file_of_the_store_holds_a_place_or_a_heart_rate()
    {
        Open().Keep("somebody/rides/to-work.gpx", Gpx(), "k7f2");
        var text = string.Concat(Directory.EnumerateFiles(Rides).Select(File.ReadAllText));
        Assert.Contains("name: to-work.gpx", text, StringComparison.Ordinal);
        foreach (var trace in new[] { "-41.00", "-131.5", "somebody", "lat", "lon", "143" }) Assert.DoesNotContain(trace, text, StringComparison.OrdinalIgnoreCase);
    }

    [Theory]
    [InlineData("", "an empty file")]
    [InlineData("time,speed\n0,12\nx,13\n", "found 'x'")]
    [InlineData("<gpx><trk>", "broken XML")]
    [InlineData("latitude,longitude\n-41,-131\n-41.001,-131\n", "a way without times")]
    [InlineData("ride,distance,speed,power,elevation,time\na,10,20,100,50,1800\nb,11,21,110,60,3600\nc,13,19,90,70,5400\n", "nothing that moves: 3 m in 3600 s")]
    [InlineData("timestamp,distance\n1777888000000,0\n1777888001000,5\n", "time [ms]")]
    public void A_broken_file_is_refused_with_its_reason_and_leaves_nothing(string text, string found)
    {
        var store = Open();
        var refused = Assert.Throws<InputException>(() => store.Keep("broken.csv", Encoding.UTF8.GetBytes(text), null));
        Assert.Contains(found, refused.Message, StringComparison.Ordinal);
        Assert.Empty(store.All);
        Assert.Empty(Directory.EnumerateFileSystemEntries(Rides));
    }

    // Every state that a crash between two writes can leave.
    [Fact]
    public void What_a_crash_left_half_is_no_ride_and_is_cleared_away()
    {
        var kept = Open().Keep("to-work.gpx", Gpx(), null).Ride;
        var (table, facts) = (Path.Combine(Rides, kept.Id + ".csv"), Path.Combine(Rides, kept.Id + ".yaml"));
        var (tableText, factsText) = (File.ReadAllText(table), File.ReadAllText(facts));

        foreach (var (files, there) in new (string[], bool)[] { ([table + ".part"], false), ([table], false), ([table, facts + ".part"], false), ([table, facts], true), ([facts.Replace(kept.Id, "0123456789abcdef", StringComparison.Ordinal) + ".part", table, facts], true) })
        {
            foreach (var file in Directory.EnumerateFiles(Rides)) File.Delete(file);
            foreach (var file in files) File.WriteAllText(file, file.Contains(".csv", StringComparison.Ordinal) ? tableText : factsText);
            var store = Open();
            Assert.Equal(there, store.All.Count == 1);
            Assert.Equal(there ? 2 : 0, Directory.EnumerateFiles(Rides).Count());
            Assert.Equal(!there, store.Keep("to-work.gpx", Gpx(), null).New);
        }
    }

    [Fact]
    public void A_ride_that_is_let_go_of_is_gone_and_the_journal_says_who_and_when()
    {
        var store = Open();
        var kept = store.Keep("to-work.gpx", Gpx(), "k7f2").Ride;
        clock.Advance(TimeSpan.FromHours(2));
        Assert.True(store.LetGo(kept.Id, "k7f2, at the rider's wish"));
        Assert.False(store.LetGo(kept.Id, "k7f2"));
        Assert.Null(store.Read(kept.Id));
        Assert.Equal(["journal.csv"], Directory.EnumerateFiles(Rides).Select(Path.GetFileName));
        Assert.Equal($"{clock.GetLocalNow():O},let-go,{kept.Id},\"k7f2, at the rider's wish\"", File.ReadAllLines(Path.Combine(Rides, "journal.csv"))[^1]);
        Assert.True(store.Keep("to-work.gpx", Gpx(), "k7f2").New);
    }

    [Fact]
    public void Facts_that_cannot_be_read_are_told_every_one_at_once()
    {
        var kept = Open().Keep("to-work.gpx", Gpx(), null).Ride;
        File.WriteAllText(Path.Combine(Rides, "0123456789abcdef.yaml"), "id: [");
        File.Delete(Path.Combine(Rides, kept.Id + ".csv"));
        Assert.Equal(2, Assert.Throws<InputException>(Open).Errors.Count);
    }

    [Fact]
    public void A_gap_stays_a_gap_and_counts_no_distance()
    {
        var store = Open();
        var original = RidePath.Of(RideFile.Read("gap.gpx", new MemoryStream(Gpx(gap: true))));
        var kept = RidePath.Of(store.Read(store.Keep("gap.gpx", Gpx(gap: true), null).Ride.Id)!);
        Assert.Equal([0, 1], kept.Pieces.Distinct());
        Assert.Equal(original.Pieces, kept.Pieces);
        Assert.Equal(original.LengthM, kept.LengthM, 0.01);
        Assert.Equal(original.Fixes.Select(f => f.TimeS), kept.Fixes.Select(f => f.TimeS));
    }

    [Fact]
    public void A_trainers_power_stays_a_load_without_a_road()
    {
        var store = Open();
        var kept = store.Read(store.Keep("indoors.csv", "seconds,power,cadence\n0,100,80\n1,120,80\n2,130,81\n"u8.ToArray(), null).Ride.Id)!;
        Assert.False(RidePath.Of(kept).HasRoad);
        Assert.Equal([100, 120, 130], kept.Fixes.Select(f => f.PowerW));
    }

    // The middle of an ocean.
    static byte[] Gpx(bool gap = false)
    {
        var text = new StringBuilder("""<gpx xmlns="http://www.topografix.com/GPX/1/1"><trk><trkseg>""");
        for (var i = 0; i < 60; i++)
        {
            if (gap && i == 30) text.Append("</trkseg><trkseg>");
            text.Append(CultureInfo.InvariantCulture, $"""<trkpt lat="{-41 - i * 5e-5:F7}" lon="-131.5"><ele>{20 + Math.Sin(i / 9.0):F2}</ele><time>2031-03-01T08:{(gap && i >= 30 ? 30 : 0) + i / 60:00}:{i % 60:00}Z</time><extensions><hr>143</hr><cad>75</cad></extensions></trkpt>""");
        }

        return Encoding.UTF8.GetBytes(text.Append("</trkseg></trk></gpx>").ToString());
    }
}
