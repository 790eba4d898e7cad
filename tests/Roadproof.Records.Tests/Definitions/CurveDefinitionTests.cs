using System.Globalization;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Definitions;

namespace Roadproof.Records.Tests.Definitions;

/// <summary>Definitions of checks that are judged from their curves: read whole, or refused with every mistake in its place.</summary>
public sealed class CurveDefinitionTests
{
    [Fact]
    public void Reads_the_windows_of_a_curve()
    {
        var revision = CurveFolder.Revision;
        var cover = Assert.Single(revision.StepOf("cover")!.Screws);
        var window = cover.Curve!.Window(cover);
        Assert.Equal((4.95, 6.05, 500.0, 0.16), (window.FinalTorque!.Lower, window.FinalTorque.Upper, window.RundownAngle!.Lower, window.Slope!.Upper));
        Assert.Equal([1, 5, 3, 7, 2, 6, 4, 8, 1], cover.Curve.Pattern([], 8).Whole);
        var press = Assert.Single(revision.StepOf("bearing-in")!.Readings);
        Assert.Equal((2000.0, 9.9e0, 0.005), (press.Press!.Test(press).Limits["block-force"].Lower, press.Press.Test(press).Limits["seat"].Lower, press.Press.Test(press).Windows[0].FromM));
        var leak = Assert.Single(revision.StepOf("leak-check")!.Readings);
        Assert.Equal((6e-4, 20_000.0, 5.0), (leak.Leak!.Test(leak, null).VolumeM3, leak.Leak.Test(leak, null).TestPressurePa, leak.Leak.Test(leak, null).Limit.Upper));
    }

    [Fact]
    public void Screws_stand_on_a_circle_clockwise_from_the_top_around_a_rectangle_or_each_by_itself()
    {
        var circle = new ScrewPlaces { CircleMm = 100 }.Of(4);
        Assert.Equal([(0.0, 50.0), (50.0, 0.0), (0.0, -50.0), (-50.0, 0.0)], circle.Select(p => (Math.Round(p.X, 9) + 0, Math.Round(p.Y, 9) + 0)));
        Assert.Equal([(-30.0, 20.0), (30.0, 20.0), (30.0, -20.0), (-30.0, -20.0)], new ScrewPlaces { RectangleMm = new() { Mm = [60, 40] } }.Of(4));
        // Eight once stood lopsided: a cover has a screw in every corner.
        Assert.Equal([(-30.0, 20.0), (0.0, 20.0), (30.0, 20.0), (30.0, 0.0), (30.0, -20.0), (0.0, -20.0), (-30.0, -20.0), (-30.0, 0.0)], new ScrewPlaces { RectangleMm = new() { Mm = [60, 40] } }.Of(8));
        Assert.Equal([(1.0, 2.0), (3.0, 4.0)], new ScrewPlaces { At = [new() { Mm = [1, 2] }, new() { Mm = [3, 4] }] }.Of(2));
    }

