using CsCheck;
using Roadproof.Engineering.Drive;
using Roadproof.Engineering.LoadTest;
using Roadproof.Engineering.Tests.Fixtures;

namespace Roadproof.Engineering.Tests.Properties;

/// <summary>What to measure next: what parts the causes that the load test leaves, for the least time; and "cannot tell" where nothing on offer does.</summary>
public sealed class NextMeasurementTests
{
    static readonly DriveUnit Unit = DemoPlan.Plan.Unit;

    static readonly PossibleMeasurement
        GreaseMass = new("grease-mass", "Grease dosed", "g", MeasuredQuantity.GreaseMass, 12, 0.25, 0.05, 300, null),
        Weight = new("weight", "Weight", "g", MeasuredQuantity.UnitMass, 2900, 6, 1, 15, null),
        SensorZero = new("sensor-zero", "Torque sensor zero", "N·m", MeasuredQuantity.TorqueSensorZero, 0, 0.25, 0.1, 261, null),
        SpinDown = new("rotor-drag", "Drag of the rotor alone", "N·m", MeasuredQuantity.RotorDrag, 0.008, 0.0013, 0.0005, 900, null);

    [Fact]
    public void Motor_and_gear_drag_cannot_be_told_by_what_the_route_reads()
    {
        var advice = NextMeasurement.Of(Diagnosis(new() { AddedMotorDragNm = 0.010 }), Unit, [GreaseMass, Weight, SensorZero]);
        Assert.Contains(new CausePair("motor-drag", "stiff-grease"), Either(advice.CannotTell));
        Assert.DoesNotContain(advice.Measurements, m => Either(m.TellsApart).Contains(new("motor-drag", "stiff-grease")));
    }

    [Fact]
    public void The_rotor_alone_tells_them_apart_and_its_reading_decides()
    {
        var diagnosis = Diagnosis(new() { AddedMotorDragNm = 0.010 });
        var next = NextMeasurement.Of(diagnosis, Unit, [GreaseMass, Weight, SensorZero, SpinDown]).Measurements[0];
        Assert.Equal("rotor-drag", next.Id);
        Assert.Contains(new CausePair("motor-drag", "stiff-grease"), Either(next.TellsApart));
        Assert.Equal(0.018, next.Expected.Single(e => e.Fault == "motor-drag").Value, 0.004);
        Assert.Equal(0.008, next.Expected.Single(e => e.Fault == "stiff-grease").Value, 1e-9);

        foreach (var (read, cause) in new[] { (0.018, "motor-drag"), (0.008, "stiff-grease") })
        {
            var after = NextMeasurement.Of(diagnosis, Unit, [SpinDown with { Value = read }]);
            Assert.Equal(cause, after.Remaining[0].Fault);
            Assert.True(after.Remaining[0].Probability > 0.9, $"{cause}: {after.Remaining[0].Probability}");
        }
    }

    [Fact]
    public void The_least_time_for_the_doubt_it_removes_comes_first()
    {
        DiagnosisLine[] two = [Line("torque-sensor-zero", 0.5, 2.5, 0.3), Line("sound", 0.5, 0, 0)];
        var (quick, slow, blind) = (SensorZero with { Id = "quick", CostS = 30 }, SensorZero with { Id = "slow", CostS = 60, UsualSpread = 0.01, StandardUncertainty = 0.01 }, SensorZero with { Id = "blind", CostS = 1, StandardUncertainty = 3 });
        Assert.Equal(["quick", "slow"], NextMeasurement.Of(two, Unit, [slow, blind, quick]).Measurements.Select(m => m.Id));

        // Twice the time is worth it where it decides between more.
        DiagnosisLine[] three = [Line("torque-sensor-zero", 0.1, 2.5, 0.3), Line("crimp", 0.45, 10, 1), Line("weak-flux", 0.45, 3, 0.3)];
        var resistance = new PossibleMeasurement("resistance", "Phase resistance", "mΩ", MeasuredQuantity.PhaseResistance, 55, 0.9, 0.1, 60, null);
        var advice = NextMeasurement.Of(three, Unit, [quick, resistance]);
        Assert.Equal(["resistance", "quick"], advice.Measurements.Select(m => m.Id));
        Assert.Empty(advice.CannotTell);
    }

