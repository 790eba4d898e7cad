using Roadproof.Engineering.Formats;

namespace Roadproof.App.Tests.Commands;

/// <summary>Rainflow counting through its door. Source of the counts: ASTM E1049-85 (2017), 5.4.4, Fig. 6 (as quoted by open test suites).</summary>
public sealed class LifeCommandTests
{
    const string Example = "t;load\n0;-2\n1;1\n2;-3\n3;5\n4;-1\n5;3\n6;-4\n7;4\n8;-2\n";

    [Fact]
    public async Task The_worked_example_comes_out_of_a_table()
    {
        using var place = new Folder();
        await File.WriteAllTextAsync(place["load.csv"], Example, TestContext.Current.CancellationToken);
        var said = await Typed.Words("life", "rainflow", place["load.csv"], "--column", "load", "--slope", "5", "--json");

        Assert.Equal(0, said.Exit);
        said.HasFields("cycles", "reversals", "totalCycles", "largestRange", "classWidth", "damage");
        var counts = said.Json.GetProperty("cycles").EnumerateArray().GroupBy(c => c.GetProperty("range").GetDouble()).Select(g => (g.Key, g.Sum(c => c.GetProperty("count").GetDouble())));
        Assert.Equal([(9, 0.5), (8, 1), (6, 0.5), (4, 1.5), (3, 0.5)], counts);
        Assert.Equal((9, 4), (said.Number("reversals"), said.Number("totalCycles")));
        Assert.Equal(67838 / Math.Pow(9, 5), said.Json.GetProperty("damage")[0].GetProperty("damageInLargest").GetDouble(), 1e-12);
    }

    [Fact]
    public async Task Classes_and_Parquet_tell_the_same()
    {
        using var place = new Folder();
        float[] load = [-2, 1, -3, 5, -1, 3, -4, 4, -2];
        await using (var file = File.Create(place["load.parquet"]))
            CaptureFile.WriteParquet(new("load", [.. Enumerable.Range(0, 9).Select(i => (double)i)], new Dictionary<string, float[]> { ["load"] = load }), new(null, null, null, null, null), file);
        var said = await Typed.Words("life", "rainflow", place["load.parquet"], "--column", "load", "--classes", "8", "--slope", "5", "--json");

        // Eight classes for ranges up to 9: 2 wide, where the list's 3, 4, 6, 8 and 9 become 3, 5, 7 and 9.
        Assert.Equal([(9, 1.5), (7, 0.5), (5, 1.5), (3, 0.5)], said.Json.GetProperty("cycles").EnumerateArray().GroupBy(c => c.GetProperty("range").GetDouble()).Select(g => (g.Key, g.Sum(c => c.GetProperty("count").GetDouble()))));
        Assert.Equal((2, 4), (said.Json.GetProperty("classWidth").GetProperty("range").GetDouble(), said.Number("totalCycles")));
        Assert.Equal(67838 / Math.Pow(9, 5), said.Json.GetProperty("damage")[0].GetProperty("damageInLargest").GetDouble(), 1e-12);
    }

    [Theory]
    [InlineData("load [N·m]"), InlineData("load(N·m)"), InlineData("load")]
    public async Task A_column_is_found_without_its_unit(string title)
    {
        using var place = new Folder();
        await File.WriteAllTextAsync(place["load.csv"], Example.Replace("load", title, StringComparison.Ordinal), TestContext.Current.CancellationToken);
        float[] load = [-2, 1, -3, 5, -1, 3, -4, 4, -2];
        await using (var file = File.Create(place["load.parquet"]))
            CaptureFile.WriteParquet(new("load", [.. Enumerable.Range(0, 9).Select(i => (double)i)], new Dictionary<string, float[]> { [title] = load }), new(null, null, null, null, null), file);
        foreach (var name in new[] { "load.csv", "load.parquet" })
            foreach (var column in new[] { "load", title })
            {
                var said = await Typed.Words("life", "rainflow", place[name], "--column", column, "--json");
                Assert.Equal((0, 9), (said.Exit, said.Number("reversals")));
            }
    }

    [Theory]
    [InlineData("t,load\n0,1\n1,\n", "load.csv:3: load: found nothing, expected a number. A history has no gaps: split the file there.")]
    [InlineData("t,load\n0,1\n1,two\n", "load.csv:3: load: found 'two', expected a number")]
    [InlineData("t,lode\n0,1\n", "load.csv:1: load: found no such column, expected one of t, lode. Is 'lode' meant?")]
    [InlineData("t,load\n0,1\n1\n", "load.csv:3: found a row of length 1, expected 2 cells as in the header")]
    [InlineData("load [N·m],load [kN·m]\n0,1\n", "load.csv:1: load: found the column in several units: load [N·m], load [kN·m], expected one of them, with its unit")]
    [InlineData("load,load\n0,1\n", "load.csv:1: load: found the column twice, expected each column once")]
    [InlineData("", "load.csv: found an empty file")]
    [InlineData("PAR1 and no more", "load.csv: found a Parquet file that breaks off after 16 octets")]
    public async Task What_is_no_history_is_refused_with_its_place(string text, string expected)
    {
        using var place = new Folder();
        await File.WriteAllTextAsync(place["load.csv"], text, TestContext.Current.CancellationToken);
        (await Typed.Words("life", "rainflow", place["load.csv"], "--column", "load")).IsWrong(expected);
    }

    [Fact]
    public async Task Classes_slopes_and_files_that_cannot_be_are_refused()
    {
        (await Typed.Words("life", "rainflow", "no.csv", "--column", "load")).IsWrong("no.csv: found no such file");
        (await Typed.Words("life", "rainflow", "no.csv", "--column", "load", "--classes", "7")).IsWrong("--classes: found 7, expected an even number from 2 to 1024");
        (await Typed.Words("life", "rainflow", "no.csv", "--column", "load", "--slope", "0")).IsWrong("--slope: found 0, expected a number above 0 and up to 30");
    }

    [Fact]
    public async Task Too_many_different_cycles_ask_for_classes()
    {
        using var place = new Folder();
        var lines = Enumerable.Range(0, 300_000).Select(i => (i % 2 == 0 ? 1 + 1e-6 * i : -1 - 1e-7 * i * i % 1).ToString("R", System.Globalization.CultureInfo.InvariantCulture));
        await File.WriteAllLinesAsync(place["load.csv"], lines.Prepend("load"), TestContext.Current.CancellationToken);
        (await Typed.Words("life", "rainflow", place["load.csv"], "--column", "load")).IsWrong("more than 100,000 different cycles, expected fewer, or classes to count them in. Say --classes 64.");
        Assert.Equal(0, (await Typed.Words("life", "rainflow", place["load.csv"], "--column", "load", "--classes", "64")).Exit);
    }
}
