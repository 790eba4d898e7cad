using MathNet.Numerics.Interpolation;
using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Signals;
using static System.FormattableString;

namespace Roadproof.Engineering.Checks;

/// <summary>A tight volume beside the part, filled with it, is the thermometer of its gas.</summary>
/// <remarks>Nothing leaves it, so its pressure over its temperature stands: T(t) = T₀·p(t)/p₀. Heat of filling, room and sun reach both alike; a leak of the reference hides one of the part.</remarks>
public static class ReferenceVolume
{
    /// <summary>Temperature of the gas where the part has no thermometer of its own, °C; only its change matters here.</summary>
    const double AssumedC = 22;

    /// <summary>The part's curve with the reference's gas for a thermometer.</summary>
    /// <exception cref="InputException">The reference's record does not reach over the part's.</exception>
    public static LeakCurve AsThermometer(LeakCurve part, LeakCurve reference)
    {
        if (reference.TimeS.Length < 2 || reference.TimeS[0] > part.TimeS[0] || reference.TimeS[^1] < part.TimeS[^1])
        {
            throw new InputException(new InputError("reference", 0, "", Invariant($"a record from {reference.TimeS[0]:G6} to {reference.TimeS[^1]:G6} s"),
                Invariant($"one that reaches over the part's, {part.TimeS[0]:G6} to {part.TimeS[^1]:G6} s")));
        }

        var startK = GasConditions.ZeroCelsiusK + (part.PartC is { } c ? Moments.MeanOf(c) : AssumedC);
        var pressure = LinearSpline.InterpolateSorted(reference.TimeS, reference.AbsolutePa);
        var mean = Moments.MeanOf(reference.AbsolutePa);
        return part with { PartC = Array.ConvertAll(part.TimeS, t => startK * pressure.Interpolate(t) / mean - GasConditions.ZeroCelsiusK) };
    }
}
