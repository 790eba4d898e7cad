using Roadproof.App.Frame;
using Roadproof.Records.ReadModel;

namespace Roadproof.App.LoadTest.Rigs;

/// <summary>How far apart the rigs read, worked out again only when a run, a reference or a calibration has come: the page asks after every record.</summary>
public sealed class ComparedRigs(AskedLine line)
{
    readonly Lock gate = new();
    (string Of, IReadOnlyList<RigComparisonView> Views)? kept;

    public IReadOnlyList<RigComparisonView> Views()
    {
        var plant = line.Plant;
        lock (gate)
        {
            return line.Ask(c =>
            {
                var of = Invariant($"{RigQuery.NewestRun(c)} {string.Join(' ', plant.Standing.Select(r => r.Id))}");
                if (kept is not { } known || known.Of != of) kept = known = (of, RigQuery.Compare(c, plant));
                return known.Views;
            });
        }
    }
}
