using CsCheck;
using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Formats;
using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Road;
using static Roadproof.Engineering.Tests.Formats.RideText;

namespace Roadproof.Engineering.Tests.Properties;

/// <summary>A wind out of one direction is a headwind where the way leads into it, a tailwind where it leads away, and nothing across.</summary>
public sealed class WindTests
{
    static readonly DriveUnit Unit = MidDrive.Unit;

    static RoadLoad Ridden(Ride ride, Wind wind) => RoadLoad.Run(ride, Rider.Default, Unit, new RoadLoadOptions { AirTemperatureC = 15, Wind = wind });

    static double MeanW(RoadLoad load) => Enumerable.Range(100, 300).Average(i => load.TotalTorqueNm[i] * load.CadenceRadPerS[i]);

    // The rides of RideText lead north along a meridian.
    [Theory]
    [InlineData(0, 1), InlineData(180, -1), InlineData(90, 0), InlineData(270, 0), InlineData(60, 0.5), InlineData(300, 0.5), InlineData(360, 1)]
    public void A_wind_out_of_a_direction_is_its_part_along_the_way(double fromDeg, double share)
    {
        var ride = Read(Gpx(Steady(600, 6, 0.0)));
        var along = Ridden(ride, new() { StationMps = 5, FromDeg = fromDeg, ShareAtRider = 0.4 });
        Assert.Equal(MeanW(Ridden(ride, new() { HeadwindMps = 0.4 * 5 * share })), MeanW(along), 0.02);
    }

    /// <summary>The balance itself tells what a headwind costs (Martin et al. 1998; its source stands in RoadPowerTests).</summary>
    [Fact]
    public void A_headwind_costs_what_the_balance_says() => Gen.Select(Gen.Double[4, 8], Gen.Double[-3, 6]).Sample((speedMps, headwindMps) =>
    {
        var load = Ridden(Read(Gpx(Steady(600, speedMps, 0.03))), new() { HeadwindMps = headwindMps });
        var density = AirDensity.KgPerM3(100 + (300 * speedMps * 0.03), 15);
        Assert.Equal(RoadPower.At(speedMps, 0.03, new RoadResistance { MassKg = 105, DensityKgPerM3 = density }, headwindMps: headwindMps).TotalW, MeanW(load), 1.5);
    }, iter: 20, seed: "0000KOIbNaN4");

    /// <summary>On a way there and back no steady wind helps: the air's drag is a square.</summary>
    [Fact]
    public void A_wind_costs_more_on_the_way_out_than_it_gives_back()
    {
        var thereAndBack = Read(Gpx(Enumerable.Range(0, 1201).Select(s => new Point(s, 6 * (s <= 600 ? s : 1200 - s), 100))));
        var (still, windy) = (Ridden(thereAndBack, Wind.AsRecorded), Ridden(thereAndBack, new() { StationMps = 6, FromDeg = 10 }));
        var (out1, back1) = (MeanW(windy), Enumerable.Range(700, 300).Average(i => windy.TotalTorqueNm[i] * windy.CadenceRadPerS[i]));
        Assert.True(out1 > MeanW(still) && back1 < MeanW(still));
        Assert.True((out1 + back1) / 2 > MeanW(still));
    }

    [Fact]
    public void A_wind_with_a_direction_needs_positions()
    {
        var counted = Read("time,distance [m],speed [m/s]\n" + string.Concat(Enumerable.Range(0, 60).Select(s => $"{s},{6 * s},6\n")));
        Assert.Contains("without positions", Assert.Throws<InputException>(() => Ridden(counted, new() { StationMps = 5, FromDeg = 90 })).Message, StringComparison.Ordinal);
        Assert.NotEqual(MeanOf(Ridden(counted, Wind.AsRecorded)), MeanOf(Ridden(counted, new() { HeadwindMps = 2 })));

        static double MeanOf(RoadLoad load) => load.TotalTorqueNm.Average();
    }

    /// <summary>Northwards at 6 m/s, with what stands in the columns of the wind from each second on.</summary>
    static Ride Table(string header, Func<int, string> wind, bool positions = true) => Read(
        $"time,{(positions ? "lat,lon" : "speed [m/s],distance")},altitude,{header}\n" + string.Concat(Enumerable.Range(0, 601).Select(s =>
            FormattableString.Invariant($"{s},{(positions ? 50 + (6 * s / 111_229.0) : 6)},{(positions ? 8 : 6 * s)},100,{wind(s)}\n"))));

