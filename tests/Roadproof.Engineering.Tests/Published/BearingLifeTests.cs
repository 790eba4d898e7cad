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

    /// <summary>The same steps as turns of one bearing under three spectra: 2.503994 kN over all of them.</summary>
    [Fact]
    public void Loads_of_one_bearing_join_by_their_turns()
    {
        var joined = BearingLoad.Together([new(1000, 5e5), null, new(2000, 3e5), new(4000, 2e5)])!;
        Assert.Equal(2503.994, joined.EquivalentN, 3);
        Assert.Equal(1e6, joined.Turns);
        Assert.Null(BearingLoad.Together([null, null]));
    }
}
