using static System.FormattableString;

namespace Roadproof.App.Tests.Commands;

/// <summary>Windings through their door: which check it is the columns say, the product gives the resistance.</summary>
public sealed class WindingCommandTests
{
    [Theory]
    [InlineData("0.110,0.1102,0.1101,20,21", 0, "pass")]
    [InlineData("0.120,0.1201,0.1201,20,21", 1, "fail")]
    [InlineData("0.1132,0.1132,0.1132,20,21", 4, "hold")]
    [InlineData("0.110,0.1102,0.1101,20,27", 1, "fail")]
    public async Task Readings_are_judged_by_the_product(string row, int exit, string verdict)
    {
        using var place = new Folder();
        File.WriteAllText(place["w.csv"], $"resistance_uv_ohm,resistance_vw_ohm,resistance_wu_ohm,winding_c,sensor_c\n{row}\n");
        var said = await Typed.Words("checks", "judge", "winding", place["w.csv"], "--product", "af-85", "--json");

        Assert.Equal((exit, verdict), (said.Exit, said.Json.GetProperty("verdict").GetString()));
        said.HasFields("verdict", "features", "reading");
        Assert.Equal("resistance", said.Json.GetProperty("features")[0].GetProperty("id").GetString());
    }

    [Fact]
    public async Task A_surge_is_told_by_its_columns()
    {
        using var place = new Folder();
        File.WriteAllLines(place["s.csv"], Enumerable.Range(0, 800).Select(i => 0.25e-6 * i)
            .Select(t => Invariant($"{t},{Ring(t, 52e3):F3},{Ring(t, 50e3):F3}")).Prepend("time_s,surge_v,master_v"));
        var said = await Typed.Words("checks", "judge", "winding", place["s.csv"], "--product", "af-85", "--json");
        Assert.Equal(1, said.Exit);
        var shift = said.Json.GetProperty("features").EnumerateArray().First(f => f.GetProperty("id").GetString() == "surge-frequency-shift");
        Assert.Equal(4, shift.GetProperty("value").GetDouble(), 0.01);
    }

    [Theory]
    [InlineData("--connection", "ring", "--connection: found 'ring', expected star or delta")]
    [InlineData("--lead-ohm", "-1", "--lead-ohm: found -1, expected a number of 0 or more")]
    public async Task What_cannot_be_is_refused(string option, string words, string sentence)
    {
        using var place = new Folder();
        File.WriteAllText(place["w.csv"], "sensor_c,winding_c\n20,20\n");
        (await Typed.Words("checks", "judge", "winding", place["w.csv"], "--product", "af-85", option, words)).IsWrong(sentence);
    }

    static double Ring(double t, double hz) => 900 * Math.Exp(-9e3 * t) * Math.Cos(2 * Math.PI * hz * t);
}
