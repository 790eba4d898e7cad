using CsCheck;
using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Judging;
using Roadproof.Engineering.LoadTest;
using Roadproof.Engineering.LoadTest.Rigs;
using Roadproof.Engineering.Statistics;
using Roadproof.Engineering.Tests.Fixtures;

namespace Roadproof.Engineering.Tests.Properties;

/// <summary>A run is judged again when its rig had drifted. What is promised: no unit that is bad is let go oftener than the guard band's risk, and nothing that protects people is corrected.</summary>
public sealed class RejudgingTests
{
    static readonly RequirementLimit Limit = new() { Id = "torque", Name = "Torque", Unit = "N·m", Lower = 80, Upper = 90, Origin = "test" };

    static readonly LoadTestPlan OneRequirement = DemoPlan.Plan with { Requirements = [Limit] };

    // The slow way: rig, drift, noise and unit drawn, the rig's calibrated error within its stated uncertainty; a unit that truly lies just beyond its edge is let go at most as often as the guard band says.
    [Fact]
    public void A_unit_that_truly_fails_is_let_go_no_oftener_than_the_guard_band_s_risk()
    {
        var noise = new SeededNoise(1, "bad units");
        Gen.Select(Gen.Double[-4, 4], Gen.Double[0, 1], Gen.Bool, Gen.Double[0, 1], Gen.Double[0.05, 0.5], Gen.Double[0.05, 0.5]).Sample(
            (drift, share, isGain, beyondU, ofRig, ofRun) =>
            {
                const int draws = 1_500;
                var (u, known) = (double.Hypot(ofRig, ofRun), 84.0);
                var truth = 90 + beyondU * u;
                var released = 0;
                for (var n = 0; n < draws; n++)
                {
                    var calibrated = ofRig * noise.Normal();
                    double Read(double true_, double part) => true_ + calibrated + part * drift * (isGain ? true_ / known : 1) + ofRun * noise.Normal();
                    var reference = ShownDrift.Of(Reference, Run(Read(known, 0), u, ofRun), Run(Read(known, 1), u, ofRun));
                    if (Rejudging.Of(Run(Read(truth, share), u, ofRun), reference, OneRequirement, _ => (0, false)).Outcome == RejudgedAs.Passes) released++;
                }

                // Four standard errors of a count at the stated 5 %.
                return (double)released / draws <= 0.05 + 4 * Math.Sqrt(0.05 * 0.95 / draws);
            },
            iter: 60, seed: "0000KtRHZQw2", threads: 1);
    }

    // The other end: a unit well inside is let go, one far outside fails, at every drift that leaves room for it.
    [Fact]
    public void What_is_far_from_every_edge_is_told()
    {
        var drift = Drift(2, 0.1);
        Assert.Equal(RejudgedAs.Passes, Rejudged(85, drift).Outcome);
        var failed = Rejudged(95, drift);
        Assert.Equal((RejudgedAs.Fails, "Torque fails whatever the drift was."), (failed.Outcome, failed.Reason));
        Assert.Equal((93 - 0.26, 95), (failed.Readings[0].Lowest, failed.Readings[0].Highest), (a, b) => Math.Abs(a.Item1 - b.Item1) < 0.05 && a.Item2 == b.Item2);
        var between = Rejudged(81, drift);
        Assert.Equal((RejudgedAs.CannotTell, "Torque passes or not by what the drift was."), (between.Outcome, between.Reason));
        // Below the one edge with the drift taken off, above the other without: it passes somewhere between.
        Assert.Equal(RejudgedAs.CannotTell, Rejudged(91, Drift(13, 0.1)).Outcome);
    }

    [Fact]
    public void A_safety_function_is_never_corrected_and_is_tested_again_where_the_reference_moved()
    {
        var plan = OneRequirement with { Requirements = [Limit with { Safety = true }] };
        Rejudgement Of(double value, ShownDrift drift) => Rejudging.Of(Run(value, 0.2, 0.1, safety: true), drift, plan, _ => (0, false));

        var stands = Of(85, Drift(0.1, 0.1));
        Assert.Equal(RejudgedAs.Passes, stands.Outcome);
        Assert.Equal((85, 85, false), (stands.Readings[0].Lowest, stands.Readings[0].Highest, stands.Readings[0].Corrected));
        var moved = Of(85, Drift(2, 0.1));
        Assert.Equal((RejudgedAs.CannotTell, "Torque has moved on the reference, and is never corrected."), (moved.Outcome, moved.Reason));
        // A drift that would carry it back inside helps nothing.
        Assert.NotEqual(RejudgedAs.Passes, Of(91, Drift(3, 0.1)).Outcome);
    }

    [Theory]
    [InlineData(true, false)]
    [InlineData(false, true)]
    public void What_is_never_tried_again_is_never_corrected(bool safety, bool noRetest)
    {
        var plan = OneRequirement with { Requirements = [Limit with { Safety = safety, NoRetest = noRetest }] };
        Gen.Select(Gen.Double[70, 100], Gen.Double[-5, 5], Gen.Double[0, 0.5]).Sample((value, moved, u) =>
        {
            var first = Run(value, 0.2, 0.1, never: true);
            var again = Rejudging.Of(first, Drift(moved, u), plan, _ => (0, false));
            Assert.Equal((value, value), (again.Readings[0].Lowest, again.Readings[0].Highest));
            if (again.Outcome == RejudgedAs.Passes) Assert.Equal(Verdict.Pass, first.Requirements[0].Verdict);
        }, iter: 300, seed: "0000KtRHZQw2", threads: 1);
    }

