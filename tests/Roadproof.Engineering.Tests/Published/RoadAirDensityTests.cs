using Roadproof.Engineering.Road;

namespace Roadproof.Engineering.Tests.Published;

/// <summary>Source: ISO 2533:1975, table by geopotential height (checks 9-1 to 9-3: seen in public tests and recomputed; the paid text was not read).</summary>
public sealed class RoadAirDensityTests
{
    [Theory]
    [InlineData(-500, 291.400, 107477.51, 1.284891, 342.2077)]
    [InlineData(0, 288.150, 101325.00, 1.225000, 340.2940)]
    [InlineData(1000, 281.650, 89874.56, 1.111643, 336.4340)]
    [InlineData(2000, 275.150, 79495.20, 1.006490, 332.5292)]
    [InlineData(3000, 268.650, 70108.53, 0.909122, 328.5779)]
    [InlineData(5000, 255.650, 54019.89, 0.736116, 320.5294)]
    [InlineData(11000, 216.650, 22632.04, 0.363918, 295.0695)]
    public void Gives_the_standard_atmosphere(double geopotentialM, double temperatureK, double pressurePa, double densityKgPerM3, double soundMps)
    {
        var air = AirDensity.Standard(geopotentialM);
        Assert.Equal(temperatureK, air.TemperatureK, 1e-3);
        Assert.Equal(pressurePa, air.PressurePa, 0.01);
        Assert.Equal(densityKgPerM3, air.DensityKgPerM3, 1e-6);
        Assert.Equal(soundMps, air.SoundMps, 1e-4);
    }

    // Ideal gas: at the same pressure density goes with 1/T.
    [Fact]
    public void Warm_air_is_thin_by_its_absolute_temperature() =>
        Assert.Equal(1.225 * 288.15 / 303.15, AirDensity.KgPerM3(0, temperatureC: 30), 1e-6);

    // Same standard, height to geopotential height at 11,019.1 m: 11,000 m (from memory).
    [Fact]
    public void Height_above_the_sea_is_a_little_more_than_geopotential_height() => Assert.Equal(11000, AirDensity.GeopotentialM(11019.1), 0.1);

    [Theory]
    [InlineData(-2001), InlineData(11001), InlineData(double.NaN)]
    public void Refuses_heights_of_another_layer(double geopotentialM) =>
        Assert.Contains("11,000 m", Assert.Throws<ArgumentOutOfRangeException>(() => AirDensity.Standard(geopotentialM)).Message);
}
