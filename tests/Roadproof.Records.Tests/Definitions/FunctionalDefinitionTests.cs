using System.Globalization;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Definitions;

namespace Roadproof.Records.Tests.Definitions;

/// <summary>Definitions of a functional check that is judged from its capture: read whole, or refused with every mistake in its place.</summary>
public sealed class FunctionalDefinitionTests
{
    [Fact]
    public void Reads_the_limits_of_the_steps_readings_and_the_usual_ones_where_it_names_none()
    {
        var step = FunctionalFolder.Revision.StepOf("functional-check")!;
        var test = step.Functional!.Test(step, FunctionalFolder.Revision.LoadTest);
        Assert.Equal((0.1, 0.3), (test.Limits["drag-forward"].Lower, test.Limits["drag-forward"].Upper));
        Assert.Equal((127.5, 0.5), (test.Limits["clutch-lock"].Lower, test.Limits["messages-missed"].Upper));
        Assert.False(test.Limits.ContainsKey("drag-driven"));
    }

    public static TheoryData<string, string, string> Slips { get; } = new()
    {
        { "[drag-forward, drag-backward,", "[‸drag-forwards, drag-backward,", "found 'drag-forwards', expected a reading that slow turning gives. Did you mean 'drag-forward'?" },
        { "[drag-forward, drag-backward,", "[drag-forward, ‸drag-forward,", "found 'drag-forward' a second time, expected each reading once." },
        { "[drag-forward, drag-backward,", "[drag-forward, ‸drag-driven,", "found 'drag-driven', expected a reading of step 'functional-check', which says its limits." },
        { "rampToNm: 140", "rampToNm: ‸128", "found 128, expected a torque above 128.55, the lower limit of clutch-lock with its guard band. A clutch that holds could never pass." },
        { "turnDegPerS: 60", "turnDegPerS: ‸1", "found 1, expected turnDegPerS as a number in °/s from 5 to 720. It stands in °/s." },
        { "turnDegPerS: 60", "‸turnDegPerSec: 60", "found the key 'turnDegPerSec', expected a key of functional. Did you mean 'turnDegPerS'?" },
        { "name: Take-up angle, unit: °,", "name: Take-up angle, unit: ‸rad,", "found unit 'rad', expected unit '°', which slow turning is read in." },
        { "name: Take-up angle, unit: °, lower: 1, upper: 8,", "name: Take-up angle, unit: °, lower: 1, upper: 8, standardUncertainty: ‸0.05,", "found 0.05, expected no standardUncertainty beside slow turning. The capture brings its own." },
    };

    [Theory]
    [MemberData(nameof(Slips))]
    public void Points_at_one_slip_and_says_what_belongs_there(string from, string to, string sentence)
    {
        var errors = Assert.Throws<InputException>(() => DefinitionFolder.Read(FunctionalFolder.With((FunctionalFolder.Route, from, to.Replace("‸", "", StringComparison.Ordinal))))).Errors;
        var error = Assert.Single(errors, e => e.ToString().EndsWith(": " + sentence, StringComparison.Ordinal));
        var before = FunctionalFolder.With((FunctionalFolder.Route, from, to)).Single(f => f.Name == FunctionalFolder.Route).Text.Split('‸')[0];
        Assert.Equal((FunctionalFolder.Route, before.Count(c => c == '\n') + 1, before.Length - before.LastIndexOf('\n')), (error.Source, error.Line, int.Parse(error.Column, CultureInfo.InvariantCulture)));
    }

    [Fact]
    public void A_product_without_a_crank_has_no_slow_turning()
    {
        var errors = Assert.Throws<InputException>(() => DefinitionFolder.Read(CurveFolder.With((CurveFolder.Route,
            "    workS: 52\n", "    workS: 52\n    functional: { readings: [leak], turnDegPerS: 60, rampToNm: 140 }\n")))).Errors;
        Assert.Contains(errors, e => e.ToString().Contains("found 'case-40', which has no loadTest, expected a product with a drawn crank", StringComparison.Ordinal));
    }

    [Theory]
    [InlineData("rampToNm: 140", "rampToNm: 150", "steps[functional-check].functional.rampToNm", ChangeKind.Interlock)]
    [InlineData(", phase-balance]", "]", "steps[functional-check].functional.readings[phase-balance]", ChangeKind.Interlock)]
    public void A_change_of_slow_turning_is_weighed_as_an_interlock(string from, string to, string path, ChangeKind kind)
    {
        var edits = new List<(string, string, string)> { (FunctionalFolder.Route, from, to) };
        if (from.Contains("phase-balance", StringComparison.Ordinal)) edits.Add((FunctionalFolder.Route, "name: Imbalance of the phases, unit: \"%\", upper: 2,", "name: Imbalance of the phases, unit: \"%\", upper: 2, standardUncertainty: 0.1,"));
        var changes = RevisionComparison.Of(FunctionalFolder.Revision, Assert.Single(DefinitionFolder.Read(FunctionalFolder.With([.. edits]))));
        Assert.True(changes.Any(c => c.Path == path && c.Kind == kind), string.Join("; ", changes.Select(c => $"{c.Path} {c.Kind} {c.Wider}")));
    }
}
