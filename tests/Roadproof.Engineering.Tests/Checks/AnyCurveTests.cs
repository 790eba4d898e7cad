using CsCheck;
using Roadproof.Engineering.Checks;
using Roadproof.Engineering.Quantities;

namespace Roadproof.Engineering.Tests.Checks;

/// <summary>Whatever a tester records, a check answers: with features that are numbers or null, or with what is wrong with the input.</summary>
public sealed class AnyCurveTests
{
    static readonly Gen<double[]> Steps = Gen.OneOf(Gen.Double[1e-6, 1], Gen.Const(0.01)).Array[2, 300];

    static readonly Gen<double[]> Signal = Gen.OneOf(
        Gen.Double[-1e6, 1e6].Array[2, 300], Gen.Int[0, 3].Select(i => 1000.0 * i).Array[2, 300], Gen.Double[0, 1e-9].Array[2, 300], Gen.Const(0.0).Array[2, 300]);

    [Fact]
    public void A_press_in_answers() => Both((x, y) => PressVerdict.Judge(new PressCurve(x, y), PressedIn.Test));

    [Fact]
    public void A_hold_answers() => Both((x, y) => LeakVerdict.Judge(new LeakCurve(x, [.. y.Select(p => 1 + Math.Abs(p))], [.. y.Select(p => 20 + 1e-7 * p)], null), HeldPressure.Test));

    [Fact]
    public void A_shot_answers() => Both((x, y) => GreaseVerdict.Judge(new GreaseShot(x, y), new GreaseTest { Limits = new Dictionary<string, FeatureWindow>(), FlowGPerS = new(6, 0.1) }));

    [Fact]
    public void A_surge_answers() => Both((x, y) => WindingVerdict.Judge(new SurgeCurves(x, y, [.. y.Reverse()]), new WindingTest { Limits = new Dictionary<string, FeatureWindow> { [WindingVerdict.SurgeArea] = new(null, 10, "test") } }));

    [Fact]
    public void An_insulation_answers() => Both((x, y) => WindingVerdict.Judge(new InsulationCurve([.. x.Select(t => 5 * t)], [.. y.Select(o => 1 + Math.Abs(o))], 25), new WindingTest()));

    static void Both(Func<double[], double[], CheckVerdict> judge) => Gen.Select(Steps, Signal).Sample((steps, signal) =>
    {
        var n = Math.Min(steps.Length, signal.Length);
        var x = new double[n];
        for (var i = 1; i < n; i++) x[i] = x[i - 1] + steps[i];
        try
        {
            var v = judge(x, signal[..n]);
            Assert.All(v.Features, f => Assert.True(f.Value is not { } value || (double.IsFinite(value) && f.StandardUncertainty >= 0), $"{f}"));
            Assert.All(v.Reading, s => Assert.DoesNotContain("NaN", s, StringComparison.Ordinal));
        }
        catch (InputException e)
        {
            Assert.NotEmpty(e.Errors);
        }
    }, iter: 3000);
}
