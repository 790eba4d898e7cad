namespace Roadproof.Engineering.LoadTest;

/// <summary>What a rig read at one load point, as means over its steady window; rig's instruments unless the name says reported.</summary>
/// <param name="Point">Id of the load point.</param>
/// <param name="AtS">Middle of the window, seconds since the start of the run.</param>
/// <param name="DriveTorqueNm">Output torque less the crank's share.</param>
/// <param name="Fast">Means of the fast channels; null where the point has none or the rig has no such instruments.</param>
public sealed record MeasuredPoint(
    string Point, double AtS, double BusV, double BusA, double DriveTorqueNm, double OutputRadPerS,
    double WindingC, double ReportedCurrentA, FastMeans? Fast)
{
    /// <summary>Drive torque that went into the rotor and what turns with the output while the speed rose over the window, N·m at the output; below 0 while it fell.</summary>
    public double InertiaNm { get; init; }
    /// <summary>What the window's own signals say of the noise in these means; null where no signal was read.</summary>
    public WindowNoise? Noise { get; init; }
}

/// <summary>Standard uncertainties that noise leaves in the means of one window, as the window itself shows them; NaN where it cannot.</summary>
public sealed record WindowNoise(double BusV, double BusA, double DriveTorqueNm, double ReportedCurrentA, double IdA, double IqA, double VdV, double VqV);

/// <summary>Means of phase currents and voltages over the same window, amplitude-invariant, in the frame of the rotor angle that the controller
/// reports.</summary>
/// <param name="VdV">NaN without phase voltages.</param>
/// <param name="VqV">NaN without phase voltages.</param>
public sealed record FastMeans(double ElectricalRadPerS, double IdA, double IqA, double VdV, double VqV)
{
    public double PhaseCurrentPeakA => Math.Sqrt(IdA * IdA + IqA * IqA);
    public bool HasVoltages => !double.IsNaN(VdV) && !double.IsNaN(VqV);
}

/// <summary>What a rig read over one run, ready to be carried to reference conditions.</summary>
/// <param name="Start">Temperatures when the run began.</param>
/// <param name="ShellAtRestC">When the crank torque sensor's zero was read.</param>
/// <param name="WindingRiseK">From the first second of the run to the last second of its last load point.</param>
/// <param name="Direct">Readings that need no correction, by characteristic id: vibration, ripple, reaction times, quiescent current …</param>
/// <param name="HeldS">How long each load point of the cycle was held, by its id, s.</param>
public sealed record MeasuredRun(
    IReadOnlyList<MeasuredPoint> Points, StartTemperatures Start, double ShellAtRestC, double WindingRiseK, double ControllerRiseK, IReadOnlyDictionary<string, DirectReading> Direct,
    IReadOnlyDictionary<string, double> HeldS, SampleRates Rates)
{
    /// <summary>Added to the magnets' temperature, which is estimated; to see what its uncertainty does, K.</summary>
    public double MagnetErrorK { get; init; }

    /// <summary>The same for the grease, K.</summary>
    public double GreaseErrorK { get; init; }

    /// <summary>How long the unit had stood when the run began, h; null where nobody knows.</summary>
    public double? IdleH { get; init; } = 0;

    /// <summary>Added to how far the grease had settled, to see what its uncertainty does.</summary>
    public double SettledError { get; init; }

    public RunKind Kind => new(Rates, IdleH is not null);
}

/// <summary>What decides how sure a run's readings are, whichever unit it is of.</summary>
/// <param name="IdleIsKnown">How long the unit had stood is known, or does not matter to it.</param>
public sealed record RunKind(SampleRates Rates, bool IdleIsKnown)
{
    public static implicit operator RunKind(SampleRates rates) => new(rates, true);
}

/// <summary>Temperatures at the start of a run, °C.</summary>
public sealed record StartTemperatures(double WindingC, double ControllerC, double ShellC, double AmbientC);

/// <summary>A reading that is compared as it stands.</summary>
/// <param name="StandardUncertainty">From noise and resolution; rig terms are added where the gauges name them.</param>
/// <param name="AtLeast">The true value is this or more: a unit can fail by it, but not pass.</param>
public sealed record DirectReading(double Value, double StandardUncertainty, bool AtLeast = false);
