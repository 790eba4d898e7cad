namespace Roadproof.Engineering.Checks;

/// <summary>What a pressure-decay test is read and judged by.</summary>
public sealed record LeakTest
{
    /// <summary>Gas volume under test with hoses and tester; best from a calibration with a known leak (<see cref="VolumeCalibration"/>).</summary>
    public required double VolumeM3 { get; init; }
    public double VolumeUncertaintyM3 { get; init; }

    /// <summary>Nominal test pressure above the atmosphere, Pa; below zero for a vacuum.</summary>
    public required double TestPressurePa { get; init; }

    /// <summary>How far the pressure may be from nominal for the limit to hold, as a share: a leak follows its pressure.</summary>
    public double TestPressureShare { get; init; } = 0.1;

    /// <summary>Largest leak, cm³/min at <see cref="Reference"/>.</summary>
    public required FeatureWindow Limit { get; init; }
    public GasConditions Reference { get; init; } = GasConditions.Room;

    /// <summary>Atmosphere at the test, Pa; part of the temperature correction only.</summary>
    public double AtmospherePa { get; init; } = LeakRate.StandardPressurePa;

    /// <summary>Standard uncertainty of the pressure gauge's gain, as a share.</summary>
    public double PressureGainShare { get; init; } = 0.002;

    /// <summary>Smallest step that the pressure gauge shows, Pa.</summary>
    public double PressureStepPa { get; init; }

    /// <summary>Standard uncertainty of the gas's change of temperature over the measurement beside what the part's sensor says, K: gas and wall are not one. Common practice, no source.</summary>
    public double GasBesidePartK { get; init; } = 0.05;

    /// <summary>The same where no temperature of the part was recorded, K. Common practice, no source.</summary>
    public double UnknownChangeK { get; init; } = 0.2;

    /// <summary>Where the tester says that measuring begins and ends, s; searched in the curve where it does not.</summary>
    public double? FromS { get; init; }
    public double? ToS { get; init; }

    /// <summary>Shortest measurement that is judged, s.</summary>
    public double LeastS { get; init; } = 5;
}

/// <summary>A recorded hold of pressure.</summary>
/// <param name="TimeS">Strictly rising, shape [n].</param>
/// <param name="AbsolutePa">Absolute pressure of the gas, shape [n].</param>
/// <param name="PartC">Temperature of the part's wall, shape [n]; null where not recorded.</param>
/// <param name="RoomC">Of the air around it, shape [n]; null where not recorded.</param>
public sealed record LeakCurve(double[] TimeS, double[] AbsolutePa, double[]? PartC, double[]? RoomC);
