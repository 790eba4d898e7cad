namespace Roadproof.Engineering.Life;

/// <summary>Hours at one torque that do the same damage as a mix of torques.</summary>
public static class DamageEquivalence
{
    /// <param name="torquesNm">Torque classes, N·m, shape [n].</param>
    /// <param name="shares">Share of the time (or of the revolutions) in each class, shape [n]; they need not add up to one.</param>
    /// <param name="hours">Time in use that the shares divide.</param>
    /// <param name="testTorqueNm">Torque of the test, N·m.</param>
    /// <param name="slope">Exponent k of life over torque: 3 for ball bearings (ISO 281), about 6.6 for steel flanks and 8.7 for roots.</param>
    /// <returns>hours · Σ share·torque^k / test torque^k.</returns>
    /// <remarks>Linear damage sum (Miner; textbook), same speed in use and test, no endurance limit. One test is right for one slope only.</remarks>
    public static double HoursAt(double testTorqueNm, ReadOnlySpan<double> torquesNm, ReadOnlySpan<double> shares, double hours, double slope)
    {
        if (torquesNm.Length != shares.Length) throw new ArgumentException("Every torque class has one share.", nameof(shares));
        var sum = 0.0;
        for (var i = 0; i < torquesNm.Length; i++) sum += shares[i] * Math.Pow(torquesNm[i] / testTorqueNm, slope);
        return hours * sum;
    }
}
