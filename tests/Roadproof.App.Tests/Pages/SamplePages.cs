using Roadproof.App.Follow;
using Roadproof.App.Frame;
using Roadproof.App.Line;
using Roadproof.App.Station;
using Roadproof.App.Unit;
using Roadproof.Records.ReadModel;

namespace Roadproof.App.Tests.Pages;

/// <summary>Writes every page with its sample view into <c>.build/pages</c>, to be looked at in a browser. Run it by name; it is no check.</summary>
public sealed class SamplePages
{
    [Fact(Explicit = true)]
    public async Task Are_written_to_be_looked_at()
    {
        var folder = Directory.CreateDirectory(Path.Combine(Checkout.Root, ".build", "pages")).FullName;
        var taken = new StationProgress(new Dictionary<string, string>(StringComparer.Ordinal) { ["gear-set"] = "GS-0386" });
        (string Name, Task<string> Text)[] pages =
        [
            ("line", PageText.Document<Layout, LineSheet>("/", ("View", SampleLines.Busy))),
            ("wall", PageText.Document<Layout, LineSheet>("/line?wall=1", ("View", SampleLines.Busy), ("Wall", true))),
            ("line-empty", PageText.Document<Layout, LineSheet>("/", ("View", SampleLines.Empty))),
            ("line-huge", PageText.Document<Layout, LineSheet>("/", ("View", SampleLines.Huge))),
            ("stations", PageText.Document<Layout, StationListSheet>("/stations", ("Lines", new[] { SampleLines.Busy }))),
            ("station", PageText.Document<LayoutStation, StationSheet>("/stations/st70", ("View", SampleLines.Gears), ("Now", SampleUnits.Now), ("Drawn", SampleUnits.Drawn), ("Screws", SampleUnits.Screws))),
            ("station-second", PageText.Document<LayoutStation, StationSheet>("/stations/st70", ("View", SampleLines.Gears), ("Now", SampleUnits.Now.AddSeconds(40)), ("Drawn", SampleUnits.Drawn), ("Screws", SampleUnits.Screws), ("Progress", taken))),
            ("station-refused", PageText.Document<LayoutStation, StationSheet>("/stations/st70", ("View", SampleLines.Refused), ("Now", SampleUnits.Now), ("Drawn", SampleUnits.Drawn), ("Screws", SampleUnits.Screws))),
            ("station-rotor", PageText.Document<LayoutStation, StationSheet>("/stations/st30", ("View", SampleLines.Rotor), ("Now", SampleUnits.Now), ("Drawn", SampleUnits.Drawn), ("Screws", SampleUnits.Screws))),
            ("station-tool", PageText.Document<LayoutStation, StationSheet>("/stations/st40", ("View", SampleLines.Screws), ("Now", SampleUnits.Now), ("Drawn", SampleUnits.Drawn), ("Screws", SampleUnits.Screws))),
            ("station-tool-refused", PageText.Document<LayoutStation, StationSheet>("/stations/st40", ("View", SampleLines.Screws with { LastRefusal = SampleLines.Refused.LastRefusal }), ("Now", SampleUnits.Now))),
            ("station-free", PageText.Document<LayoutStation, StationSheet>("/stations/st30", ("View", SampleLines.Free), ("Now", SampleUnits.Now), ("Drawn", SampleUnits.Drawn), ("Screws", SampleUnits.Screws))),
            ("unit-failed", PageText.Document<Layout, UnitSheet>("/units/SH-0001842", ("View", SampleUnits.Failed), ("Now", SampleUnits.Now))),
            ("unit-held", PageText.Document<Layout, UnitSheet>("/units/SH-0001842", ("View", SampleUnits.Held), ("Now", SampleUnits.Now))),
            ("unit-shipped", PageText.Document<Layout, UnitSheet>("/units/SH-0001817", ("View", SampleUnits.Shipped), ("Now", SampleUnits.Now))),
            ("unit-empty", PageText.Document<Layout, UnitSheet>("/units/SH-0001907", ("View", SampleUnits.Empty), ("Now", SampleUnits.Now))),
            ("units", PageText.Document<Layout, UnitListSheet>("/units", ("View", SampleLines.Units), ("Now", SampleUnits.Now))),
            ("units-none", PageText.Document<Layout, UnitListSheet>("/units", ("View", new UnitListView(0, [])), ("Now", SampleUnits.Now), ("Find", "nonsense"))),
            .. FollowStage.Of(SampleUnits.Shipped, SampleUnits.Drawn, SampleUnits.Screws, DemoPlan.Plan.Cycle).Select(s => ($"follow-{s.Step}", PageText.Document<Layout, FollowSheet>("/follow/SH-0001817",
                ("View", SampleUnits.Shipped), ("Drawn", SampleUnits.Drawn), ("Screws", SampleUnits.Screws), ("Now", SampleUnits.Now), ("Stage", s.Step), ("Cycle", DemoPlan.Plan.Cycle), ("WheelRadiusM", DemoPlan.Plan.WheelRadiusM)))),
            ("follow-now", PageText.Document<Layout, FollowSheet>("/follow/SH-0001898", ("View", SampleUnits.Building), ("Drawn", SampleUnits.Drawn), ("Screws", SampleUnits.Screws), ("Now", SampleUnits.Now), ("Cycle", DemoPlan.Plan.Cycle))),
        ];
        foreach (var (name, text) in pages) await File.WriteAllTextAsync(Path.Combine(folder, name + ".html"), await text, TestContext.Current.CancellationToken);
    }
}
