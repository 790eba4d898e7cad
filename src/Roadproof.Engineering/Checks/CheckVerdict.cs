using Roadproof.Engineering.Judging;

namespace Roadproof.Engineering.Checks;

/// <summary>The verdict on one check: its features, and what they say in sentences.</summary>
/// <param name="Reading">What the curve shows, and why a verdict could not be given where none was.</param>
public sealed record CheckVerdict(RunVerdict Verdict, IReadOnlyList<CheckFeature> Features, IReadOnlyList<string> Reading)
{
    /// <summary>A fail stands, else what is undecided holds, else it passes.</summary>
    public static CheckVerdict Of(IReadOnlyList<CheckFeature> features, IReadOnlyList<string> reading) => new(
        features.Any(f => f.Verdict == Judging.Verdict.Fail) ? RunVerdict.Fail : features.Any(f => f.Verdict == Judging.Verdict.Undecided) ? RunVerdict.Hold : RunVerdict.Pass,
        features, reading);
}
