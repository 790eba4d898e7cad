using System.Text;
using CsCheck;
using Roadproof.Engineering.Checks;
using Roadproof.Engineering.Judging;
using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Statistics;

namespace Roadproof.Engineering.Tests.Checks;

/// <summary>What a winding's readings say, from windings whose phases are known.</summary>
public sealed class WindingTests
{
    static readonly WindingTest Test = new()
    {
        Limits = new Dictionary<string, FeatureWindow>
        {
            [WindingVerdict.Resistance] = new(106.7, 113.3, "test"), [WindingVerdict.ResistanceImbalance] = new(null, 1, "test"), [WindingVerdict.InductanceImbalance] = new(null, 2, "test"),
            [WindingVerdict.InsulationOhm] = new(100, null, "test"), [WindingVerdict.SensorDeviation] = new(-2, 2, "test"), [WindingVerdict.SurgeArea] = new(null, 10, "test"),
        },
    };

    [Theory]
    [InlineData(WindingConnection.Star)]
    [InlineData(WindingConnection.Delta)]
    public void The_phases_come_back_from_their_pairs(WindingConnection connection) =>
        Gen.Select(Gen.Double[0.01, 10], Gen.Double[0.01, 10], Gen.Double[0.01, 10]).Sample((a, b, c) =>
        {
            // A delta's side is parallel to the other two in series.
            var pairs = connection == WindingConnection.Star ? new Pairs(a + b, b + c, c + a) : new Pairs(a * (b + c) / (a + b + c), b * (c + a) / (a + b + c), c * (a + b) / (a + b + c));
            var phases = pairs.Phases(connection);
            Assert.Equal(a, phases.Uv, 1e-9 * (a + b + c) * (1 + (a + b + c) / Math.Min(a, Math.Min(b, c))));
            Assert.Equal(b, phases.Vw, 1e-9 * (a + b + c) * (1 + (a + b + c) / Math.Min(a, Math.Min(b, c))));
            Assert.Equal(c, phases.Wu, 1e-9 * (a + b + c) * (1 + (a + b + c) / Math.Min(a, Math.Min(b, c))));
        }, iter: 300);

    // 110 mΩ at 20 °C read at 30 °C; 0.5 K are 0.19 % and the meter 0.1 %.
    [Fact]
    public void A_resistance_is_carried_to_20_with_its_temperature_s_uncertainty()
    {
        var v = Judge(new Pairs(0.110, 0.110, 0.110).Each(r => r * (235 + 30) / (235 + 20)), 30);
        Assert.Equal(RunVerdict.Pass, v.Verdict);
        Assert.Equal(110, Value(v, WindingVerdict.Resistance), 1e-9);
        Assert.Equal(110 * Math.Sqrt(0.001 * 0.001 + Math.Pow(0.5 / 265, 2)), U(v, WindingVerdict.Resistance), 0.001);
        Assert.Equal(55, Value(v, WindingVerdict.PhaseU), 1e-9);
    }

    [Fact]
    public void Three_pairs_share_what_each_reads_wrong() =>
        Assert.Equal(1 / Math.Sqrt(3), U(Judge(new(0.11, 0.11, 0.11), 20, Test with { ResistanceStepOhm = 0.001, ResistanceShare = 0, TemperatureK = 0 }), WindingVerdict.Resistance), 1e-9);

    [Fact]
    public void A_bad_joint_shows_in_its_pairs_and_its_phase()
    {
        var v = Judge(new(0.110, 0.112, 0.112), 20);
        Assert.Equal(RunVerdict.Fail, v.Verdict);
        Assert.Equal(100 * 0.002 / (0.334 / 3), Value(v, WindingVerdict.ResistanceImbalance), 1e-9);
        Assert.Equal(57, Value(v, WindingVerdict.PhaseW), 1e-9);
    }

    // The imbalance of two-wire readings drowns in their contacts: 1 mΩ of scatter in 110 is 1.3 %.
    [Fact]
    public void Two_wires_cannot_tell_what_four_can()
    {
        var twoWires = Test with { LeadOhm = new(0.010, 0.002), ContactOhm = 0.001 };
        var v = Judge(new(0.120, 0.1205, 0.1205), 20, twoWires);
        Assert.Equal(RunVerdict.Hold, v.Verdict);
        Assert.Equal(110.333, Value(v, WindingVerdict.Resistance), 0.001);
        Assert.Equal(100 * Math.Sqrt(2) * 0.001 / 0.1103333, U(v, WindingVerdict.ResistanceImbalance), 0.001);
        Assert.Equal(RunVerdict.Pass, Judge(new(0.110, 0.1105, 0.1105), 20).Verdict);
    }

    [Fact]
    public void Without_a_temperature_there_is_no_value_at_20() => Assert.Null(Judge(new(0.11, 0.11, 0.11), null).Features[0].Value);

