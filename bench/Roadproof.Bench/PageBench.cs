using BenchmarkDotNet.Attributes;

namespace Roadproof.Bench;

/// <summary>Pages of a line that has built 30 units, over HTTP from a warm server.</summary>
public class PageBench
{
    ServedLine served = null!;
    string unit = "";
    string capture = "";

    [GlobalSetup]
    public async Task Setup()
    {
        served = await DemoPlant.Serve(30);
        var view = Roadproof.App.Line.AskLine.Units("shipped", null, 0, 1, served.Line).Units[0];
        unit = view.Unit;
        capture = Roadproof.App.Line.AskLine.Unit(unit, served.Line)!.LoadTests[^1].Captures.First(c => c.Name.Contains("vibration", StringComparison.Ordinal)).Sha256;
    }

    [GlobalCleanup]
    public async Task Cleanup() => await served.DisposeAsync();

    [Benchmark]
    public Task<string> Line() => served.Http.GetStringAsync(new Uri("/", UriKind.Relative));

    [Benchmark(Baseline = true)]
    public Task<string> Unit() => served.Http.GetStringAsync(new Uri($"/units/{unit}", UriKind.Relative));

    [Benchmark]
    public Task<string> Station() => served.Http.GetStringAsync(new Uri("/stations/st70", UriKind.Relative));

    /// <summary>513,000 samples thinned to 1,200 columns.</summary>
    [Benchmark]
    public Task<string> Trace() => served.Http.GetStringAsync(new Uri($"/api/v1/captures/{capture}/trace?channel=vibration_m_s2&points=1200", UriKind.Relative));
}
