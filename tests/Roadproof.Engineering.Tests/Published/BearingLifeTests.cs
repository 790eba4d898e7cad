using Roadproof.Engineering.Life;

namespace Roadproof.Engineering.Tests.Published;

public sealed class BearingLifeTests
{
    /// <summary>ISO 281: (C/P)^p; numbers of a worked check: C 14 kN, P 2 kN: 343 million turns, rollers 656.135396.</summary>
    [Fact]
    public void Rating_life_of_ball_and_roller()
    {
        Assert.Equal(343e6, BearingLife.TurnsL10(14_000, 2_000), 1e-3);
        Assert.Equal(656.135396e6, BearingLife.TurnsL10(14_000, 2_000, BearingLife.RollerExponent), 1.0);
    }

    /// <summary>Shigley, example 11-1: 400 lbf, 1725 rev/min, 5000 h ask for a rating of 14.3 kN.</summary>
    [Fact]
    public void A_textbook_bearing_lives_as_long_as_asked()
    {
        const double loadN = 400 * 4.4482216;
        Assert.Equal(1725.0 * 60 * 5000, BearingLife.TurnsL10(14_285.1, loadN), 1725.0 * 60 * 5000 * 1e-4);
    }

    /// <summary>Loads of 1, 2, 4 kN in 0.5, 0.3, 0.2 of the turns: 2.503994 kN (ISO 281 practice, closed form).</summary>
    [Fact]
    public void Mean_load_of_steps() => Assert.Equal(2503.994, BearingLife.MeanLoadN([(1000, 0.5), (2000, 0.3), (4000, 0.2)]), 3);

    /// <summary>ISO 281, table of deep-groove bearings (from memory): f0·Fa/C0 0.345 has e 0.22, Y 1.99.</summary>
    [Fact]
    public void An_axial_force_counts_from_its_limit_on()
    {
        const double staticN = 10_000;
        var axialN = 0.345 * staticN / 13;
        Assert.Equal(2000, BearingLife.EquivalentN(2000, axialN, staticN, 13));
        Assert.Equal(0.56 * 800 + 1.99 * axialN, BearingLife.EquivalentN(800, axialN, staticN, 13), 9);
    }

    /// <summary>The three branches of a_ISO meet where the standard joins them, and the factor is 0.1 at hopeless contamination (ISO 281:2007, figure 3; from memory).</summary>
    [Fact]
    public void Life_factor_is_one_curve()
    {
        foreach (var kappa in new[] { 0.4, 1.0 })
            Assert.Equal(BearingLife.LifeFactor(0.3, 500, 1000, kappa - 1e-9), BearingLife.LifeFactor(0.3, 500, 1000, kappa + 1e-9), BearingLife.LifeFactor(0.3, 500, 1000, kappa) * 0.02);
        Assert.Equal(0.1, BearingLife.LifeFactor(0, 500, 1000, 1), 12);
        Assert.Equal(50, BearingLife.LifeFactor(1, 500, 500, 4));
    }
}