    // The uncertainties of phases are what repeated readings scatter by.
    [Theory]
    [InlineData(WindingConnection.Star)]
    [InlineData(WindingConnection.Delta)]
    public void A_phase_s_uncertainty_is_its_scatter(WindingConnection connection)
    {
        var test = Test with { Connection = connection, ResistanceShare = 0, TemperatureK = 0, ResistanceStepOhm = 1e-4, LeadOhm = new(0, 2e-4) };
        var noise = new SeededNoise(3, "winding");
        var phases = Enumerable.Range(0, 4000).Select(_ =>
        {
            var lead = 2e-4 * noise.Normal();
            return new Pairs(0.11 + lead + 1e-4 * noise.Normal(), 0.11 + lead + 1e-4 * noise.Normal(), 0.11 + lead + 1e-4 * noise.Normal()).Phases(connection).Uv;
        }).ToList();
        var mean = phases.Average();
        var scatter = 1e3 * Math.Sqrt(phases.Sum(p => (p - mean) * (p - mean)) / phases.Count);
        Assert.Equal(scatter, U(Judge(new(0.11, 0.11, 0.11), 20, test), WindingVerdict.PhaseU), 0.05 * scatter);
    }

    [Fact]
    public void With_the_rotor_in_only_the_mean_inductance_stands()
    {
        // 245 µH ± 25 µH with the rotor's place.
        var pairs = new Pairs(0, 2 * Math.PI / 3, 4 * Math.PI / 3).Each(a => 245e-6 + 25e-6 * Math.Cos(0.7 + a));
        var read = new WindingReadings { InductanceH = [pairs], WindingC = 20 };
        var within = WindingVerdict.Judge(read, Test with { RotorSaliency = 25.0 / 245 });

        Assert.Equal(245, Value(within, WindingVerdict.Inductance), 1e-6);
        Assert.Equal(RunVerdict.Hold, within.Verdict);
        Assert.Equal(RunVerdict.Fail, WindingVerdict.Judge(read, Test).Verdict);
        Assert.Equal(RunVerdict.Fail, WindingVerdict.Judge(read with { InductanceH = [pairs with { Uv = 0.7 * pairs.Uv }] }, Test with { RotorSaliency = 25.0 / 245 }).Verdict);
    }

    [Theory]
    [InlineData(2e9, RunVerdict.Pass)]
    [InlineData(4e8, RunVerdict.Hold)]
    [InlineData(2e7, RunVerdict.Fail)]
    public void Insulation_is_judged_at_40(double ohm, RunVerdict expected) =>
        Assert.Equal(expected, WindingVerdict.Judge(new WindingReadings { InsulationOhm = ohm, WindingC = 20 }, Test).Verdict);

    // Two halvings from 20 to 40 °C, a rule that is 30 % off in each, 0.5 K, a meter of 5 %.
    [Fact]
    public void The_rough_rule_is_in_the_insulation_s_uncertainty()
    {
        var at40 = Insulation.At40(400e6, 20, 0.05, 0.5);
        Assert.Equal(double.Hypot(0.05, Math.Log(2) * double.Hypot(0.6, 0.05)), at40.StandardUncertainty / at40.Value, 1e-12);
    }

    [Fact]
    public void Two_noisy_copies_differ_by_what_noise_makes()
    {
        var c = SurgeComparison.Of(new(Times, Wave(50e3, 9e3, 12, 1), Wave(50e3, 9e3, 12, 2)));
        Assert.Equal(1, c.AreaShare.Value / c.NoiseAreaShare, 0.1);
    }

    [Fact]
    public void Absorption_gives_the_indices_and_too_good_an_insulation_none()
    {
        var t = Enumerable.Range(1, 700).Select(i => (double)i).ToArray();
        var v = WindingVerdict.Judge(new InsulationCurve(t, [.. t.Select(s => 1e9 * Math.Pow(s / 60, 0.4))], 40), Test);
        Assert.Equal(Math.Pow(10, 0.4), Value(v, WindingVerdict.PolarisationIndex), 1e-9);
        Assert.Equal(Math.Pow(2, 0.4), Value(v, WindingVerdict.AbsorptionRatio), 1e-9);
        Assert.Equal(1000, Value(v, WindingVerdict.InsulationOhm), 1e-6);

        var good = WindingVerdict.Judge(new InsulationCurve(t, [.. t.Select(s => 6e9 + s)], 40), Test);
        Assert.Null(good.Features.First(f => f.Id == WindingVerdict.PolarisationIndex).Value);
        Assert.Contains("say nothing", good.Reading[0], StringComparison.Ordinal);
        Assert.Null(WindingVerdict.Judge(new InsulationCurve(t[..300], [.. t[..300].Select(s => 1e8)], 40), Test).Features.First(f => f.Id == WindingVerdict.PolarisationIndex).Value);
    }

    [Theory]
    [InlineData(21, RunVerdict.Pass)]
    [InlineData(22.3, RunVerdict.Hold)]
    [InlineData(26, RunVerdict.Fail)]
    public void The_sensor_has_to_read_what_the_winding_is(double sensorC, RunVerdict expected) =>
        Assert.Equal(expected, WindingVerdict.Judge(new WindingReadings { SensorC = sensorC, WindingC = 20 }, Test).Verdict);

