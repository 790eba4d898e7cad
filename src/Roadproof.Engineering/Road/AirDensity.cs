namespace Roadproof.Engineering.Road;

/// <summary>The standard atmosphere at one height.</summary>
public readonly record struct StandardAir(double TemperatureK, double PressurePa, double DensityKgPerM3, double SoundMps);

/// <summary>Air density from height and temperature.</summary>
/// <remarks>Source: ISO 2533:1975, lowest layer, −2,000 to 11,000 m geopotential height (values seen in public tests; the paid text was not read).</remarks>
public static class AirDensity
{
    const double SeaLevelK = 288.15;
    const double SeaLevelPa = 101325;
    const double LapseKPerM = -0.0065;
    const double GasConstantJPerKgK = 287.05287;
    const double StandardGravityMps2 = 9.80665;
    const double HeatCapacityRatio = 1.4;
    const double EarthRadiusM = 6356766;
    const double KelvinAtZeroC = 273.15;

    /// <summary>The standard atmosphere.</summary>
    /// <param name="geopotentialM">Geopotential height; for height above sea level see <see cref="GeopotentialM"/>.</param>
    /// <exception cref="ArgumentOutOfRangeException">The height is outside the lowest layer.</exception>
    public static StandardAir Standard(double geopotentialM)
    {
        if (!(geopotentialM is >= -2000 and <= 11000))
            throw new ArgumentOutOfRangeException(nameof(geopotentialM), geopotentialM, "The lowest layer of the standard atmosphere reaches from −2,000 to 11,000 m.");

        var temperatureK = SeaLevelK + (LapseKPerM * geopotentialM);
        var pressurePa = SeaLevelPa * Math.Pow(temperatureK / SeaLevelK, -StandardGravityMps2 / (GasConstantJPerKgK * LapseKPerM));
        var density = pressurePa / (GasConstantJPerKgK * temperatureK);
        return new(temperatureK, pressurePa, density, Math.Sqrt(HeatCapacityRatio * GasConstantJPerKgK * temperatureK));
    }

    /// <summary>Density in kg/m³ at a height above sea level: standard pressure there, and the temperature of the day where it is known.</summary>
    /// <remarks>Dry air. Weather moves the pressure by about ±3 %, moisture takes at most 1 % off; both are left out.</remarks>
    public static double KgPerM3(double elevationM, double? temperatureC = null)
    {
        var air = Standard(GeopotentialM(elevationM));
        return temperatureC is { } c ? air.PressurePa / (GasConstantJPerKgK * (c + KelvinAtZeroC)) : air.DensityKgPerM3;
    }

    /// <summary>Geopotential height of a height above sea level: r·h / (r + h).</summary>
    public static double GeopotentialM(double elevationM) => EarthRadiusM * elevationM / (EarthRadiusM + elevationM);
}
