namespace Roadproof.Engineering.Judging;

/// <summary>One try of a test, as far as another one is concerned.</summary>
/// <param name="Verdict">By the rule of the step: in the scheme of the mean that of all tries together.</param>
/// <param name="NeverAgain">Something that is never tried again without repair was not shown to be met: a safety function, a slipping clutch, insulation.</param>
/// <param name="Unusual">An expectation limit was missed: the unit read unlike sound ones, and another pass is asked as much of as after a fail.</param>
public readonly record struct TestTry(RunVerdict Verdict, bool NeverAgain = false, bool Unusual = false);

/// <summary>Why a test is not tried again without repair.</summary>
public enum RetestBar
{
    /// <summary>What was not met is never tried again.</summary>
    NeverAgain,

    /// <summary>The unit has had its tries.</summary>
    NoneLeft,
}

/// <summary>How the tries of a test combine, and how many there are: every try counts, the best of several never does.</summary>
/// <param name="Scheme">Two of two after a fail or an unusual run, or the mean of both.</param>
/// <param name="AtMost">Tries after the first that did not pass.</param>
/// <remarks>Tries are those since the last repair, the oldest first; a run that could not be judged or does not count is none. Common practice, no source; what the rules let through is computed by <see cref="RetestRisk"/>. Method: <c>docs/methods/judging.md</c>.</remarks>
public sealed record RetestRule(RetestScheme Scheme, int AtMost)
{
    /// <summary>The last try makes the step stand: it passed, as often as the rule asks, and was allowed.</summary>
    public bool Stands(IReadOnlyList<TestTry> tries) => tries is [.., { Verdict: RunVerdict.Pass }] && !IsOneOfTwo(tries) && Bar(tries) is null;

    /// <summary>A pass has to be shown twice: a try failed, or was unusual. After one that could only not be decided one pass is enough.</summary>
    public bool AsksTwice(IReadOnlyList<TestTry> tries) => Scheme != RetestScheme.Mean && tries.Any(t => t.Verdict == RunVerdict.Fail || t is { Verdict: RunVerdict.Hold, Unusual: true });

    /// <summary>The last try passed, and because one before it failed or was unusual it has to pass once more.</summary>
    public bool IsOneOfTwo(IReadOnlyList<TestTry> tries) => tries is [.., { Verdict: RunVerdict.Pass }] && AsksTwice(tries) && tries[^2].Verdict != RunVerdict.Pass;

    /// <summary>Why the test may not be tried again as it is; null where it may.</summary>
    public RetestBar? Bar(IReadOnlyList<TestTry> tries) =>
        tries.Any(t => t.NeverAgain) ? RetestBar.NeverAgain
        : tries.Count(t => t.Verdict != RunVerdict.Pass) > AtMost ? RetestBar.NoneLeft
        : null;

    /// <summary>A person may let a unit go on whose last try was held: nothing failed that no repair has answered, and nothing is open that nobody may decide.</summary>
    public static bool MayBeLetGoOn(IReadOnlyList<TestTry> tries) => tries is [.., { Verdict: RunVerdict.Hold }] && !tries.Any(t => t.NeverAgain || t.Verdict == RunVerdict.Fail);
}
