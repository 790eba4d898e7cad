using Roadproof.Engineering.Signals;

namespace Roadproof.Engineering.Checks;

/// <summary>What a grease dose is read and judged by.</summary>
public sealed record GreaseTest
{
    /// <summary>By feature id (<see cref="GreaseVerdict"/>).</summary>
    public required IReadOnlyDictionary<string, FeatureWindow> Limits { get; init; }

    /// <summary>Standard uncertainty of one reading of the scale, g: step, repeatability, linearity.</summary>
    public double ScaleUncertaintyG { get; init; } = 0.02;

    /// <summary>What the dispenser gives at <see cref="NominalPa"/>, g/s, by weighed shots; needed to read a dose from pressure over time.</summary>
    public Reading? FlowGPerS { get; init; }
    public double NominalPa { get; init; } = 2e6;

    /// <summary>Exponent of the power law of flow, shear stress = K·rate^n; 1 is an oil, soft greases lie near 0.4. Common practice, no source: fit it to shots at two pressures.</summary>
    public double FlowIndex { get; init; } = 0.4;

    /// <summary>Standard uncertainty of the pressure gauge's gain, as a share.</summary>
    public double PressureGainShare { get; init; } = 0.005;
}

/// <summary>A unit weighed before and after, as often as it was.</summary>
public sealed record GreaseWeighings(double[] BeforeG, double[] AfterG);

/// <summary>A shot's pressure at the nozzle over time.</summary>
/// <param name="TimeS">Strictly rising, shape [n].</param>
/// <param name="GaugePa">Above the atmosphere, shape [n].</param>
public sealed record GreaseShot(double[] TimeS, double[] GaugePa);
