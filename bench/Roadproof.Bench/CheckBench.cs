using BenchmarkDotNet.Attributes;
using Roadproof.Engineering.Checks;
using Roadproof.Engineering.Checks.Functional;
using Roadproof.Engineering.Statistics;

namespace Roadproof.Bench;

/// <summary>One curve of a check to its verdict: a press-in of 500 rows, a hold of 30 s at 10 Hz and at 100 Hz, a shot of 300 rows, a surge of 1,000 rows beside its master, a functional check of 4,500 rows.</summary>
[MemoryDiagnoser]
public class CheckBench
{
    static readonly PressTest PressTest = new()
    {
        Limits = new Dictionary<string, FeatureWindow> { [PressVerdict.Seat] = new(9.9, 10.1, "bench"), [PressVerdict.PressForce] = new(800, 1400, "bench") },
        Windows = [new("5..7", 5e-3, 7e-3, 400, 900)],
    };

    static readonly LeakTest LeakTest = new() { VolumeM3 = 6e-4, TestPressurePa = 2e4, Limit = new(null, 5, "bench") };
    static readonly GreaseTest GreaseTest = new() { Limits = new Dictionary<string, FeatureWindow>(), FlowGPerS = new(6, 0.06) };
    static readonly WindingTest WindingTest = new() { Limits = new Dictionary<string, FeatureWindow> { [WindingVerdict.SurgeArea] = new(null, 10, "bench") } };

    readonly SeededNoise noise = new(1, "check bench");
    PressCurve press = null!;
    LeakCurve hold = null!, fastHold = null!;
    GreaseShot shot = null!;
    SurgeCurves surge = null!;
    FunctionalCapture turned = null!;
    readonly FunctionalTest functionalTest = new()
    {
        Unit = DemoPlant.Plan.Unit, Tolerances = DemoPlant.Plan.Tolerances with { CrankDragShare = 0.225, TakeUpDeg = 0.9 },
        Limits = new Dictionary<string, FeatureWindow> { [FunctionalVerdict.Lock] = new(127.5, null, "bench") },
    };

    [GlobalSetup]
    public void Setup()
    {
        var mm = Rows(500, 10.1 / 499);
        press = new([.. mm.Select(x => x / 1e3)], [.. mm.Select(x => (x < 2 ? 0 : 150 + 120 * (Math.Min(x, 10) - 2) + 20_000 * Math.Max(0, x - 10)) + 5 * noise.Normal())]);
        (hold, fastHold) = (Hold(300, 0.1), Hold(3000, 0.01));
        var time = Rows(300, 0.01);
        shot = new(time, [.. time.Select(t => 2e6 * Math.Clamp(Math.Min((t - 0.2) / 0.1, (2.4 - t) / 0.1), 0, 1) + 4e3 * noise.Normal())]);
        var ring = Rows(1000, 0.2e-6);
        surge = new(ring, Ring(ring, 51e3), Ring(ring, 50e3));
        turned = Turned();
    }

    [Benchmark]
    public CheckVerdict Press() => PressVerdict.Judge(press, PressTest);

    [Benchmark]
    public CheckVerdict Leak() => LeakVerdict.Judge(hold, LeakTest);

    [Benchmark]
    public CheckVerdict LeakOf3000Rows() => LeakVerdict.Judge(fastHold, LeakTest);

    [Benchmark]
    public CheckVerdict Grease() => GreaseVerdict.Judge(shot, GreaseTest);

    [Benchmark]
    public CheckVerdict Surge() => WindingVerdict.Judge(surge, WindingTest);

    [Benchmark]
    public FunctionalVerdict Functional() => FunctionalVerdict.Judge(turned, functionalTest);

    // Six sections at 200 Hz, 750 rows each.
    FunctionalCapture Turned()
    {
        double[] torque = [0.2, -0.17, -1.49, 0, 0.13, 0];
        var time = Rows(4500, 0.005);
        double Angle(int i) => (i / 750) switch { 3 => -1e-3 * (i % 750), 5 => 0, var s => Math.Sign(torque[s]) * 0.3 * (i % 750) };
        double Torque(int i) => (i / 750) switch { 2 when i % 750 < 13 => -0.02, 3 => -0.19 * (i % 750), var s => torque[s] };
        double[] Phase(double shift) => [.. time.Select((t, i) => i < 3750 ? 0 : 5 * Math.Cos(20 * t + shift))];
        return new(time, [.. time.Select((_, i) => i / 750 + 1)], [.. time.Select((_, i) => Angle(i))], [.. time.Select((_, i) => Torque(i) + 0.01 * noise.Normal())],
            [.. time.Select(_ => 0.1 * noise.Normal())], [Phase(0), Phase(2.1), Phase(-2.1)], [.. time.Select(_ => 0.0)], [.. time.Select(_ => 21.0)]);
    }

    // The gas above the wall by 5 K at first: the settled stretch is searched.
    LeakCurve Hold(int rows, double stepS)
    {
        var time = Rows(rows, stepS);
        return new(time, [.. time.Select(t => 121_325 * (1 + 5 / 295.0 * Math.Exp(-t / 3)) - 3 * t + 2 * noise.Normal())], [.. time.Select(_ => 22 + 0.02 * noise.Normal())], null);
    }

    double[] Ring(double[] time, double hz) => [.. time.Select(t => 800 * Math.Exp(-9e3 * t) * Math.Cos(2 * Math.PI * hz * t) + 2 * noise.Normal())];

    static double[] Rows(int rows, double step) => [.. Enumerable.Range(0, rows).Select(i => i * step)];
}
