using Roadproof.Engineering.Judging;

namespace Roadproof.Records.Rework;

/// <summary>One reason why a load test stopped a unit.</summary>
/// <param name="Says">In words, with its figure against its limit.</param>
public sealed record StopLine(Engineering.LoadTest.StopReason Reason, string Says);

/// <summary>Whether a stopped unit may be tested again as it is, and what a pass would mean then.</summary>
/// <param name="Allowed">Another test without repair is taken.</param>
/// <param name="Why">Why not, and what to do instead; or what the next try would be.</param>
/// <param name="Tries">Tries since the last repair that count, as pass, fail or hold, the oldest first.</param>
/// <param name="From">It begins no sooner than this, so that the unit has cooled down; null where it may begin at once.</param>
/// <param name="WithinK">Its winding is no more than so much warmer than the shell when it begins, or the run does not count; null where nobody asks.</param>
/// <param name="Meaning">Null where another test is not allowed, or what stopped the unit has no uncertainty.</param>
/// <param name="Says">What a pass would mean, in sentences.</param>
public sealed record RetestView(
    string Step, string StepName, bool Allowed, string Why, RetestScheme Scheme, int AtMost, IReadOnlyList<string> Tries, DateTimeOffset? From, double? WithinK, RetestMeaning? Meaning, IReadOnlyList<string> Says)
{
    /// <summary>A pass has to be shown twice in a row, because a try failed or was unusual.</summary>
    public bool AsksTwice { get; init; }
}
