using System.Text.Json;
using Roadproof.App.Frame;
using Roadproof.Engineering.LoadTest;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Definitions;
using Roadproof.Records.ReadModel;

namespace Roadproof.App.LoadTest;

/// <summary>What the units of the plant read at their first run, beside the model that judges them.</summary>
public static class AskProven
{
    /// <summary>Of a data folder, which a server may have open.</summary>
    /// <exception cref="InputException">The folder has no such product with a load test.</exception>
    public static ProvenUnits OfFolder(string folder, string product)
    {
        using var line = AskedLine.Look(folder);
        var revision = line.Standing.FirstOrDefault(r => r.Product.Id == product && r.Product.LoadTest is not null)
            ?? throw new InputException(new InputError("--product", 0, "", $"'{product}'", $"a product with a load test that is approved in {folder}"));
        return Run(revision, line);
    }

    public static ProvenUnits Run(RouteRevision revision, AskedLine line)
    {
        // What is read depends on the drawing, the cycle and the gauges that carry it; limits do not matter.
        var read = Read(revision);
        var alike = line.Revisions.All.Select(r => r.Revision).Where(r => r.Product.Id == revision.Product.Id && r.Product.LoadTest is not null && Read(r) == read).Select(r => r.Id).ToList();
        var runs = line.Ask(c => FirstRuns.Of(c, revision, alike));
        var step = revision.Steps.First(s => s.Kind == StepKind.LoadTest).Id;
        return line.JudgeOf(revision).Proven(runs.Units, [.. revision.Line.Stations.Where(s => s.Step == step).Select(s => s.Id)], runs.Lots, line.Clock.GetLocalNow().ToString("yyyy-MM-dd", CultureInfo.InvariantCulture));
    }

    static string Read(RouteRevision revision) => JsonSerializer.Serialize(new { revision.LoadTest.Unit, revision.LoadTest.Cycle, revision.LoadTest.Gauges, revision.LoadTest.WheelRadiusM }, RouteRevisionJson.Options);
}
