using static System.FormattableString;

namespace Roadproof.App.Tests.Commands;

/// <summary>Press-ins through their door: limits typed by feature, and what cannot be understood is said.</summary>
public sealed class PressCommandTests
{
    [Theory]
    [InlineData("seat=9.9..10.1", 0, "pass")]
    [InlineData("seat=10.2..10.4", 1, "fail")]
    [InlineData("seat=10.0..10.4", 4, "hold")]
    [InlineData("block-force=..1800", 1, "fail")]
    public async Task A_stroke_is_judged_by_the_limits_that_are_typed(string limit, int exit, string verdict)
    {
        using var place = new Folder();
        Write(place["stroke.csv"]);
        var said = await Typed.Words("checks", "judge", "press", place["stroke.csv"], "--limit", limit, "--json");

        Assert.Equal((exit, verdict), (said.Exit, said.Json.GetProperty("verdict").GetString()));
        said.HasFields("verdict", "features", "reading");
    }

    // The demo's rotor goes in with 100 to 400 N; this stroke ends at 3 kN.
    [Fact]
    public async Task A_reading_of_the_route_limits_the_largest_force()
    {
        using var place = new Folder();
        Write(place["stroke.csv"]);
        var said = await Typed.Words("checks", "judge", "press", place["stroke.csv"], "--product", "af-85", "--reading", "insertion-force", "--json");

        Assert.Equal(1, said.Exit);
        var force = said.Json.GetProperty("features").EnumerateArray().First(f => f.GetProperty("id").GetString() == "block-force");
        Assert.Equal((100, 400), (force.GetProperty("lower").GetDouble(), force.GetProperty("upper").GetDouble()));
        (await Typed.Words("checks", "judge", "press", place["stroke.csv"], "--product", "af-85", "--reading", "force")).IsWrong("--reading: found 'force', expected a reading with limits in the route of af-85");
        (await Typed.Words("checks", "judge", "press", place["stroke.csv"], "--reading", "insertion-force")).IsWrong("--product: found nothing");
        (await Typed.Words("checks", "judge", "press", place["stroke.csv"], "--product", "af-85", "--reading", "weight")).IsWrong("weight: found unit 'g', expected 'N'");
    }

    [Fact]
    public async Task Without_a_limit_nothing_is_judged_and_it_says_so()
    {
        using var place = new Folder();
        Write(place["stroke.csv"]);
        var said = await Typed.Words("checks", "judge", "press", place["stroke.csv"], "--json");
        Assert.Equal("No limit was given: nothing was judged.", said.Json.GetProperty("warnings")[0].GetString());
    }

    [Theory]
    [InlineData("--limit", "seat=10.1..9.9", "--limit: found 'seat=10.1..9.9', expected FEATURE=LOWER..UPPER")]
    [InlineData("--limit", "sit=9..10", "--limit: found 'sit', expected one of touch, ")]
    [InlineData("--limit", "seat=9,9..10", "--limit: found 'seat=9,9..10'")]
    [InlineData("--band", "5..7", "--band: found '5..7'")]
    public async Task What_cannot_be_understood_is_said(string option, string words, string sentence)
    {
        using var place = new Folder();
        Write(place["stroke.csv"]);
        (await Typed.Words("checks", "judge", "press", place["stroke.csv"], option, words)).IsWrong(sentence);
    }

    /// <summary>Touch at 2 mm, 120 N/mm, seat at 10 mm, 20 kN/mm behind it.</summary>
    static void Write(string file) => File.WriteAllLines(file, Enumerable.Range(0, 506).Select(i => 0.02 * i)
        .Select(x => Invariant($"{x:F3},{(x < 2 ? 0 : 150 + 120 * (Math.Min(x, 10) - 2) + 20_000 * Math.Max(0, x - 10)) + 3 * Math.Sin(50 * x * x):F2}")).Prepend("distance_mm,force_n"));
}
