namespace Roadproof.Engineering.Life;

/// <summary>How many units must run for how many lives without a failure, so that a reliability at one life is shown.</summary>
/// <remarks>Success run of binomial trials, carried on to longer runs by a Weibull shape: n = ln(1 − C)/(Lᵇ·ln R) (textbook, from memory; numbers of check 6-Z recomputed outside the project).</remarks>
public static class ZeroFailurePlan
{
    /// <param name="reliability">Share that must outlast one life, above 0 and below 1.</param>
    /// <param name="confidence">Above 0 and below 1.</param>
    /// <param name="shape">Weibull shape of the life, taken as known: 1 for chance, 2 and more for wear.</param>
    /// <param name="lives">Length of each unit's run, in lives.</param>
    public static int Units(double reliability, double confidence, double shape, double lives) =>
        Math.Max(1, (int)Math.Ceiling((Math.Log(1 - confidence) / (Math.Pow(lives, shape) * Math.Log(reliability))) - 1e-9));

    /// <summary>Length of each run that shows the same with so many units, in lives.</summary>
    public static double Lives(double reliability, double confidence, double shape, int units) => Math.Pow(Math.Log(1 - confidence) / (units * Math.Log(reliability)), 1 / shape);
}
