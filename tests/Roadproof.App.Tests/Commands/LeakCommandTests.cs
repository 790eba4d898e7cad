using static System.FormattableString;

namespace Roadproof.App.Tests.Commands;

/// <summary>Pressure holds through their door: judged by the product's seal, and wrong input placed.</summary>
public sealed class LeakCommandTests
{
    [Theory]
    [InlineData(1, 0, "pass")]
    [InlineData(5, 4, "hold")]
    [InlineData(9, 1, "fail")]
    public async Task A_hold_is_judged_by_the_product(double cm3PerMin, int exit, string verdict)
    {
        using var place = new Folder();
        Write(place["hold.csv"], cm3PerMin);
        var said = await Typed.Words("checks", "judge", "leak", place["hold.csv"], "--product", "af-85", "--json");

        Assert.Equal(exit, said.Exit);
        said.HasFields("verdict", "features", "reading");
        Assert.Equal(verdict, said.Json.GetProperty("verdict").GetString());
        var leak = said.Json.GetProperty("features")[0];
        Assert.Equal(("leak-rate", 5.0), (leak.GetProperty("id").GetString(), leak.GetProperty("upper").GetDouble()));
        Assert.Equal(cm3PerMin, leak.GetProperty("value").GetDouble(), 0.05 + 0.01 * cm3PerMin);
    }

    [Fact]
    public async Task A_known_leak_gives_the_volume()
    {
        using var place = new Folder();
        Write(place["without.csv"], 0.2);
        Write(place["with.csv"], 5.2);
        var said = await Typed.Words("checks", "calibrate-leak", place["without.csv"], place["with.csv"], "--product", "af-85", "--known-leak-cm3-min", "5", "--known-leak-u-cm3-min", "0.05", "--json");

        Assert.Equal(0, said.Exit);
        said.HasFields("volumeM3", "volumeStandardUncertaintyM3", "readCm3PerMin", "en", "agrees");
        Assert.Equal(6e-4, said.Number("volumeM3"), 1e-5);
    }

    [Fact]
    public async Task A_reference_beside_it_takes_its_loss_off()
    {
        using var place = new Folder();
        Write(place["hold.csv"], 9);
        Write(place["tight.csv"], 8);
        var said = await Typed.Words("checks", "judge", "leak", place["hold.csv"], "--product", "af-85", "--reference", place["tight.csv"], "--json");
        Assert.Equal(1, said.Json.GetProperty("features")[0].GetProperty("value").GetDouble(), 0.1);
        Assert.Equal((4, "hold"), (said.Exit, said.Json.GetProperty("verdict").GetString())); // a share of 8 under a limit of 5: the verdict hangs on it
    }

    [Fact]
    public async Task What_is_no_hold_is_refused()
    {
        using var place = new Folder();
        File.WriteAllText(place["hold.csv"], "time_s,gauge_pressure [mbar]\n0,200\n");
        (await Typed.Words("checks", "judge", "leak", place["hold.csv"], "--product", "af-85")).IsWrong("hold.csv:1: gauge_pressure [mbar]: found unit [mbar], expected gauge_pressure in Pa");
        (await Typed.Words("checks", "judge", "leak", place["none.csv"], "--product", "af-85")).IsWrong("none.csv: found no such file");
    }

    /// <summary>A settled hold of 600 cm³ at 20 kPa and a steady 20 °C.</summary>
    static void Write(string file, double cm3PerMin) => File.WriteAllLines(file, Enumerable.Range(0, 301)
        .Select(i => Invariant($"{0.1 * i:F1},{20_000 - cm3PerMin / 60e6 * 101_325 / 6e-4 * 0.1 * i + (i % 2):F2},{20 + 0.01 * (i % 2):F2}")).Prepend("time_s,gauge_pressure_pa,part_c"));
}
