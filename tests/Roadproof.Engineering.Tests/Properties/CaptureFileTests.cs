using System.Text;
using CsCheck;
using Roadproof.Engineering.Formats;
using Roadproof.Engineering.Quantities;

namespace Roadproof.Engineering.Tests.Properties;

/// <summary>What goes into a capture file comes out again, and what is no capture is refused with place, found and expected.</summary>
public sealed class CaptureFileTests
{
    static readonly CaptureHeader Header = new("SH-0001842", "rig2", "r7", 1, new(2031, 3, 4, 7, 12, 55, TimeSpan.FromHours(1))) { IdleS = 5400.5 };

    [Fact]
    public void A_file_of_another_kind_is_told_as_such_and_not_printed()
    {
        byte[] other = [0x89, 0x50, 0x4e, 0x0b, 0x1b, 0x5b, 0x33, 0x31, 0x6d, 0xff, 0x0a, 0x2c];
        var error = Assert.Single(Assert.Throws<InputException>(() => CaptureFile.Read([("odd.parquet", (Stream)new MemoryStream(other))])).Errors);
        Assert.Equal("neither Parquet nor text", error.Found);
    }

    [Fact]
    public void Gives_back_what_was_written() =>
        Gen.Float[-1e6f, 1e6f].Array[1, 40].Array[1, 4].Sample(columns =>
        {
            var rows = columns.Min(c => c.Length);
            var channels = columns.Select((c, i) => (Name: $"x{i}", Cells: c[..rows])).ToDictionary(p => p.Name, p => p.Cells);
            var table = new CaptureTable("a.parquet", [.. Enumerable.Range(0, rows).Select(i => i * 0.005)], channels);

            var read = CaptureFile.Read([("a.parquet", new MemoryStream(Parquet(table)))]);

            Assert.Equal(Header, read.Header);
            Assert.Equal(table.TimeS, read.Tables[0].TimeS);
            foreach (var (name, cells) in channels) Assert.Equal(cells, read.Tables[0].Channels[name]);

            var one = CaptureFile.Read([("a.parquet", new MemoryStream(Parquet(table)))], new HashSet<string> { "x0", "not there" }).Tables[0];
            Assert.Equal("x0", Assert.Single(one.Channels).Key);
            Assert.Equal(channels["x0"], one.Channels["x0"]);
            Assert.Equal(table.TimeS, one.TimeS);
        }, iter: 30);

    [Fact]
    public void Writes_the_same_octets_for_the_same_run() => Assert.Equal(Parquet(Table([0, 1])), Parquet(Table([0, 1])));

    [Theory]
    [InlineData("time_s,winding_c,operator\n0,21.5,anna\n0.005,,anna\n")]
    [InlineData("time_s;winding_c;operator\n0;21,5;anna\n0,005;;anna\n")]
    [InlineData("\uFEFFtime [s],winding [°C],operator\r\n0,21.5,anna\r\n0.005,,anna\r\n")]
    public void Reads_commas_and_semicolons_and_units_in_brackets(string csv)
    {
        var table = Read(("run.csv", csv)).Tables[0];

        Assert.Equal([0, 0.005], table.TimeS);
        Assert.Equal([21.5f, float.NaN], table.Channels["winding_c"]);
        Assert.Contains("operator", table.Channels.Keys);
    }

    [Theory]
    [InlineData("-1"), InlineData("long"), InlineData("NaN")]
    public void Says_what_is_wrong_with_an_idle_time(string text)
    {
        var error = Assert.Single(Assert.Throws<InputException>(() => Read(("run.csv", "time_s,winding_c\n0,20\n"), ("run.yaml", $"idleS: {text}\n"))).Errors);
        Assert.Equal(("idleS", $"'{text}'", "seconds that the unit had stood, 0 or more"), (error.Column, error.Found, error.Expected));
    }

    [Fact]
    public void Takes_the_metadata_of_a_csv_from_the_file_beside_it()
    {
        var header = Read(("run.csv", "time_s,winding_c\n0,20\n"), ("run.yaml", "item: SH-0001842\nrig: 'rig2'\nattempt: 2\nstartedAt: 2031-03-04T07:12:55+01:00\n")).Header;

        Assert.Equal(new("SH-0001842", "rig2", null, 2, new(2031, 3, 4, 7, 12, 55, TimeSpan.FromHours(1))), header);
    }

