namespace Roadproof.Engineering.Quantities;

/// <summary>The conditions that every reading is carried to before it is compared.</summary>
/// <remarks>20 °C is the reference temperature of the winding and of the magnets (common practice, no source; resistance is tabulated at 20 °C in IEC 60228).</remarks>
public static class ReferenceConditions
{
    public const double TemperatureC = 20;
    public const double RadPerSPerRpm = Math.PI / 30;
}
