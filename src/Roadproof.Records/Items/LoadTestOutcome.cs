using Roadproof.Engineering.LoadTest;

namespace Roadproof.Records.Items;

/// <summary>What judging a run's captures came to; worked out before the message is taken, because it takes longer than a record may wait.</summary>
public sealed record LoadTestOutcome
{
    LoadTestOutcome(LoadTestVerdict? verdict, string problem, string? otherUnit = null) => (Verdict, Problem, OtherUnit) = (verdict, problem, otherUnit);

    public LoadTestVerdict? Verdict { get; }

    /// <summary>Why the run could not be judged; empty where it was.</summary>
    public string Problem { get; }

    /// <summary>The unit that the captures say they are of, where it is another than the message's; else null.</summary>
    public string? OtherUnit { get; }

    public static LoadTestOutcome Judged(LoadTestVerdict verdict) => new(verdict, "");

    public static LoadTestOutcome CannotJudge(string problem) => new(null, problem);

    public static LoadTestOutcome OfOtherUnit(string unit) => new(null, $"The captures are of {unit}, not of this unit.", unit);
}
