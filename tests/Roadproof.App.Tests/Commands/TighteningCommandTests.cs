using System.Text.Json;
using static System.FormattableString;

namespace Roadproof.App.Tests.Commands;

/// <summary><c>checks judge tightening</c> through its door: curves drawn from an equation, limits from the demo's route or from options.</summary>
public sealed class TighteningCommandTests
{
    // Run-down at 0.8 N·m for 600°, then 0.1 N·m/° up to the final torque, then the spindle springs back.
    static string Screw(Folder place, string name, double finalNm = 5.5, double slope = 0.1)
    {
        var rows = new List<string> { "time_s,angle_deg,torque_nm" };
        for (var deg = 0.0; 0.8 + slope * Math.Max(0, deg - 600) <= finalNm + 1e-9; deg += 0.5) Add(deg, 0.8 + slope * Math.Max(0, deg - 600) + 0.002 * Math.Sin(7 * deg));
        var (end, count) = (600 + (finalNm - 0.8) / slope, rows.Count);
        for (var k = 1; k < 5; k++) rows.Add(Invariant($"{(count + k) * 0.001},{end - 0.5 * k},{finalNm * (1 - 0.24 * k)}"));
        return place.Write(name, string.Join('\n', rows));

        void Add(double deg, double nm) => rows.Add(Invariant($"{rows.Count * 0.001},{deg},{nm}"));
    }

    [Fact]
    public async Task A_screw_is_judged_by_its_route_and_the_answer_is_the_contracts()
    {
        using var place = new Folder();
        var said = await Typed.Words("checks", "judge", "tightening", Screw(place, "a.csv"), "--product", "af-85", "--group", "cover", "--json");
        Assert.Equal(0, said.Exit);
        said.HasFields("verdict", "features", "reading", "screws", "outOfOrder", "trends");
        Assert.Equal("pass", said.Json.GetProperty("verdict").GetString());
        Assert.Equal("As required.", said.Json.GetProperty("reading").GetString());
        var features = Features(said);
        Assert.Equal(5.5, features["final-torque"].GetProperty("value").GetDouble(), 0.01);
        Assert.Equal((4.95, 6.05), (features["final-torque"].GetProperty("lower").GetDouble(), features["final-torque"].GetProperty("upper").GetDouble()));
        Assert.Equal(47, features["final-angle"].GetProperty("value").GetDouble(), 1.0);
        Assert.Equal("pass", features["final-angle"].GetProperty("verdict").GetString());
        Assert.Equal(0.8, features["prevailing-torque"].GetProperty("value").GetDouble(), 0.005);
        Assert.All(features.Values.Where(f => f.GetProperty("value").ValueKind == JsonValueKind.Number), f => Assert.True(f.GetProperty("standardUncertainty").GetDouble() > 0));
    }

    [Fact]
    public async Task A_bad_screw_ends_with_one_an_open_one_with_four_and_the_table_says_why()
    {
        using var place = new Folder();
        var far = await Typed.Words("checks", "judge", "tightening", Screw(place, "far.csv", slope: 0.05), "--product", "af-85", "--group", "cover");
        Assert.Equal(1, far.Exit);
        Assert.Contains("Torque came after too much turn", far.Output, StringComparison.Ordinal);
        Assert.Contains("Do not tighten it again", far.Output, StringComparison.Ordinal);
        Assert.Equal(4, (await Typed.Words("checks", "judge", "tightening", Screw(place, "near.csv", finalNm: 5.0), "--product", "af-85", "--group", "cover")).Exit);
    }

    [Fact]
    public async Task Options_set_what_the_route_does_not_hold()
    {
        using var place = new Folder();
        var file = Screw(place, "a.csv");
        string[] judge = ["checks", "judge", "tightening", file, "--standard-uncertainty-nm", "0.05", "--json"];
        Assert.Equal("No edge is set: only what the curve looks like was judged.", (await Typed.Words(judge)).Json.GetProperty("warnings")[0].GetString());
        Assert.Equal(0, (await Typed.Words([.. judge, "--rundown-lower-deg", "550", "--prevailing-upper-nm", "1.2", "--slope-lower-nm-per-deg", "0.05"])).Exit);
        Assert.Equal(1, (await Typed.Words([.. judge, "--rundown-lower-deg", "650"])).Exit);
        Assert.Equal(1, (await Typed.Words([.. judge, "--prevailing-upper-nm", "0.5"])).Exit);
        Assert.Equal(4, (await Typed.Words([.. judge, "--torque-lower-nm", "5", "--class", "A"])).Exit);
        Assert.Equal(30.0, Features(await Typed.Words([.. judge, "--angle-from-nm", "2.5"]))["final-angle"].GetProperty("value").GetDouble(), 0.5);
        Assert.Equal(4.7 / 0.2 / 0.005, Features(await Typed.Words([.. judge, "--diameter-mm", "5"]))["preload"].GetProperty("value").GetDouble(), 20.0);
    }

