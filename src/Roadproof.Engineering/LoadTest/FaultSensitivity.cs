namespace Roadproof.Engineering.LoadTest;

/// <summary>The smallest size of a fault that nine of ten units with it are stopped for.</summary>
/// <param name="SmallestFound">In <paramref name="Unit"/>; null where no size within five times the typical one is found that surely.</param>
/// <param name="SeenBy">The characteristic that the fault moves farthest.</param>
/// <param name="BestPoint">The load point of that characteristic; empty where it belongs to none.</param>
public sealed record FaultSensitivity(string Fault, string Name, string Unit, double? SmallestFound, string BestPoint, string SeenBy)
{
    const double Surely = 0.9;

    internal static FaultSensitivity Of(FaultHypothesis h, StopRates rates, LoadTestPlan plan)
    {
        var (lower, upper) = (0.0, 5 * h.Typical);
        if (h.Id == "grease-missing") upper = 2 * h.Typical; // there is no more than all of the grease, and a little for the drags' own scatter
        if (rates.Of(h.At(upper)).Rate < Surely) return Found(null, upper);
        for (var step = 0; step < 12; step++)
        {
            var middle = (lower + upper) / 2;
            if (rates.Of(h.At(middle)).Rate < Surely) lower = middle;
            else upper = middle;
        }

        return Found(upper, upper);

        FaultSensitivity Found(double? size, double at)
        {
            var seenBy = rates.Of(h.At(at)).SeenBy;
            var point = plan.Cycle.Points.Where(p => seenBy == p.Id || seenBy.EndsWith("-" + p.Id, StringComparison.Ordinal)).Select(p => p.Id).FirstOrDefault("");
            return new(h.Id, h.Name, h.Unit, size, point, seenBy);
        }
    }
}
