using BenchmarkDotNet.Attributes;
using Roadproof.Engineering.Drive;
using Roadproof.Engineering.LoadTest;
using Roadproof.Engineering.Statistics;

namespace Roadproof.Bench;

/// <summary>The small pieces that everything else calls many times, and the judge that is made once for a revision.</summary>
[MemoryDiagnoser]
public class DriveBench
{
    const double RpmToRadPerS = Math.Tau / 60;

    readonly LoadTestPlan plan = DemoPlant.Plan;
    readonly SeededNoise noise = new(1, "bench");
    ThermalNetwork network = null!;
    ThermalState state;
    Heat heat;

    [GlobalSetup]
    public void Setup()
    {
        network = new ThermalNetwork(plan.Unit.Thermal);
        state = ThermalState.At(20);
        heat = Heat.From(PlainPoint().Losses);
        if (!PlainPoint().Reachable || PlainPoint().FieldWeakening || !WeakenedPoint().Reachable || !WeakenedPoint().FieldWeakening)
            throw new InvalidOperationException("The two points are not what their names say.");
    }

    /// <summary>32 N·m at 75 rpm.</summary>
    [Benchmark(Baseline = true)]
    public OperatingPoint PlainPoint() => OperatingPoints.Solve(plan.Unit, Deviation.None, new PointRequest(32, 75 * RpmToRadPerS));

    /// <summary>20 N·m at 130 rpm.</summary>
    [Benchmark]
    public OperatingPoint WeakenedPoint() => OperatingPoints.Solve(plan.Unit, Deviation.None, new PointRequest(20, 130 * RpmToRadPerS));

    [Benchmark]
    public ThermalState ThermalStep() => network.Step(state, heat, 20, 1);

    [Benchmark]
    public double NormalNumber() => noise.Normal();

    [Benchmark]
    public LoadTestJudge MakeJudge() => new(plan);
}
