using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Road;
using static Roadproof.Engineering.Tests.Formats.RideText;

namespace Roadproof.Engineering.Tests.Properties;

public sealed class GearingTests
{
    static readonly DriveUnit Unit = MidDrive.Unit;

    static double CadenceRpm(Gearing gearing, double speedMps) =>
        RoadLoad.Run(Read(Gpx(Steady(200, speedMps, 0.02))), Rider.Default with { Gearing = gearing }, Unit).CadenceRadPerS[100] * 30 / Math.PI;

    /// <summary>A cassette before a hub has every product of the two, from the easiest to the hardest.</summary>
    [Fact]
    public void Sprockets_and_hub_ratios_multiply()
    {
        var gearing = new Gearing { ChainringTeeth = 40, SprocketTeeth = [20, 16], HubRatios = [0.75, 1, 1.25] };
        Assert.Equal([1.5, 1.875, 2, 2.5, 3.125], gearing.Ratios);
    }

    /// <summary>One gear: the cadence follows the speed. v/r over chainring/sprocket; wheel radius 0.342 m.</summary>
    [Theory]
    [InlineData(3), InlineData(6)]
    public void With_one_gear_the_cadence_follows_the_speed(double speedMps) =>
        Assert.Equal(speedMps / 0.342 / 2 * 30 / Math.PI, CadenceRpm(new() { ChainringTeeth = 40, SprocketTeeth = [20] }, speedMps), 0.3);

    /// <summary>Without steps the rider keeps 75 turns per minute as far as the hub reaches, and follows the speed beyond.</summary>
    [Fact]
    public void A_hub_without_steps_keeps_the_cadence_within_its_range()
    {
        var hub = new Gearing { ChainringTeeth = 40, SprocketTeeth = [20], HubRatios = [0.5, 1.9], HubWithoutSteps = true };
        Assert.Equal(75, CadenceRpm(hub, 4), 0.1);
        Assert.Equal(75, CadenceRpm(hub, 8), 0.1);
        Assert.Equal(2 / 0.342 / 1.0 * 30 / Math.PI, CadenceRpm(hub, 2), 0.3);
        Assert.Equal(12 / 0.342 / 3.8 * 30 / Math.PI, CadenceRpm(hub, 12), 0.3);
    }

    [Fact]
    public void Gears_that_cannot_be_are_told_at_once()
    {
        var gearing = new Gearing { ChainringTeeth = 4, SprocketTeeth = [11, 200], HubRatios = [0, 1, 2], HubWithoutSteps = true };
        var errors = Assert.Throws<InputException>(() => CadenceRpm(gearing, 5)).Errors;
        Assert.Equal(["chainring", "hub", "hub", "sprockets", "sprockets"], errors.Select(e => e.Column).Order(StringComparer.Ordinal));
        Assert.Throws<InputException>(() => CadenceRpm(new() { SprocketTeeth = [] }, 5));
        Assert.Throws<InputException>(() => CadenceRpm(new() { HubRatios = [] }, 5));
    }
}
