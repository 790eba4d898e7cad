using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.WebUtilities;
using Roadproof.App.Road;
using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Road;
using Roadproof.Records.Definitions;

namespace Roadproof.App.Tests.Pages;

/// <summary>Settings stand in an address, so that a figure can be handed on: what is written is read again.</summary>
public sealed class RoadSettingsTests
{
    static readonly IReadOnlyList<RouteRevision> Products = [DemoFolder.Read(DemoFolder.Files)];

    static RoadSettings Read(string query) => RoadSettings.Read(new QueryCollection(QueryHelpers.ParseQuery(query)), Products);

    [Fact]
    public void As_usual_nothing_but_the_product_stands_there()
    {
        Assert.Equal("product=af-85", Read("").Query);
        Assert.False(Read("riderMassKg=90").HasFoldedChanges);
        Assert.Equal("product=af-85", Read("cadenceRpm=75&sprockets=11-13-15-17-20-23-26-30-34-40-46&hub=1&batteryWh=500&headwindMps=0").Query);
    }

    [Theory]
    [InlineData("product=af-85&riderMassKg=95.5&assist=3"), InlineData("product=af-85&cadenceRpm=82&chainring=44"), InlineData("product=af-85&sprockets=20&hub=0.53-0.75-1-1.36"), InlineData("product=af-85&sprockets=20&hub=0.5..1.9")]
    [InlineData("product=af-85&batteryWh=750&motorFollows=0.6&headwindMps=-2&ambientC=31&meter=rider")]
    public void What_is_written_is_read_again(string query)
    {
        var settings = Read(query);
        Assert.Equal(query, settings.Query);
        Assert.Equal(settings.Query, Read(settings.Query).Query);
    }

    [Fact]
    public void Gears_and_day_reach_the_ride()
    {
        var settings = Read("chainring=40&sprockets=20,16&hub=0.75 1&headwindMps=3&batteryWh=300&ambientC=-5&motorFollows=0.2");
        Assert.Equal([1.5, 1.875, 2, 2.5], settings.Rider.Gearing.Ratios);
        Assert.Equal(new Wind { HeadwindMps = 3 }, settings.Day.Wind);
        Assert.Equal((300, -5, 0.2), (settings.Day.Battery.EnergyWh, settings.Day.AmbientC!.Value, settings.Day.Pulsation.MotorFollows));
        Assert.Equal((-5, 3), (settings.Day.Road.AirTemperatureC!.Value, settings.Day.Road.Wind.HeadwindMps));
        Assert.True(settings.HasFoldedChanges);
    }

    [Fact]
    public void Everything_that_cannot_be_is_told_at_once()
    {
        var errors = Assert.Throws<InputException>(() => Read("product=none&riderMassKg=heavy&cadenceRpm=400&chainring=7.5&sprockets=x&hub=..&batteryWh=0&motorFollows=2&headwindMps=99&ambientC=200")).Errors;
        Assert.Equal(["ambientC", "cadenceRadPerS", "chainring", "energyWh", "headwindMps", "hub", "motorFollows", "product", "riderMassKg", "sprockets"], errors.Select(e => e.Column).Order(StringComparer.Ordinal));
        Assert.All(errors, e => Assert.Equal("settings", e.Source));
    }
}