    public static TheoryData<string, string, string> Slips { get; } = new()
    {
        { "slopeLowerNmPerDeg: 0.06", "slopeLowerNmPerDeg: ‸0.26", "found 0.26, not below slopeUpperNmPerDeg 0.16, expected the lower edge below the upper one." },
        { "rundownLowerDeg: 500", "rundownLowerDeg: ‸900", "found 900, not below rundownUpperDeg 700, expected the lower edge below the upper one." },
        { "prevailingUpperNm: 1.5", "prevailingUpperNm: ‸1500", "found 1500, expected prevailingUpperNm as a number in N·m from 0 to 500. It stands in N·m." },
        { "slopeUpperNmPerDeg: 0.16", "‸slopeUperNmPerDeg: 0.16", "found the key 'slopeUperNmPerDeg', expected a key of curve. Did you mean 'slopeUpperNmPerDeg'?" },
        { "order: [1, 5, 3, 7, 2, 6, 4, 8]", "order: [1, 5, 3, 7, 2, 6, 4, ‸9]", "found 9, expected each screw from 1 to 8 once." },
        { "order: [1, 5, 3, 7, 2, 6, 4, 8]", "order: [1, 5, 3, ‸5, 2, 6, 4, 8]", "found 5 a second time, expected each screw from 1 to 8 once." },
        { "order: [1, 5, 3, 7, 2, 6, 4, 8]", "order: ‸[1, 5, 3]", "found an order of 3, expected each screw from 1 to 8 once." },
        { "diameterMm: 5", "angleFromNm: ‸5.5", "found 5.5, expected a torque below torqueLowerNm 4.95. The final angle is counted from there." },
        { "diameterMm: 5", "prePassed: ‸true\n          angleFromNm: 2", "found edges for a run-down, expected no such edges beside prePassed. A screw that was seated before has no run-down." },
        { "circleMm: 104 }", "circleMm: 104, at: ‸[[0, 52]] }", "found places in more than one way, expected one of at, circleMm, rectangleMm." },
        { "places: { circleMm: 104 }", "places: { at: ‸[[0, 52], [52, 0]] }", "found 2 places, expected 8, one for each screw." },
        { "places: { circleMm: 104 }", "places: { rectangleMm: ‸[60] }", "found 1 numbers, expected two, [x, y] in mm." },
        { "places: { circleMm: 104 }", "places: { circleMm: ‸0.104 }", "found 0.104, expected circleMm as a number in mm above 1 to 2000. It stands in mm." },
        { "unit: N\n", "unit: kN\n", "found unit 'kN', expected unit 'N', which the curve is read in." },
        { "seatLowerMm: 9.9", "seatLowerMm: ‸10.2", "found 10.2, not below seatUpperMm 10.1, expected the lower edge below the upper one." },
        { "fromMm: 5, toMm: 7", "fromMm: ‸8, toMm: 7", "found 8, not below toMm 7, expected the lower edge below the upper one." },
        { "toMm: 7, lowerN: 300, upperN: 1000 }", "toMm: 7 }", "found a band without edges, expected lowerN, upperN or both." },
        { "upper: 5000\n", "upper: 5000\n        standardUncertainty: ‸5\n", "found 5, expected no standardUncertainty beside a curve. The curve brings its own." },
        { "volumeCm3: 600,", "volumeCm3: ‸0.6e6,", "found 0.6e6, expected volumeCm3 as a number in cm³ above 0 to 10000. It stands in cm³." },
        { "volumeCm3: 600, ", "", "found no volumeCm3, expected volumeCm3, as the product says nothing of its free volume." },
        { "testPressurePa: 20000, ", "", "found no testPressurePa, expected testPressurePa, as the product says nothing of it." },
        { "        upper: 5\n", "", "found no upper limit, expected upper beside leak, the largest leak." },
        { "        upper: 5\n", "        lower: ‸0\n        upper: 5\n", "found a least leak, expected upper alone for a leak." },
        { "kind: check", "kind: load-test", "found a curve in a load test, expected a step of its own for it. A load test is judged by its captures alone." },
        { "number: 30\n    name: Cover\n    kind: assembly", "number: 30\n    name: Cover\n    kind: load-test\n    caution: Shafts turn.", "found a curve in a load test, expected a step of its own for it. A load test is judged by its captures alone." },
    };

    [Theory]
    [MemberData(nameof(Slips))]
    public void Points_at_one_slip_and_says_what_belongs_there(string from, string to, string sentence)
    {
        var edits = new[] { (CurveFolder.Route, from, to) };
        var errors = Assert.Throws<InputException>(() => DefinitionFolder.Read(CurveFolder.With([.. edits.Select(e => (e.Item1, e.from, e.to.Replace("‸", "")))]))).Errors;
        var error = Assert.Single(errors, e => e.ToString().EndsWith(": " + sentence, StringComparison.Ordinal));
        Assert.Equal(CurveFolder.Route, error.Source);
        Assert.True(error.Line > 1);
        if (!to.Contains('‸', StringComparison.Ordinal)) return;
        Assert.Single(errors);
        var before = CurveFolder.With(edits).Single(f => f.Name == CurveFolder.Route).Text.Split('‸')[0];
        Assert.Equal((before.Count(c => c == '\n') + 1, before.Length - before.LastIndexOf('\n')), (error.Line, int.Parse(error.Column, CultureInfo.InvariantCulture)));
    }

    [Theory]
    [InlineData("slopeUpperNmPerDeg: 0.16", "slopeUpperNmPerDeg: 0.2", "steps[cover].screws[cover].curve.slopeUpperNmPerDeg", ChangeKind.Limit, true)]
    [InlineData("rundownLowerDeg: 500", "rundownLowerDeg: 550", "steps[cover].screws[cover].curve.rundownLowerDeg", ChangeKind.Limit, false)]
    [InlineData("lowerN: 300, ", "", "steps[bearing-in].readings[bearing-force].press.bands[way-in].lowerN", ChangeKind.Limit, true)]
    [InlineData("order: [1, 5, 3, 7,", "order: [1, 5, 7, 3,", "steps[cover].screws[cover].curve.order (order)", ChangeKind.Limit, null)]
    [InlineData("circleMm: 104", "circleMm: 105", "steps[cover].screws[cover].places.circleMm", ChangeKind.Other, null)]
    [InlineData("        leak: { volumeCm3: 600, volumeUncertaintyCm3: 6, testPressurePa: 20000, pressureStepPa: 1, leastS: 5 }\n", "        standardUncertainty: 0.3\n", "steps[leak-check].readings[leak].leak", ChangeKind.Interlock, true)]
    public void A_change_of_a_curves_window_is_weighed_as_a_limit(string from, string to, string path, ChangeKind kind, bool? wider)
    {
        var after = Assert.Single(DefinitionFolder.Read(CurveFolder.With((CurveFolder.Route, from, to))));
        var change = Assert.Single(RevisionComparison.Of(CurveFolder.Revision, after), c => c.Path == path);
        Assert.Equal((kind, wider), (change.Kind, change.Wider));
    }
}