    [Theory]
    [InlineData("", "run.csv: found an empty file, expected a capture in Parquet or CSV. The rig may have lost the connection before it wrote: send the file again.")]
    [InlineData("time_s,winding_c\n", "run.csv: found no rows, expected at least one sample.")]
    [InlineData("times,winding_c\n0,20\n", "run.csv: found no column time_s among times, winding_c, expected a column time_s with the seconds since the start of the run. Is 'times' the time? Then name it time_s.")]
    [InlineData("time_s,winding_c\n0,20\n1,x\n", "run.csv:3: winding_c: found 'x', expected a number such as 12.7.")]
    [InlineData("time_s,winding_c\n0,20\n1\n", "run.csv:3: found a row of length 1, expected 2 cells as in the header. A row that breaks off at the end of a file was cut short: send it again.")]
    [InlineData("time_s,winding_c\n0,20\n0.2,20\n0.1,20\n", "run.csv: time_s: found 0.1 s in row 3 after 0.2 s, expected times that rise from row to row. Time went back: was the rig's clock set during the run? Use the time since the start of the run.")]
    [InlineData("time_s,winding_c\n0,20\n0,20\n", "run.csv: time_s: found 0 s twice, in rows 1 and 2, expected times that rise from row to row. Write times with enough digits for the sample rate.")]
    [InlineData("time_s,winding_c\n,20\n", "run.csv: time_s: found no time in row 1, expected a number of seconds in every row.")]
    [InlineData("time_s,winding_c,winding_c\n0,20,20\n", "run.csv:1: winding_c: found the column twice, expected each column once.")]
    [InlineData("time_s,winding_c [K]\n0,293\n", "run.csv:1: winding_c: found unit [K], expected the unit that ends the channel's name. Convert the column before it is sent; units are not guessed.")]
    public void Says_what_is_wrong_with_a_text_file(string csv, string sentence) =>
        Assert.Equal(sentence, Assert.Throws<InputException>(() => Read(("run.csv", csv))).Message);

    [Fact]
    public void Lists_what_is_wrong_in_all_files_at_once()
    {
        var errors = Assert.Throws<InputException>(() => Read(("a.csv", "time_s,winding_c\n0,x\n"), ("b.csv", ""), ("c.csv", "time_s,brake\n1,0\n0,0\n"))).Errors;

        Assert.Equal(["a.csv", "b.csv", "c.csv"], errors.Select(e => e.Source));
    }

    [Fact]
    public void Refuses_files_of_different_runs()
    {
        var first = Parquet(Table([0, 1]));
        var second = Parquet(Table([0, 1]), Header with { Item = "SH-0001843" });

        var thrown = Assert.Throws<InputException>(() => CaptureFile.Read([("slow.parquet", new MemoryStream(first)), ("fast.parquet", new MemoryStream(second))]));

        Assert.Equal("fast.parquet: item: found 'SH-0001843', expected 'SH-0001842' as in slow.parquet. These files are not of one run: send the files of one run together.", thrown.Message);
    }

    // Wherever a file is cut, it is refused as a file, never half read and never as a bug of ours.
    [Fact]
    public void Refuses_a_parquet_file_cut_anywhere()
    {
        var octets = Parquet(Table([.. Enumerable.Range(0, 500).Select(i => i * 0.005)]));
        for (var length = 0; length < octets.Length; length += 17)
        {
            var cut = octets[..length];
            var error = Assert.Single(Assert.Throws<InputException>(() => CaptureFile.Read([("slow.parquet", new MemoryStream(cut))])).Errors);
            Assert.Equal("slow.parquet", error.Source);
            if (length >= 4) Assert.Contains($"breaks off after {length} octets", error.Found);
        }
    }

    [Fact]
    public void Refuses_a_parquet_file_with_a_hole_in_its_middle()
    {
        var octets = Parquet(Table([.. Enumerable.Range(0, 500).Select(i => i * 0.005)]));
        byte[] holed = [.. octets[..200], .. octets[400..]];

        var error = Assert.Single(Assert.Throws<InputException>(() => CaptureFile.Read([("slow.parquet", new MemoryStream(holed))])).Errors);

        Assert.StartsWith("a damaged Parquet file", error.Found);
    }

    static CaptureTable Table(double[] timeS) => new("slow.parquet", timeS, new Dictionary<string, float[]> { ["winding_c"] = [.. timeS.Select(t => (float)(20 + t))] });

    static byte[] Parquet(CaptureTable table, CaptureHeader? header = null)
    {
        using var stream = new MemoryStream();
        CaptureFile.WriteParquet(table, header ?? Header, stream);
        return stream.ToArray();
    }

    static Capture Read(params (string Name, string Text)[] files) =>
        CaptureFile.Read([.. files.Select(f => (f.Name, (Stream)new MemoryStream(Encoding.UTF8.GetBytes(f.Text))))]);
}
