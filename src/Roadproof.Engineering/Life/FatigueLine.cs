using System.Globalization;

namespace Roadproof.Engineering.Life;

/// <summary>A straight line of life over load in logarithms (S-N line), which may fall with temperature.</summary>
/// <remarks>
/// Cycles to failure N = pivot · (strength(ϑ)/load)^slope. No endurance limit and no break of the line: loads below what a test reached are carried on with the same slope, which is on the safe side.
/// The load's unit is that of the strength: Pa for a stress, N·m for a torque or its range.
/// </remarks>
public sealed record FatigueLine
{
    /// <summary>Cycles at which the strength was found.</summary>
    public required double PivotCycles { get; init; }
    public required double Slope { get; init; }

    /// <summary>The slope is known to lie between these; equal where it is held as known.</summary>
    public required double SlopeLower { get; init; }
    public required double SlopeUpper { get; init; }

    /// <summary>Strength at the pivot for a tenth failed, by temperature, rising; one entry where temperature does not matter.</summary>
    public required IReadOnlyList<StrengthAt> Strength { get; init; }

    /// <summary>How well the strength is known, as a standard uncertainty of its logarithm: 0.1 for ten percent.</summary>
    public required double StrengthUncertaintyShare { get; init; }

    /// <summary>Standard, data sheet or test that the line comes from.</summary>
    public required string Origin { get; init; }

    /// <summary>Strength at a temperature: straight between the entries, the outer ones beyond.</summary>
    public double StrengthOf(double temperatureC)
    {
        var entries = Strength;
        if (temperatureC <= entries[0].TemperatureC) return entries[0].Value;
        for (var i = 1; i < entries.Count; i++)
        {
            if (temperatureC > entries[i].TemperatureC) continue;
            var share = (temperatureC - entries[i - 1].TemperatureC) / (entries[i].TemperatureC - entries[i - 1].TemperatureC);
            return entries[i - 1].Value + share * (entries[i].Value - entries[i - 1].Value);
        }

        return entries[^1].Value;
    }

    /// <summary>Cycles until a tenth has failed.</summary>
    public double CyclesTo(double load, double temperatureC = 20) => PivotCycles * Math.Pow(StrengthOf(temperatureC) / load, Slope);

    /// <summary>The same line turned about its pivot, to a place of the slope's range.</summary>
    public FatigueLine AtSlope(double place) => this with { Slope = SlopeLower + place * (SlopeUpper - SlopeLower) };

    public override string ToString() => string.Create(CultureInfo.InvariantCulture, $"slope {Slope:0.##} ({SlopeLower:0.##} to {SlopeUpper:0.##}), {Origin}");
}

/// <summary>Strength at a temperature.</summary>
public sealed record StrengthAt
{
    public required double TemperatureC { get; init; }

    /// <summary>In the unit of the line's load: Pa or N·m.</summary>
    public required double Value { get; init; }
}
