using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Signals;
using static System.FormattableString;

namespace Roadproof.Engineering.Checks;

/// <summary>A leak of known flow that is opened to the volume under test.</summary>
/// <param name="Cm3PerMin">At the reference conditions of the test, at its pressure, with its certificate's standard uncertainty.</param>
public sealed record MasterLeak(Reading Cm3PerMin);

/// <summary>Two runs on one tight part, without and with a known leak: the volume from them, or a check of the whole chain.</summary>
/// <remarks>What both runs share, the part's own leak and a steady drift of temperature, drops out of the difference. A volume that gives way under pressure is found as the test sees it: p·V lost per pascal.</remarks>
public static class VolumeCalibration
{
    /// <summary>Within this |E_n| a measured and a certified value agree, their expanded uncertainties (k = 2) considered. Source: ISO 13528 and ISO/IEC 17043 (from memory).</summary>
    public const double AgreesWithin = 1;

    /// <summary>Volume under test, m³: V = q·p_ref·T/(T_ref·(decay with − decay without)).</summary>
    /// <exception cref="InputException">The known leak does not stand out of the two runs.</exception>
    public static Reading VolumeM3(LeakReadings without, LeakReadings with, MasterLeak master, GasConditions reference)
    {
        var more = More(without, with);
        if (!(more.Value > 2 * more.StandardUncertainty))
            throw new InputException(new InputError("known leak", 0, "", Invariant($"{more.Value:G3} ± {more.StandardUncertainty:G2} Pa/s more decay with it than without"), "a difference of more than twice its standard uncertainty", "Measure longer, or take a larger known leak."));
        var flow = master.Cm3PerMin.Value / LeakRate.Cm3PerMinPerM3PerS;
        var volume = flow / (LeakRate.PerPaM3(reference, with.GasK) * more.Value);
        return new(volume, volume * double.Hypot(more.StandardUncertainty / more.Value, master.Cm3PerMin.StandardUncertainty / master.Cm3PerMin.Value));
    }

    /// <summary>The known leak as the test reads it, cm³/min, and E_n = (read − certified)/(2·√(u² + u²)).</summary>
    public static (Reading Cm3PerMin, double En) Check(LeakReadings without, LeakReadings with, MasterLeak master, LeakTest test)
    {
        var read = with.InCm3PerMin(More(without, with), test);
        return (read, (read.Value - master.Cm3PerMin.Value) / (2 * double.Hypot(read.StandardUncertainty, master.Cm3PerMin.StandardUncertainty)));
    }

    static Reading More(LeakReadings without, LeakReadings with) =>
        new(with.CorrectedDecay.Value - without.CorrectedDecay.Value, double.Hypot(with.CorrectedDecay.StandardUncertainty, without.CorrectedDecay.StandardUncertainty));
}
