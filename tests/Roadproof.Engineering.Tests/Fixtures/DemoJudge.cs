using Roadproof.Engineering.LoadTest;

namespace Roadproof.Engineering.Tests.Fixtures;

/// <summary>Prepared once for all tests: calibrating the limits takes a while.</summary>
static class DemoJudge
{
    static readonly Lazy<LoadTestJudge> Lazily = new(() => new(DemoPlan.Plan));
    static readonly Lazy<ExpectationSpread> LazilySpread = new(() => new(DemoPlan.Plan, SampleRates.Usual));

    public static LoadTestJudge Judge => Lazily.Value;

    public static ExpectationSpread Spread => LazilySpread.Value;
}
