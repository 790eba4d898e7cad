using Roadproof.Engineering.Judging;
using Roadproof.Engineering.Signals;

namespace Roadproof.Engineering.LoadTest;

/// <summary>Where the uncertainty of each reading of a run comes from.</summary>
/// <remarks>
/// Not a second computation: sensitivities are the columns of <see cref="ExpectationSpread"/>. Noise counts as the gauge's own scatter is known (JCGM 100:2008, 4.2.4) or as this
/// run's window shows it, whichever is more: a handful of blocks may show little by luck. Method: <c>docs/methods/budgets.md</c>.
/// </remarks>
static class ReadingBudgets
{
    /// <summary>Inputs below this share of the variance stand together.</summary>
    const double LeastShare = 0.02;

    /// <summary>The budget of a modelled reading.</summary>
    /// <param name="declared">What its limit declares beside, in its unit; 0 for an expectation.</param>
    public static UncertaintyBudget Of(int row, ExpectationSpread spread, MeasuredRun run, CoverageCheck? drawn, string unit, double declared = 0)
    {
        var inputs = spread.Errors.Where(e => e.Column[row] != 0 && e.Error.Size > 0).Select(e => Input(e, row, run)).ToList();

        // A limit that is read from the signal has noise of its own, planned or not.
        if (run.Direct.GetValueOrDefault(spread.Ids[row]) is { StandardUncertainty: > 0 } read && inputs.TrueForAll(i => i.Type != Evaluation.A)) inputs.Add(OfRun(read, unit));
        return Listed(inputs, declared, unit) with { Drawn = drawn };
    }

    /// <summary>The budget of a reading that no model carries.</summary>
    public static UncertaintyBudget OfDirect(string id, double value, LoadTestPlan plan, MeasuredRun run, string unit, double declared)
    {
        var inputs = ReadingErrors.OfDirect(id, value, plan).Where(c => c.StandardUncertainty > 0).ToList();
        if (run.Direct.GetValueOrDefault(id) is { StandardUncertainty: > 0 } read) inputs.Add(OfRun(read, unit));
        return Listed(inputs, declared, unit);
    }

    static Contribution Input(ErrorColumn e, int row, MeasuredRun run)
    {
        var (error, sensitivity) = (e.Error, e.Column[row] / e.Error.Size);
        var shown = error.Shown?.Invoke(run) ?? 0;
        return shown > error.Size
            ? new(error.Name, Evaluation.A, "this run's own signal", shown, error.Unit, sensitivity, error.SharedBy) { DegreesOfFreedom = SteadyMean.DegreesOfFreedom }
            : new(error.Name, error.Type, error.Source, error.Size, error.Unit, sensitivity, error.SharedBy);
    }

    static Contribution OfRun(DirectReading read, string unit) => new("noise and sampling", Evaluation.A, "this run's own signal", read.StandardUncertainty, unit, 1);

    static UncertaintyBudget Listed(List<Contribution> inputs, double declared, string unit)
    {
        if (declared > 0) inputs.Add(new("declared beside the limit", Evaluation.B, "standardUncertainty of the requirement", declared, unit, 1, SharedBy.AllUnits));
        return UncertaintyBudget.Of(inputs).Listing(LeastShare);
    }
}