    [Fact]
    public void What_the_reference_does_not_show_cannot_be_told()
    {
        Assert.Equal("Torque: the reference does not show how far it has moved.", Rejudging.Of(Run(85, 0.2, 0.1), new("a", new Dictionary<string, ShownMove>()), OneRequirement, _ => (0, false)).Reason);
        Assert.Equal("Torque was not read.", Rejudging.Of(Run(85, 0.2, 0.1) with { Requirements = [] }, Drift(0, 1), OneRequirement, _ => (0, false)).Reason);
        Assert.Equal("It was judged by an earlier method.", Rejudging.Of(Run(85, 0.2, 0.1) with { Method = "load-test/1" }, Drift(0, 1), OneRequirement, _ => (0, false)).Reason);
        Assert.Equal("It may be unusual by what the drift was.", Rejudging.Of(Run(85, 0.2, 0.1), Drift(0, 0.1), OneRequirement, _ => (0, true)).Reason);
    }

    // Units drawn with each known fault at the size that nine of ten are stopped for, run on a rig one of whose gauges has moved: judged again they are let go no oftener than on a rig without drift.
    [Fact]
    public void No_faulty_unit_is_let_go_oftener_than_on_a_rig_without_drift()
    {
        var (spread, judge) = (DemoJudge.Spread, DemoJudge.Judge);
        var (noise, units) = (new SeededNoise(7, "faulty"), new SoundUnits(spread, seed: 7));
        var none = spread.Model.At(Deviation.None);
        var (passed, released, sound, soundReleased, tries) = (0, 0, 0, 0, 0);
        foreach (var found in judge.Sensitivity().Where(f => f.SmallestFound is not null).Prepend(null))
        {
            var with = found is null ? none : spread.Model.At(spread.Model.Faults.First(h => h.Id == found.Fault).At(found.SmallestFound!.Value));
            for (var n = 0; n < 120; n++)
            {
                var unit = new double[spread.Ids.Length];
                units.Next(unit);
                for (var i = 0; i < unit.Length; i++) unit[i] += spread.Mean[i] + with[i] - none[i];
                var gauge = DemoReference.Gauges[n % DemoReference.Gauges.Count];
                var (drift, share) = (gauge.Moves.Select(m => m * 6 * (n % 4 < 2 ? 1 : -1)).ToArray(), noise.Share());
                var plain = judge.Rejudge(Read(unit, 0, drift), Shown(new double[drift.Length], null)).Outcome == RejudgedAs.Passes;
                var again = judge.Rejudge(Read(unit, share, drift), Shown(drift, noise)).Outcome == RejudgedAs.Passes;
                if (found is null) (sound, soundReleased) = (sound + (plain ? 1 : 0), soundReleased + (again ? 1 : 0));
                else (passed, released, tries) = (passed + (plain ? 1 : 0), released + (again ? 1 : 0), tries + 1);
            }
        }

        TestContext.Current.TestOutputHelper?.WriteLine($"faulty: {passed} pass without drift, {released} let go with, of {tries}; sound: {sound}, {soundReleased} of 120");
        Assert.True(released <= passed + 3 * Math.Sqrt(passed), $"{released} let go, {passed} passed without drift, of {tries}");
        Assert.InRange(soundReleased, 30, 120);
    }

    static readonly ReferenceUnit Reference = new() { Id = "a", Code = "REF-A", Name = "Reference A", Kind = ReferenceKind.Sound, Origin = "test" };

    static ShownDrift Drift(double moved, double u) => new("a", new Dictionary<string, ShownMove>(StringComparer.Ordinal) { ["torque"] = new(moved, u, 84) });

    static Rejudgement Rejudged(double value, ShownDrift drift) => Rejudging.Of(Run(value, 0.2, 0.1), drift, OneRequirement, _ => (0, false));

    static LoadTestVerdict Run(double value, double u, double ofRun, bool safety = false, bool never = false) => new(
        RunVerdict.Pass, [Requirement.Judge(Limit with { Safety = safety }, value, u) with { NeverAgain = safety || never, UncertaintyOfRun = ofRun }], [], 0, 0, 0, [], [], LoadTestJudge.Method, []);

    static LoadTestVerdict Read(double[] unit, double share, double[] drift) => new(
        RunVerdict.Pass, [.. DemoPlan.Plan.Requirements.Select(Middle)],
        [.. Characteristics.Expectations(DemoPlan.Plan).Select((c, i) => new ExpectationReading(c.Id, c.Name, c.Unit, unit[i] + share * drift[i], 0, 0, 1, 0, 0, 0, Verdict.Usual))], 0, 0, 0, [], [], LoadTestJudge.Method, []);

    static RequirementReading Middle(RequirementLimit l) => Requirement.Judge(l, ((l.Lower ?? l.Upper - 1) + (l.Upper ?? l.Lower + 1))!.Value / 2, 0);

    static ShownDrift Shown(double[] drift, SeededNoise? noise)
    {
        var reference = DemoReference.Unit;
        var wrong = noise is null ? DemoReference.Reading(i => reference.Expected[i].Value) : DemoReference.Run(new double[DemoReference.Gauges.Count], noise);
        wrong = wrong with { Expectations = [.. wrong.Expectations.Select((e, i) => e with { Value = e.Value + drift[i] })], Requirements = [.. DemoPlan.Plan.Requirements.Select(Middle)] };
        return ShownDrift.Of(reference, wrong, wrong);
    }
}
