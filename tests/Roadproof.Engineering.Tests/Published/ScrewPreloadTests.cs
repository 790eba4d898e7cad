using Roadproof.Engineering.Checks.Tightening;
using Roadproof.Engineering.Signals;

namespace Roadproof.Engineering.Tests.Published;

/// <summary>Torque to preload by the nut factor, T = K·F·d.</summary>
public sealed class ScrewPreloadTests
{
    // Shigley, Mechanical Engineering Design, example 8-3 (from memory): 3/4 in-16 UNF, K 0.2, 23.8 kip need 3570 lbf·in.
    [Fact]
    public void Shigley_8_3()
    {
        const double lbfIn = 0.112984829, lbf = 4.4482216153, inch = 0.0254;
        Assert.Equal(23_800 * lbf, ScrewPreload.Of(new Reading(3570 * lbfIn, 0), 0.75 * inch).Value, 10.0);
    }

    // Textbook short form: 50 N·m at 10 mm are 25 kN. Friction alone leaves ±15 % of half width.
    [Fact]
    public void Fifty_newton_metres_on_ten_millimetres_are_25_kN_give_or_take_15_percent()
    {
        var preload = ScrewPreload.Of(new Reading(50, 0), 0.010);
        Assert.Equal(25_000, preload.Value, 1e-6);
        Assert.Equal(0.15 / Math.Sqrt(3), preload.StandardUncertainty / preload.Value, 1e-12);
    }

    // Printed by another implementation (read, run again): M5 at 5.5 N·m 4.8 to 6.5 kN, M4 at 3.0 N·m 3.3 to 4.4 kN, M6 at 9.5 N·m 6.9 to 9.3 kN, for K from 0.23 to 0.17.
    [Theory]
    [InlineData(5.5, 5, 4.8, 6.5)]
    [InlineData(3.0, 4, 3.3, 4.4)]
    [InlineData(9.5, 6, 6.9, 9.3)]
    public void The_range_of_the_nut_factor_is_as_printed(double torqueNm, double diameterMm, double fromKn, double toKn)
    {
        var middle = ScrewPreload.Of(new Reading(torqueNm, 0), diameterMm / 1000).Value / 1000;
        Assert.Equal(fromKn, middle * ScrewPreload.NutFactor / (ScrewPreload.NutFactor + ScrewPreload.NutFactorHalfWidth), 0.05);
        Assert.Equal(toKn, middle * ScrewPreload.NutFactor / (ScrewPreload.NutFactor - ScrewPreload.NutFactorHalfWidth), 0.05);
    }
}
