using System.Globalization;
using Roadproof.Engineering.Checks.Functional;

namespace Roadproof.Records.Definitions;

/// <summary>What must hold of a step whose readings come from slow turning: a crank to turn, readings that slow turning gives, in its units, and a ramp that can decide.</summary>
static class FunctionalRules
{
    public static void Check(RouteStep step, FunctionalPlan plan, ProductDefinition? product, Findings findings)
    {
        if (step.Kind == StepKind.LoadTest) findings.Wrong(plan, "", "slow turning in a load test", "a step of its own for it", "A load test is judged by its captures alone.");
        if (product is not null && product.LoadTest?.Unit.CrankSide is null)
            findings.Wrong(plan, "", $"'{product.Id}', which has no {(product.LoadTest is null ? "loadTest" : "crankSide")}", "a product with a drawn crank: the servo turns crank and chainring");
        if (plan.Readings.Count == 0 && findings.Sound(plan, nameof(plan.Readings))) findings.Wrong(plan, nameof(plan.Readings), "no readings", "ids of the step's readings that the capture gives");
        for (var i = 0; i < plan.Readings.Count; i++) Reading(step, plan, i, findings);
        foreach (var other in step.Readings.Where(r => r.Id == FunctionalPlan.CheckId && r.HasOwnCurve)) findings.Wrong(other, nameof(other.Id), $"'{other.Id}' for a curve", "an id of its own for each curve of a step");
        foreach (var other in step.Screws.Where(g => g.Id == FunctionalPlan.CheckId && g.Curve is not null)) findings.Wrong(other, nameof(other.Id), $"'{other.Id}' for a curve", "an id of its own for each curve of a step");
    }

    static void Reading(RouteStep step, FunctionalPlan plan, int index, Findings findings)
    {
        var (id, at) = (plan.Readings[index], Findings.Item(nameof(plan.Readings), index));
        var known = FunctionalVerdict.Units.Keys.ToList();
        if (!known.Contains(id)) findings.Wrong(plan, at, $"'{id}'", "a reading that slow turning gives", NearestWord.Hint(id, known));
        else if (plan.Readings.Take(index).Contains(id)) findings.Wrong(plan, at, $"'{id}' a second time", "each reading once");
        else if (step.Readings.FirstOrDefault(r => r.Id == id) is not { } reading) findings.Wrong(plan, at, $"'{id}'", $"a reading of step '{step.Id}', which says its limits");
        else Limits(plan, reading, findings);
    }

    static void Limits(FunctionalPlan plan, StepReading reading, Findings findings)
    {
        if (reading.HasOwnCurve) findings.Wrong(reading, nameof(reading.Id), "a curve of its own beside slow turning", "one curve for a reading");
        if (reading.Text) findings.Wrong(reading, nameof(reading.Text), "a text from slow turning", "a number");
        else if (reading.Unit != FunctionalVerdict.Units[reading.Id]) findings.Wrong(reading, nameof(reading.Unit), $"unit '{reading.Unit}'", $"unit '{FunctionalVerdict.Units[reading.Id]}', which slow turning is read in");
        if (reading.StandardUncertainty > 0) findings.Wrong(reading, nameof(reading.StandardUncertainty), Figure(reading.StandardUncertainty), "no standardUncertainty beside slow turning", "The capture brings its own.");
        if (reading.Id != FunctionalVerdict.Lock || reading.Lower is not { } least || !findings.Sound(plan, nameof(plan.RampToNm))) return;
        var needed = least + reading.Guard * double.Hypot(plan.TorqueZeroUncertaintyNm, plan.TorqueUncertaintyShare * least);
        if (plan.RampToNm <= needed) findings.Wrong(plan, nameof(plan.RampToNm), Figure(plan.RampToNm), $"a torque above {Figure(needed)}, the lower limit of {reading.Id} with its guard band", "A clutch that holds could never pass.");
    }

    static string Figure(double number) => number.ToString("0.##", CultureInfo.InvariantCulture);
}
