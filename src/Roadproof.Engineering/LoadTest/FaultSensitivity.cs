namespace Roadproof.Engineering.LoadTest;

/// <summary>The smallest size of a fault that nine of ten units with it are stopped for.</summary>
/// <param name="SmallestFound">In <paramref name="Unit"/>; null where no size within five times the typical one is found that surely.</param>
/// <param name="SeenBy">The characteristic that the fault moves farthest.</param>
public sealed record FaultSensitivity(string Fault, string Name, string Unit, double? SmallestFound, string SeenBy)
{
    const double Surely = 0.9;

    internal static FaultSensitivity Of(FaultHypothesis h, StopRates rates)
    {
        var (lower, upper) = (0.0, h.Largest);
        if (rates.Of(h.At(upper)).Rate < Surely) return Found(null, upper);
        for (var step = 0; step < 12; step++)
        {
            var middle = (lower + upper) / 2;
            if (rates.Of(h.At(middle)).Rate < Surely) lower = middle;
            else upper = middle;
        }

        return Found(upper, upper);

        FaultSensitivity Found(double? size, double at) => new(h.Id, h.Name, h.Unit, size, rates.Of(h.At(at)).SeenBy);
    }
}
