using System.Globalization;
using Roadproof.Engineering.Statistics;

namespace Roadproof.Plant.Rigs;

/// <summary>What surrounds one load-test run; together with plan, unit and rig it fixes every sample.</summary>
public sealed record RunConditions
{
    /// <summary>The unit's own number: what is drawn once per unit (vibration, reaction times, its own sensors) stays over all its runs.</summary>
    public required ulong UnitSeed { get; init; }

    /// <summary>Counted from 1; another attempt of the same unit has other noise.</summary>
    public int Attempt { get; init; } = 1;

    public double AmbientC { get; init; } = 20;

    /// <summary>Temperature of the whole unit when the run starts.</summary>
    public double UnitStartC { get; init; } = 20;

    /// <summary>How long the unit had stood when the run starts, h.</summary>
    public double IdleH { get; init; }

    /// <summary>A fault of the controller's program: a brake that is let go counts as a wish to ride, and the motor starts although nobody pedals.</summary>
    public bool StartsByItself { get; init; }

    /// <summary>A stream of this unit's this run; another attempt has another.</summary>
    internal SeededNoise NoiseOfRun(string purpose) => new(UnitSeed, string.Create(CultureInfo.InvariantCulture, $"attempt {Attempt} {purpose}"));
}
