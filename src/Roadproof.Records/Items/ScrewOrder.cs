using Roadproof.Engineering.Quantities;
using static System.FormattableString;

namespace Roadproof.Records.Items;

/// <summary>Asked screw by screw while a group is tightened: is the last one the next of the group's order?</summary>
/// <remarks>The message names all screws of the group that are tight so far, in the order of tightening; nothing has to be kept between two of them.</remarks>
static class ScrewOrder
{
    public static IEnumerable<Refusal> Broken(Situation s)
    {
        foreach (var group in s.Step.Screws)
        {
            var driven = s.Said.Screws.Where(w => w.Group == group.Id).Select(w => w.Number).ToList();
            if (driven.Count == 0) continue;
            IReadOnlyList<int> order = group.Curve?.Pattern(driven, group.Count).Whole ?? [.. driven.Distinct().Concat(Enumerable.Range(1, group.Count)).Distinct()];
            var wrong = Enumerable.Range(0, driven.Count).FirstOrDefault(i => i >= order.Count || driven[i] != order[i], -1);
            if (wrong < 0) continue;
            var (found, next) = (Invariant($"screw {driven[wrong]}"), wrong < order.Count ? Invariant($"screw {order[wrong]}") : "none");
            yield return wrong < order.Count
                ? new($"{group.Name}: {found} was tightened, and {next} is next.", $"Stop the driver, take {found} out, and go on with {next}.", next, found)
                : new($"{group.Name}: {found} was tightened once more, and all are tight.", "Stop the driver; never tighten again to make it pass.", next, found);
        }
    }
}
