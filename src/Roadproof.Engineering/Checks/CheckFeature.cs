using Roadproof.Engineering.Judging;
using Roadproof.Engineering.Signals;

namespace Roadproof.Engineering.Checks;

/// <summary>The edges that a requirement sets for a feature, and where they come from. An edge that is null does not exist.</summary>
/// <param name="GuardFactor">Guard band in standard uncertainties; 1.64 leaves at most 5 % consumer's risk at the edge.</param>
public sealed record FeatureWindow(double? Lower, double? Upper, string Origin, double GuardFactor = 1.64);

/// <summary>One feature of a check's curve, judged where a window is set for it.</summary>
/// <param name="Value">Null where the curve cannot tell.</param>
/// <param name="Verdict">Null without a window; undecided where the curve cannot tell.</param>
public sealed record CheckFeature(
    string Id, string Name, string Unit, double? Value, double? Lower, double? Upper, double? StandardUncertainty, Verdict? Verdict)
{
    /// <summary>Judges a feature with its guard band (JCGM 106:2012, 8.3.2 and 8.3.3).</summary>
    /// <param name="reading">A value or an uncertainty that is no number, as in <see cref="Reading.None"/>, is what the curve cannot tell.</param>
    /// <param name="window">Null where nothing is required of it.</param>
    public static CheckFeature Of(string id, string name, string unit, Reading reading, FeatureWindow? window = null)
    {
        if (!(double.IsFinite(reading.Value) && double.IsFinite(reading.StandardUncertainty))) return new(id, name, unit, null, window?.Lower, window?.Upper, null, window is null ? null : Judging.Verdict.Undecided);
        if (window is null) return new(id, name, unit, reading.Value, null, null, reading.StandardUncertainty, null);
        var limit = new RequirementLimit { Id = id, Name = name, Unit = unit, Lower = window.Lower, Upper = window.Upper, GuardFactor = window.GuardFactor, Origin = window.Origin };
        return new(id, name, unit, reading.Value, window.Lower, window.Upper, reading.StandardUncertainty, Requirement.Judge(limit, reading.Value, reading.StandardUncertainty).Verdict);
    }
}
