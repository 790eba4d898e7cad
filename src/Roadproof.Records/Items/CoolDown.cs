using System.Globalization;
using Roadproof.Engineering.LoadTest;
using Roadproof.Records.Definitions;

namespace Roadproof.Records.Items;

/// <summary>A run that follows another without repair begins cool, or does not count: resistance, drags and magnets are those of a unit that has stood.</summary>
static class CoolDown
{
    /// <summary>Why the run does not count; null where it does, or where the step asks for nothing.</summary>
    public static string? Missed(RouteStep step, LoadTestVerdict verdict) => step.CoolDownK is not { } k ? null : verdict.Start switch
    {
        null => "Nothing says whether the unit had cooled down when the run began: the rig does not read the shell. Connect its sensor and run it again.",
        { } start when start.WindingC - start.ShellC > k => string.Create(CultureInfo.InvariantCulture,
            $"The run began with the winding {start.WindingC - start.ShellC:0.0} K warmer than the shell, {k:0.#} K at most: it does not count. Let the unit cool down and run it again."),
        _ => null,
    };

    public static string Minutes(double s) => s < 120 ? string.Create(CultureInfo.InvariantCulture, $"{s:0} s") : string.Create(CultureInfo.InvariantCulture, $"{s / 60:0.#} min");
}