    [Theory]
    [InlineData("Wind speed,Wind Direction", "18,SSW", 5, 202.5), InlineData("wind_speed [m/s],wind_from", "5,202.5", 5, 202.5), InlineData("wind speed (km/h),wind direction", "36,n", 10, 0)]
    public void A_table_tells_its_own_wind(string header, string cells, double stationMps, double fromDeg)
    {
        var ride = Table(header, _ => cells);
        Assert.Empty(ride.UnusedColumns);
        var (own, told) = (Ridden(ride, Wind.AsRecorded), Ridden(ride, new() { StationMps = stationMps, FromDeg = fromDeg }));
        Assert.Equal(told.TotalTorqueNm, own.TotalTorqueNm);
        Assert.Contains(own.Warnings, w => w.Contains("The wind is the file's own", StringComparison.Ordinal));
        Assert.NotEqual(MeanW(Ridden(ride, new() { StationMps = 0 })), MeanW(own), 1.0);
    }

    /// <summary>Weather is written now and then: it stands until the next, and a person's own word goes before it.</summary>
    [Fact]
    public void A_wind_stands_until_the_next_is_told()
    {
        var turning = Table("wind_speed [m/s],wind_direction", s => s switch { 5 => "5,N", 300 => ",S", _ => "," });
        var (from, still) = (Ridden(turning, Wind.AsRecorded), Ridden(turning, new() { StationMps = 0 }));
        Assert.Equal(Ridden(turning, new() { StationMps = 5, FromDeg = 0 }).TotalTorqueNm[20..290], from.TotalTorqueNm[20..290]);
        Assert.Equal(Ridden(turning, new() { StationMps = 5, FromDeg = 180 }).TotalTorqueNm[310..580], from.TotalTorqueNm[310..580]);
        Assert.DoesNotContain(still.Warnings, w => w.Contains("wind", StringComparison.Ordinal));
    }

    [Theory]
    [InlineData("wind_speed", "18", true, "not where from"), InlineData("wind_speed,wind_direction", "18,W", false, "no positions")]
    public void Half_a_wind_is_said_and_not_used(string header, string cells, bool positions, string said)
    {
        var ride = Table(header, _ => cells, positions);
        var load = Ridden(ride, Wind.AsRecorded);
        Assert.Contains(load.Warnings, w => w.Contains(said, StringComparison.Ordinal));
        Assert.Equal(Ridden(ride, new() { StationMps = 0 }).TotalTorqueNm, load.TotalTorqueNm);
    }

    [Theory]
    [InlineData("18,XW", "wind direction", "point of the compass"), InlineData("18,361", "wind direction", "between 0 and 360"), InlineData("-3,W", "wind speed", "between 0 and 180 km/h")]
    public void A_wind_that_cannot_be_is_refused(string cells, string column, string expected)
    {
        var error = Assert.Throws<InputException>(() => Table("wind_speed,wind_direction", s => s == 7 ? cells : "18,W")).Errors.Single();
        Assert.Equal((9, column), (error.Line, error.Column));
        Assert.Contains(expected, error.Expected, StringComparison.Ordinal);
    }

    [Fact]
    public void What_cannot_be_is_told_at_once()
    {
        var ride = Read(Gpx(Steady(60, 6, 0)));
        var errors = Assert.Throws<InputException>(() => Ridden(ride, new() { HeadwindMps = double.NaN, StationMps = -1, FromDeg = 400, ShareAtRider = 2 })).Errors;
        Assert.Equal(["headwindMps", "windMps", "windFromDeg", "windAtRider"], errors.Select(e => e.Column));
        Assert.Equal(["windFromDeg"], Assert.Throws<InputException>(() => Ridden(ride, new() { StationMps = 3 })).Errors.Select(e => e.Column));
        Assert.Equal(["windMps"], Assert.Throws<InputException>(() => Ridden(ride, new() { FromDeg = 90 })).Errors.Select(e => e.Column));
    }

    /// <summary>A fit that is told the wind finds the drag area that one without wind finds in still air.</summary>
    [Fact]
    public void A_fit_takes_the_wind_into_account()
    {
        const double headwindMps = 2;
        var rider = Rider.Default with { RiderMassKg = 75, BikeMassKg = 9, CdaM2 = 0.32, RollingCoefficient = 0.006 };
        var resistance = new RoadResistance { MassKg = 84, CdaM2 = 0.32, RollingCoefficient = 0.006, DensityKgPerM3 = AirDensity.KgPerM3(100, 15) };
        double[] speeds = [3.5, 5, 8, 10];
        List<Point> points = [];
        var alongM = 0.0;
        for (var s = 0; s <= 7200; s++)
        {
            var speedMps = speeds[s / 600 % speeds.Length];
            points.Add(new(s, alongM, 100, RoadPower.At(speedMps, 0, resistance, headwindMps: headwindMps).TotalW, 75));
            alongM += speedMps;
        }

        var fit = RiderFit.Of(Read(Gpx(points)), rider, new RoadLoadOptions { AirTemperatureC = 15, Wind = new() { HeadwindMps = headwindMps } });
        Assert.Equal(0.32, fit.CdaM2!.Value.Value, 0.01);
        Assert.Equal(0.006, fit.RollingCoefficient!.Value.Value, 0.0006);
    }
}