    [Fact]
    public void A_wave_s_frequency_and_damping_come_out_within_their_uncertainty() =>
        Gen.Select(Gen.Double[20e3, 90e3], Gen.Double[3e3, 25e3], Gen.ULong[1, 1_000_000]).Sample((hz, damping, seed) =>
        {
            var wave = DampedWave.Of(Times, Wave(hz, damping, 4, seed))!;
            Assert.InRange(wave.FrequencyHz.Value, hz - 4.5 * wave.FrequencyHz.StandardUncertainty, hz + 4.5 * wave.FrequencyHz.StandardUncertainty);
            Assert.InRange(wave.DampingPerS.Value, damping - 4.5 * wave.DampingPerS.StandardUncertainty, damping + 4.5 * wave.DampingPerS.StandardUncertainty);
        }, iter: 100);

    [Fact]
    public void A_master_beside_itself_passes_with_no_area_but_noise()
    {
        var v = WindingVerdict.Judge(new SurgeCurves(Times, Wave(50e3, 9e3, 2, 1), Wave(50e3, 9e3, 2, 2)), Test);
        Assert.Equal(RunVerdict.Pass, v.Verdict);
        Assert.InRange(Value(v, WindingVerdict.SurgeArea), 0, 2);
        Assert.InRange(Math.Abs(Value(v, WindingVerdict.SurgeFrequencyShift)), 0, 0.05);
    }

    // A shorted turn takes 3 to 11 % of the inductance: 1.5 to 6 % of frequency, far beyond the noise and the limit of area.
    [Theory]
    [InlineData(0.97, 1.5)]
    [InlineData(0.89, 6.0)]
    public void A_shorted_turn_rings_faster(double inductance, double shiftPercent)
    {
        var v = WindingVerdict.Judge(new SurgeCurves(Times, Wave(50e3 / Math.Sqrt(inductance), 11e3, 2, 1), Wave(50e3, 9e3, 2, 2)), Test);
        Assert.Equal(RunVerdict.Fail, v.Verdict);
        Assert.Equal(shiftPercent, Value(v, WindingVerdict.SurgeFrequencyShift), 0.1);
        Assert.Contains(v.Reading, s => s.Contains("A shorted turn", StringComparison.Ordinal));
    }

    [Fact]
    public void Unlike_peaks_and_loud_noise_cannot_tell()
    {
        Assert.Equal(RunVerdict.Hold, WindingVerdict.Judge(new SurgeCurves(Times, [.. Wave(50e3, 9e3, 2, 1).Select(v => 1.2 * v)], Wave(50e3, 9e3, 2, 2)), Test).Verdict);
        Assert.Equal(RunVerdict.Hold, WindingVerdict.Judge(new SurgeCurves(Times, Wave(50e3, 9e3, 15, 1), Wave(50e3, 9e3, 15, 2)), Test).Verdict);
    }

    [Fact]
    public void What_does_not_ring_has_no_frequency()
    {
        var noise = new SeededNoise(5, "flat");
        Assert.Null(DampedWave.Of(Times, [.. Times.Select(_ => noise.Normal())]));
        Assert.Null(DampedWave.Of(Times, [.. Times.Select(t => 800 * Math.Exp(-2e4 * t))]));
    }

    [Theory]
    [InlineData("resistance_uv_ohm,resistance_vw_ohm\n0.1,0.1\n", "w.csv:1: found no column resistance_wu_ohm beside resistance_uv_ohm, expected all three pairs.")]
    [InlineData("sensor_c,insulation_ohm\n20,-1\n", "w.csv:2: insulation_ohm: found -1, expected a value above 0 Ω.")]
    [InlineData("time_s,surge_v\n0,1\n1,2\n", "w.csv:1: found surge_v without master_v, expected the master's wave at the same instants beside it.")]
    [InlineData("time_s,insulation_ohm\n2,1\n1,2\n", "w.csv:3: time_s: found 1 after 2, expected values that rise from row to row.")]
    public void What_is_no_winding_s_reading_is_refused(string csv, string expected)
    {
        var e = Assert.Throws<InputException>(() => WindingFile.Read("w.csv", new MemoryStream(Encoding.UTF8.GetBytes(csv))));
        Assert.Equal(expected, e.Message);
    }

    static readonly double[] Times = [.. Enumerable.Range(0, 1000).Select(i => 0.2e-6 * i)];

    static double[] Wave(double hz, double dampingPerS, double noiseV, ulong seed)
    {
        var noise = new SeededNoise(seed, "surge");
        return [.. Times.Select(t => 800 * Math.Exp(-dampingPerS * t) * Math.Cos(2 * Math.PI * hz * t) + noiseV * noise.Normal())];
    }

    static CheckVerdict Judge(Pairs ohm, double? windingC, WindingTest? test = null) => WindingVerdict.Judge(new WindingReadings { ResistanceOhm = [ohm], WindingC = windingC }, test ?? Test);

    static double Value(CheckVerdict v, string id) => v.Features.First(f => f.Id == id).Value!.Value;

    static double U(CheckVerdict v, string id) => v.Features.First(f => f.Id == id).StandardUncertainty!.Value;
}