    [Fact]
    public async Task A_group_is_held_to_its_order_and_its_first_screw_is_checked_again()
    {
        using var place = new Folder();
        var files = new[] { "1.csv", "2.csv", "3.csv" }.Select(n => Screw(place, n)).ToList();
        var check = place.Write("again.csv", "angle_deg,torque_nm\n" + string.Join('\n', Enumerable.Range(0, 100).Select(i => 0.1 * i).Select(a => Invariant($"{a},{(a < 6 ? 0.85 * a : 5.1 + 0.1 * (a - 6))}"))));
        string[] judge = ["checks", "judge", "tightening", .. files, check, "--standard-uncertainty-nm", "0.05", "--torque-lower-nm", "4.95", "--pattern", "1,3,2", "--recheck", "--json", "--screws"];

        var right = await Typed.Words([.. judge, "1,3,2,1"]);
        Assert.Equal(0, right.Exit);
        Assert.Equal(0.4 / 4.7, Features(right, "again.csv")["relaxation"].GetProperty("value").GetDouble(), 0.01);
        Assert.Equal("3 of 3 screws pass, 0 fail, 0 cannot be decided.", right.Json.GetProperty("reading").GetString());

        var wrong = await Typed.Words([.. judge, "1,2,3,1"]);
        Assert.Equal(1, wrong.Exit);
        Assert.Equal("Place 2: screw 2, expected screw 3.", wrong.Json.GetProperty("outOfOrder")[0].GetString());
    }

    [Fact]
    public async Task Wear_of_one_hole_is_a_trend_with_its_interval()
    {
        using var place = new Folder();
        var files = Enumerable.Range(0, 8).Select(i => Screw(place, Invariant($"{i}.csv"), slope: 0.1 - 0.005 * i)).ToList();
        var said = await Typed.Words(["checks", "judge", "tightening", .. files, "--standard-uncertainty-nm", "0.05", "--uses", "0,1,2,3,4,5,6,7", "--json"]);
        var slope = said.Json.GetProperty("trends").EnumerateArray().Single(t => t.GetProperty("id").GetString() == "slope");
        Assert.Equal(-0.005, slope.GetProperty("perUse").GetDouble(), 0.0005);
        Assert.True(slope.GetProperty("moves").GetBoolean());
    }

    [Fact]
    public async Task What_cannot_be_used_is_said()
    {
        using var place = new Folder();
        var file = Screw(place, "a.csv");
        (await Typed.Words("checks", "judge", "tightening", file)).IsWrong("--standard-uncertainty-nm: found nothing");
        (await Typed.Words("checks", "judge", "tightening", file, "--product", "af-85")).IsWrong("--group: found nothing, expected one of carrier, phase, cover");
        (await Typed.Words("checks", "judge", "tightening", file, "--group", "cover")).IsWrong("--product: found nothing");
        (await Typed.Words("checks", "judge", "tightening", file, "--standard-uncertainty-nm", "0.05", "--class", "D")).IsWrong("--class: found 'D', expected A, B or C");
        (await Typed.Words("checks", "judge", "tightening", file, "--standard-uncertainty-nm", "0.05", "--torque-lower-nm", "6", "--torque-upper-nm", "5")).IsWrong("--torque-lower-nm: found 6 to 5");
        (await Typed.Words("checks", "judge", "tightening", file, "--standard-uncertainty-nm", "0.05", "--screws", "1,2")).IsWrong("--screws: found 2 numbers, expected 1, one for each file");
        (await Typed.Words("checks", "judge", "tightening", file, "--standard-uncertainty-nm", "0.05", "--pattern", "1")).IsWrong("--screws: found nothing");
        (await Typed.Words("checks", "judge", "tightening", file, "--product", "af-85", "--group", "cover", "--screws", "1", "--pattern", "1")).IsWrong("--pattern: found 1 screws, expected 8, as group cover of the route has");
        (await Typed.Words("checks", "judge", "tightening", file, "--standard-uncertainty-nm", "0.05", "--recheck")).IsWrong("--recheck: found one file");
        (await Typed.Words("checks", "judge", "tightening", "/no/such.csv", place.Write("bad.csv", "angle_deg,torque_nm\n0,x\n"), "--standard-uncertainty-nm", "0.05")).IsWrong("/no/such.csv: found no such file", "bad.csv:2: torque_nm: found 'x'");
    }

    static Dictionary<string, JsonElement> Features(Typed said, string? file = null) => said.Json.GetProperty("features").EnumerateArray()
        .Where(f => file is null || f.GetProperty("file").GetString()!.EndsWith(file, StringComparison.Ordinal)).GroupBy(f => f.GetProperty("id").GetString()!).ToDictionary(g => g.Key, g => g.First());
}