    [Fact]
    public void A_weight_that_scatters_as_much_as_the_grease_weighs_decides_nothing()
    {
        DiagnosisLine[] lines = [Line("grease-missing", 0.5, 1, 0.05), Line("mesh-loss", 0.5, 1, 0.1)];
        Assert.Equal([new CausePair("grease-missing", "mesh-loss")], NextMeasurement.Of(lines, Unit, [Weight]).CannotTell);
        Assert.Equal("weight", NextMeasurement.Of(lines, Unit, [Weight with { UsualSpread = 1.5 }]).Measurements.Single().Id);
    }

    [Fact]
    public void A_recorded_reading_counts_without_being_taken_again()
    {
        DiagnosisLine[] lines = [Line("grease-missing", 0.6, 1, 0.1), Line("mesh-loss", 0.4, 1, 0.1)];
        var there = NextMeasurement.Of(lines, Unit, [GreaseMass with { Value = 12.1 }]);
        Assert.Equal("mesh-loss", there.Remaining[0].Fault);
        Assert.Empty(there.Measurements);
        Assert.Equal("grease-missing", NextMeasurement.Of(lines, Unit, [GreaseMass with { Value = 0.2 }]).Remaining[0].Fault);
    }

    [Fact]
    public void No_reading_rules_a_cause_out_for_good_and_probabilities_stay_what_they_were_together() => Gen.Select(Gen.Double[-1000, 1000], Gen.Double[0.01, 0.98]).Sample((value, share) =>
    {
        DiagnosisLine[] lines = [Line("torque-sensor-zero", share, 2.5, 0.3), Line("unknown", 0.99 - share, 8, 0)];
        var after = NextMeasurement.Of(lines, Unit, [SensorZero with { Value = value }]);
        Assert.Equal(0.99, after.Remaining.Sum(r => r.Probability), NextMeasurement.WorthALook);
        Assert.All(after.Remaining, r => Assert.True(double.IsFinite(r.Probability)));
    });

    // The promise behind "tells apart", by drawing readings: no formula of the code is used.
    [Fact]
    public void Of_a_pair_told_apart_each_is_taken_for_the_other_at_most_once_in_twenty()
    {
        DiagnosisLine[] lines = [Line("torque-sensor-zero", 0.5, 1.2, 0.2), Line("sound", 0.5, 0, 0)];
        var told = NextMeasurement.Of(lines, Unit, [SensorZero with { UsualSpread = 0.3, StandardUncertainty = 0.1 }]).Measurements.Single();
        var (a, b) = (told.Expected[0], told.Expected[1]);
        var threshold = (a.Value * b.StandardDeviation + b.Value * a.StandardDeviation) / (a.StandardDeviation + b.StandardDeviation);
        var random = new Random(5);
        var wrong = Enumerable.Range(0, 20_000).Count(_ => Draw(random, a) < threshold);
        Assert.InRange(wrong / 20_000.0, 0, 0.055);
    }

    static double Draw(Random random, CausePrediction of) =>
        of.Value + of.StandardDeviation * Math.Sqrt(-2 * Math.Log(1 - random.NextDouble())) * Math.Cos(2 * Math.PI * random.NextDouble());

    // Which of the two leads is not what these tests are about.
    static IEnumerable<CausePair> Either(IEnumerable<CausePair> pairs) => pairs.SelectMany(p => new[] { p, new CausePair(p.Other, p.One) });

    static DiagnosisLine Line(string fault, double probability, double size, double sd) => new(fault, fault, probability, size, new(size - 1.96 * sd, size + 1.96 * sd, 0.95), "", [], "", "");

    static IReadOnlyList<DiagnosisLine> Diagnosis(Deviation fault)
    {
        var verdict = DemoJudge.Judge.Judge(FaultlessRun.Of(DemoPlan.Plan, fault), [], []);
        return verdict.Diagnosis;
    }
}
