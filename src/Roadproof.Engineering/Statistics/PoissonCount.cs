using MathNet.Numerics;
using Roadproof.Engineering.Quantities;

namespace Roadproof.Engineering.Statistics;

/// <summary>What a count of rare events says of how many to expect.</summary>
public static class PoissonCount
{
    /// <summary>The exact interval of the expected count: below it so many or more, above it so few or fewer, would each be counted in less than half of what the confidence leaves.</summary>
    /// <param name="count">Events, 0 or more.</param>
    /// <remarks>
    /// Half the quantiles of chi-squared with 2n and 2n + 2 degrees of freedom, which are quantiles of gamma. After none there is an upper bound all the same: 3.7 at 95 %.
    /// Events are taken as independent; events that come in swarms need more. Source: Garwood, Biometrika 28, 1936, 437–442 (from memory).
    /// </remarks>
    public static Interval Expected(double count, double confidence)
    {
        ArgumentOutOfRangeException.ThrowIfNegative(count);
        if (confidence is not (> 0 and < 1)) throw new ArgumentOutOfRangeException(nameof(confidence), confidence, "A confidence lies between 0 and 1.");
        var tail = (1 - confidence) / 2;
        return new(count == 0 ? 0 : SpecialFunctions.GammaLowerRegularizedInv(count, tail), SpecialFunctions.GammaLowerRegularizedInv(count + 1, 1 - tail), confidence);
    }
}
