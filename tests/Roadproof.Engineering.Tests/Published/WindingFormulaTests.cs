using Roadproof.Engineering.Checks;

namespace Roadproof.Engineering.Tests.Published;

/// <summary>Copper's rule, star and delta, insulation against textbook figures.</summary>
public sealed class WindingFormulaTests
{
    // Resistance method of IEC 60034-1 with 235 for copper (public test notes, read): 0.100 Ω at 22 °C and 0.130 Ω belong to 99.1 °C; 80 Ω at 20 °C and 100 Ω to 83.75 °C.
    [Theory]
    [InlineData(0.100, 22, 0.130, 99.1)]
    [InlineData(80, 20, 100, 83.75)]
    public void Two_resistances_of_one_winding_are_the_same_at_20(double coldOhm, double coldC, double hotOhm, double hotC) =>
        Assert.Equal(Copper.At20(coldOhm, coldC), Copper.At20(hotOhm, hotC), 1e-12);

    // α₂₀ = 1/(235 + 20) = 0.003922 1/K (tables: 0.00393, IEC 60028; from memory).
    [Fact]
    public void Copper_gains_four_tenths_of_a_percent_a_kelvin() => Assert.Equal(0.003922, Copper.SharePerK(20), 1e-6);

    // One third of the sum of two sides beside the third: a delta of three 3 Ω sides shows 2 Ω between terminals and equals a star of 1 Ω (textbook).
    [Fact]
    public void Three_ohms_in_delta_are_one_in_star()
    {
        var pairs = new Pairs(2, 2, 2);
        Assert.Equal(new(1, 1, 1), pairs.Phases(WindingConnection.Star));
        Assert.Equal(new(3, 3, 3), pairs.Phases(WindingConnection.Delta).Each(r => Math.Round(r, 12)));
    }

    // Insulation halves for every 10 K more (IEEE 43, older machines; from memory): 400 MΩ at 20 °C are 100 MΩ at 40 °C.
    [Fact]
    public void Insulation_halves_every_ten_kelvins() => Assert.Equal(100e6, Insulation.At40(400e6, 20, 0.05, 0.5).Value, 1);
}
