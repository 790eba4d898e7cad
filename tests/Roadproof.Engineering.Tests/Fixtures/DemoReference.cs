using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Judging;
using Roadproof.Engineering.LoadTest;
using Roadproof.Engineering.LoadTest.Rigs;
using Roadproof.Engineering.Statistics;

namespace Roadproof.Engineering.Tests.Fixtures;

/// <summary>A sound reference of the invented mid-drive unit: as drawn, with the scatter that repeated runs on a simulated rig had.</summary>
static class DemoReference
{
    static readonly Dictionary<string, double> Scatter = new(StringComparer.Ordinal)
    {
        ["resistance-20"] = 0.018, ["flux-20"] = 0.0002, ["rotor-offset"] = 0.0008, ["current-gain"] = 0.0001,
        ["no-load-75"] = 0.039, ["no-load-110"] = 0.049, ["no-load-110-end"] = 0.033,
        ["current-10-90"] = 0.008, ["current-31.8-75"] = 0.007, ["current-50-60"] = 0.007, ["current-85-60"] = 0.0095, ["current-85-30"] = 0.0083, ["current-45-100"] = 0.0083,
        ["power-10-90"] = 0.24, ["power-31.8-75"] = 0.19, ["power-50-60"] = 0.16, ["power-85-60"] = 0.24, ["power-85-30"] = 0.14, ["power-45-100"] = 0.29,
        ["winding-rise"] = 0.005, ["controller-rise"] = 0.004, ["ripple-6"] = 0.005, ["mesh-1"] = 0.028, ["mesh-2"] = 0.03, ["rotor-1x"] = 0.033, ["wheel-tooth"] = 0.037,
    };

    public static readonly ReferenceUnit Unit = new()
    {
        Id = "sound-a", Code = "REF-A", Name = "Reference A", Kind = ReferenceKind.Sound, Origin = "test",
        Expected = [.. Values().Select(v => new ReferenceExpectation { Id = v.Id, Value = v.Value, StandardUncertainty = Scatter[v.Id] / 5, StandardDeviation = Scatter[v.Id] })],
    };

    static readonly Lazy<RigGaugeMoves> LazyMoves = new(() => new(DemoPlan.Plan, [.. Unit.Expected.Select(e => e.Id)]));

    public static ReferenceJudge Judge => DemoJudge.Judge.JudgeOf(Unit);

    public static IReadOnlyList<GaugeMove> Gauges => LazyMoves.Value.Gauges;

    /// <summary>What a rig reads whose gauges are wrong by so many standard uncertainties, with the noise of one run.</summary>
    public static LoadTestVerdict Run(double[] gauges, SeededNoise noise)
    {
        var n = Unit.Expected.Count;
        var (white, coloured) = (new double[n], new double[n]);
        noise.Fill(white);
        new Whitening(LazyMoves.Value.Correlation).Colour(white, coloured);
        return Reading(i => Unit.Expected[i].Value + Unit.Expected[i].StandardDeviation * coloured[i] + Gauges.Select((g, k) => g.Moves[i] * gauges[k]).Sum());
    }

    public static LoadTestVerdict Reading(Func<int, double> value) => new(
        RunVerdict.Pass, [], [.. Unit.Expected.Select((e, i) => new ExpectationReading(e.Id, e.Id, "", value(i), value(i), e.Value, 1, 0, 0, 0, Verdict.Usual))], 0, 0, 0, [], [], "test", []);

    static IEnumerable<(string Id, double Value)> Values()
    {
        var drawn = ExpectedReadings.At(DemoPlan.Plan, Deviation.None);
        return Characteristics.Expectations(DemoPlan.Plan).Select(c => (c.Id, drawn[c.Id]));
    }
}
