using System.Net;
using Roadproof.App.Frame;
using Roadproof.App.Road;
using Roadproof.Engineering.Life;
using Roadproof.Records.Definitions;
using Roadproof.Records.Rides;

namespace Roadproof.App.Tests.Pages;

/// <summary>The road's page rendered whole, in the states that a plant of a few rides does not show.</summary>
public sealed class RoadSheetTests
{
    static readonly IReadOnlyList<RouteRevision> Products = [DemoFolder.Read(DemoFolder.Files)];
    static readonly RoadSettings Settings = RoadSettings.UsualFor("af-85");

    static RideFacts Facts(int i) => new() { Id = FormattableString.Invariant($"{i:x16}"), Name = $"ride-{i}.gpx", Format = "GPX track", DistanceM = 10_000, AscentM = 80, ElapsedS = 1800, WayFrom = "positions", KeptAt = SampleUnits.Now };

    static RideFigures Figures(int i) => new(Facts(i).Id, true, 10_000, 1800, 5.6, 1e5, 1.2e5, 1.6e5, 4.4, 61, 55, []);

    static Task<string> Page(int rides, int done, int from = 0, IReadOnlyList<ElementLife>? elements = null, string? broken = null)
    {
        var facts = Enumerable.Range(1, rides).Select(Facts).ToList();
        var state = new RoadState(rides, done, Enumerable.Range(1, done).Select(Figures).ToDictionary(f => f.Ride, StringComparer.Ordinal), null, elements, broken);
        return PageText.Document<Layout, RoadSheet>("/road", ("View", new RoadView(Products, Settings, [], facts, state, AskRoad.Run(Settings, Products, state, facts), from, null, null)), ("Now", SampleUnits.Now));
    }

    static ElementLife Element(string name, double lifeKm, double lowerKm, double upperKm) =>
        new(name, name, Ending.ToothRoot, 9, 100 / lifeKm, new(100 / upperKm, 100 / lowerKm, 0.95), 100_000, "a test");

    [Fact]
    public async Task Two_thousand_rides_are_a_page_of_fifty_with_the_sums_so_far()
    {
        var page = await Page(2000, 430, from: 100);
        Assert.Contains("430 of 2000 rides worked out", page, StringComparison.Ordinal);
        Assert.Contains("101 to 150 of 2000", page, StringComparison.Ordinal);
        Assert.Contains("ride-1900.gpx", page, StringComparison.Ordinal);
        Assert.DoesNotContain("ride-1850.gpx", page, StringComparison.Ordinal);
        Assert.Contains("4300<small>km</small>", page, StringComparison.Ordinal);
        Assert.Contains("34\u202F400<small>m</small>", WebUtility.HtmlDecode(page), StringComparison.Ordinal);
        Assert.Contains("160<small>km</small>", await Page(2000, 2000), StringComparison.Ordinal);
        Assert.InRange(page.Length, 10_000, 80_000);
    }

    [Fact]
    public async Task A_life_says_beyond_short_or_cannot_tell_by_its_whole_interval()
    {
        var page = await Page(2, 2, elements: [Element("short wheel", 8_000, 3_000, 15_000), Element("middling wheel", 30_000, 9_000, 90_000), Element("long wheel", 80_000, 40_000, 160_000)]);
        Assert.Contains("short wheel goes first, after about 8000 km: short of the 20\u202F000 km that are aimed at.", WebUtility.HtmlDecode(page), StringComparison.Ordinal);
        foreach (var (name, word) in new[] { ("short", "short of it"), ("middling", "cannot tell"), ("long", "beyond it") })
            Assert.Contains(word, page.Split($"data-key=\"{name} wheel\"")[1].Split("</tr>")[0], StringComparison.Ordinal);
        Assert.Contains("An estimate from 2 rides over 20 km", page, StringComparison.Ordinal);
        Assert.Contains("It permits nothing", page, StringComparison.Ordinal);
    }

    [Fact]
    public async Task What_broke_with_us_is_said_and_the_rest_of_the_page_stands()
    {
        var page = await Page(3, 1, broken: "Bug in Roadproof: a sum.");
        Assert.Contains("role=\"alert\">Bug in Roadproof: a sum.", page, StringComparison.Ordinal);
        Assert.Contains("ride-3.gpx", page, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Starts_cut_offs_and_swings_stand_for_a_thousand_kilometres_and_for_one_ride()
    {
        using var stream = new MemoryStream(System.Text.Encoding.UTF8.GetBytes(Commands.RoadCommandTests.HandMade(3, 4)));
        var ride = Engineering.Formats.RideFile.Read("hand-made.csv", stream);
        var spectrum = new RideOnUnit(Products[0].LoadTest.Unit, Settings).Count("a", ride, TestContext.Current.CancellationToken).Spectrum!;
        var page = WebUtility.HtmlDecode(await PageText.Document<Layout, RoadEvents>("/road", ("Spectrum", spectrum), ("Per", 1e6 / spectrum.DistanceM), ("Of", "in 1000 km of such rides")));
        var perThousand = spectrum.CutOffs * 1e6 / spectrum.DistanceM;
        Assert.Equal(4, spectrum.CutOffs);
        Assert.Contains($"<dt>Cut-offs at the speed limit</dt><dd class=\"hero\">{Figure.Count((long)Math.Round(perThousand))}</dd>", page, StringComparison.Ordinal);
        Assert.Contains($"beyond 25 km/h while pedalled; 4 in all", page, StringComparison.Ordinal);
        Assert.Equal(2, page.Split("<figure").Length - 1);
        Assert.Contains("Temperature swings of the controller by range and mean: most often a range of about", page, StringComparison.Ordinal);
        Assert.Contains("mean, °C", page, StringComparison.Ordinal);
        Assert.DoesNotContain("NaN", page, StringComparison.Ordinal);

        var one = await PageText.Document<Layout, RoadEvents>("/road", ("Spectrum", spectrum));
        Assert.DoesNotContain("in all", one, StringComparison.Ordinal);
        Assert.Contains("swings in this ride", one, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(412_345, "410 000 km")]
    [InlineData(8_049, "8000 km")]
    [InlineData(34, "34 km")]
    [InlineData(0.4, "< 1 km")]
    [InlineData(double.PositiveInfinity, "> 10 million km")]
    public void A_life_has_two_digits(double km, string said) => Assert.Equal(said, ElementWords.Km(1000 * km).Replace('\u202F', ' '));

    [Fact]
    public void The_word_beside_the_target_is_pass_only_where_the_whole_interval_is_beyond()
    {
        Assert.Equal("pass", ElementWords.Beside(new(20e6, 9e7, 0.95), 20_000)!.Mark);
        Assert.Equal("undecided", ElementWords.Beside(new(19.9e6, 9e7, 0.95), 20_000)!.Mark);
        Assert.Equal("fail", ElementWords.Beside(new(1e6, 19.9e6, 0.95), 20_000)!.Mark);
        Assert.Null(ElementWords.Beside(new(1e6, 2e6, 0.95), null));
    }
}
