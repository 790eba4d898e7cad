using Roadproof.Engineering.LoadTest;

namespace Roadproof.Records.Items;

/// <summary>What judging a run's captures came to; worked out before the message is taken, because it takes longer than a record may wait.</summary>
public sealed record LoadTestOutcome
{
    LoadTestOutcome(LoadTestVerdict? verdict, string problem) => (Verdict, Problem) = (verdict, problem);

    public LoadTestVerdict? Verdict { get; }

    /// <summary>Why the run could not be judged; empty where it was.</summary>
    public string Problem { get; }

    public static LoadTestOutcome Judged(LoadTestVerdict verdict) => new(verdict, "");

    public static LoadTestOutcome CannotJudge(string problem) => new(null, problem);
}
