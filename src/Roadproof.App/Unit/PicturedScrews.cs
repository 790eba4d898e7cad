using Roadproof.App.Frame;
using Roadproof.Records.Definitions;
using Roadproof.Records.ReadModel;

namespace Roadproof.App.Unit;

/// <summary>A group of screws that was judged by torque and angle, where its screws stand.</summary>
/// <param name="Results">Of the last attempt, by number.</param>
public sealed record PicturedScrews(string Group, string Name, double LowerNm, double UpperNm, IReadOnlyList<DrawnScrew> Screws, IReadOnlyList<UnitScrew> Results)
{
    /// <summary>The groups of a unit whose places its revision knows and that have no curves.</summary>
    public static IReadOnlyList<PicturedScrews> Of(UnitView view, RouteRevision revision) =>
    [
        .. from step in revision.Steps
           from g in step.Screws
           where g is { Places: not null, Curve: null }
           let results = view.Screws.Where(s => s.Step == step.Id && s.Group == g.Id).GroupBy(s => s.Attempt).MaxBy(a => a.Key)?.OrderBy(s => s.Number).ToList()
           where results is not null
           select new PicturedScrews(g.Id, g.Name, g.TorqueLowerNm, g.TorqueUpperNm, [.. g.Places!.Of(g.Count).Select((p, i) => new DrawnScrew(i + 1, p.X, p.Y, results.Find(s => s.Number == i + 1)?.Verdict ?? "waiting", 0, false))], results),
    ];
}
