using System.Globalization;
using System.Text;
using BenchmarkDotNet.Attributes;
using Roadproof.Engineering.Checks.Tightening;
using Roadproof.Engineering.Statistics;

namespace Roadproof.Bench;

/// <summary>One screw: 1,500 samples of run-down and rise, from its CSV to its verdict.</summary>
[MemoryDiagnoser]
public class TighteningBench
{
    readonly TighteningWindow window = new()
    {
        Class = HazardClass.B, Gauge = new(0.05, 1), FinalTorque = new(4.95, 6.05, "bench"), FinalAngle = new(30, 70, "bench"), RundownAngle = new(1350, 1500, "bench"),
    };

    byte[] csv = [];
    TighteningCurve curve = null!;

    [GlobalSetup]
    public void Setup()
    {
        var noise = new SeededNoise(1, "tightening-bench");
        var text = new StringBuilder("time_s,angle_deg,torque_nm\n");
        for (var i = 0; i < 1500; i++)
        {
            var torque = 0.8 + 0.1 * Math.Max(0, i - 1453) + 0.02 * noise.Normal();
            text.Append(CultureInfo.InvariantCulture, $"{i * 0.0012:F4},{i},{torque:F3}\n");
        }

        csv = Encoding.UTF8.GetBytes(text.ToString());
        curve = Read();
    }

    [Benchmark]
    public TighteningCurve Read() => TighteningCurve.Read("screw.csv", new MemoryStream(csv));

    [Benchmark]
    public TighteningVerdict Judge() => TighteningJudge.Judge(curve, window);

    [Benchmark(Baseline = true)]
    public TighteningVerdict CsvToVerdict() => TighteningJudge.Judge(Read(), window);
}
