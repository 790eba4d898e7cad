using Roadproof.Engineering.Quantities;

namespace Roadproof.Engineering.Checks;

/// <summary>Resistance of copper against temperature.</summary>
/// <remarks>R₂/R₁ = (235 + ϑ₂)/(235 + ϑ₁). Source: IEC 60034-1, resistance method (235 seen in public test notes, clause from memory).</remarks>
public static class Copper
{
    const double ZeroC = 235;

    public static double At20(double ohm, double windingC) => ohm * (ZeroC + ReferenceConditions.TemperatureC) / (ZeroC + windingC);

    /// <summary>Share by which the value at 20 °C falls for each kelvin of the reading.</summary>
    public static double SharePerK(double windingC) => 1 / (ZeroC + windingC);
}
