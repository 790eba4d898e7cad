using Roadproof.Engineering.Formats;
using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Road;
using Roadproof.Engineering.Statistics;
using static Roadproof.Engineering.Tests.Formats.RideText;

namespace Roadproof.Engineering.Tests.Properties;

public sealed class RangeOnRoadTests
{
    static readonly Ride Flat = Read(Csv(Steady(1200, 5.5, 0)));

    static RangeOnRoad Of(Ride ride, RiderDoubt? doubt = null) => RangeOnRoad.Of(ride, Rider.Default, MidDrive.Unit, UnitOnRoadOptions.Default, doubt);

    /// <summary>On a level road without wind the work is air and tyres, which the power balance gives by hand: half and half with the motor, over its efficiency.</summary>
    [Fact]
    public void Energy_of_a_level_road_is_its_power_over_speed()
    {
        var range = Of(Flat);
        var road = RoadPower.Of(5.5, 0, new RoadResistance { MassKg = 105, CdaM2 = 0.5, RollingCoefficient = 0.007, WheelRadiusM = Rider.Default.WheelRadiusM }, AirDensity.KgPerM3(100), 0, 0).TotalW;
        var motorWhPerKm = road * 0.6 / 5.5 / 3.6;
        Assert.InRange(range.WhPerKm, motorWhPerKm / 0.85, motorWhPerKm / 0.65);
        Assert.Equal(500 / range.WhPerKm, range.RangeKm!.Value, 9);
        Assert.Equal(500 / range.WhPerKmInterval.Upper, range.RangeKmInterval!.Lower, 9);
    }

    [Fact]
    public void On_the_level_it_is_the_wind_and_on_a_climb_no_longer()
    {
        Assert.Equal("wind", Of(Flat).MostFrom);
        Assert.NotEqual("wind", Of(Read(Csv(Steady(1200, 3, 0.08)))).MostFrom);
    }

    [Fact]
    public void Without_a_doubt_there_is_no_interval()
    {
        var sure = Of(Flat, new() { MassKg = 0, DragShare = 0, RollingShare = 0, WindMps = 0, AssistanceShare = 0 });
        Assert.Equal(sure.WhPerKm, sure.WhPerKmInterval.Lower, 12);
        Assert.Equal(sure.WhPerKm, sure.WhPerKmInterval.Upper, 12);
    }

    /// <summary>The linear interval against drawn riders and days: 95 of a hundred lie in it.</summary>
    [Fact]
    public void The_interval_holds_as_many_as_it_says()
    {
        var (doubt, noise) = (new RiderDoubt(), new SeededNoise(3, "riders and days"));
        var hilly = Read(Csv(Steady(900, 4.5, 0.02)));
        var range = Of(hilly);
        var held = 0;
        const int draws = 400;
        for (var n = 0; n < draws; n++)
        {
            var rider = Rider.Default with
            {
                RiderMassKg = Rider.Default.RiderMassKg + doubt.MassKg * noise.Normal(), CdaM2 = Rider.Default.CdaM2 * (1 + doubt.DragShare * noise.Normal()),
                RollingCoefficient = Rider.Default.RollingCoefficient * (1 + doubt.RollingShare * noise.Normal()), AssistanceFactor = Rider.Default.AssistanceFactor * (1 + doubt.AssistanceShare * noise.Normal()),
            };
            var load = RoadLoad.Run(hilly, rider, MidDrive.Unit, new RoadLoadOptions { Wind = new() { HeadwindMps = doubt.WindMps * noise.Normal() }, UseRecordedPower = false });
            var energy = new RoadRunner(MidDrive.Unit, Engineering.Drive.Deviation.None, new() { Battery = new() { EnergyWh = 5000, ChargeAtStart = 0.6 } }).Run(load, rider).WhPerKm;
            if (energy >= range.WhPerKmInterval.Lower && energy <= range.WhPerKmInterval.Upper) held++;
        }

        Assert.InRange(held, 0.91 * draws, 0.985 * draws);
    }

    [Fact]
    public void A_ride_without_a_road_has_no_range() =>
        Assert.Throws<InputException>(() => Of(Read("time,power,cadence [rpm]\n" + string.Concat(Enumerable.Range(0, 60).Select(s => $"{s},150,80\n")))));
}
