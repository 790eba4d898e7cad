using BenchmarkDotNet.Attributes;
using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Formats;
using Roadproof.Engineering.LoadTest;

namespace Roadproof.Bench;

/// <summary>From the bytes of one run (three Parquet files, 110 s, 790,000 rows) to readings and verdict. Read the ratios: the machine is shared.</summary>
[MemoryDiagnoser]
public class CaptureBench
{
    readonly LoadTestPlan plan = DemoPlant.Plan;
    readonly LoadTestJudge judge = new(DemoPlant.Plan);
    IReadOnlyList<(string Name, byte[] Bytes)> files = [];
    Capture capture = null!;
    LoadTestReadings readings = null!;

    [GlobalSetup]
    public void Setup()
    {
        files = DemoPlant.Run(new Deviation { AddedMotorDragNm = 0.010 });
        capture = ReadFiles();
        readings = LoadTestReadings.From(capture, plan);
    }

    [Benchmark]
    public Capture ReadFiles() => CaptureFile.Read([.. files.Select(f => (f.Name, (Stream)new MemoryStream(f.Bytes)))]);

    [Benchmark]
    public LoadTestReadings FindReadings() => LoadTestReadings.From(capture, plan);

    /// <summary>Carrying to 20 °C, limits, and the diagnosis of a unit with a dry bearing.</summary>
    [Benchmark]
    public LoadTestVerdict JudgeReadings() => judge.Judge(readings);

    [Benchmark(Baseline = true)]
    public LoadTestVerdict BytesToVerdict() => judge.Judge(ReadFiles());
}
