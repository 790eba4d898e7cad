using Roadproof.Engineering.Quantities;
using Roadproof.Records.Definitions;

namespace Roadproof.Records.Tests.Definitions;

/// <summary>Figures for the life of a product: what cannot be is told at its place.</summary>
public sealed class LifeDefinitionTests
{
    const string Product = "products/af-85.yaml";

    static IReadOnlyList<InputError> Errors(string from, string to) => Assert.Throws<InputException>(() => DefinitionFolder.Read(DemoFolder.With((Product, from, to)))).Errors;

    [Fact]
    public void The_demo_has_a_life()
    {
        var life = DemoFolder.Read(DemoFolder.Files).Product.Life!;
        Assert.Equal(2, life.Gears.Count);
        Assert.True(life.Bearings.Count >= 3);
        Assert.All(life.Materials, m => Assert.True(m.Root.Origin.Length > 10));
    }

    [Theory]
    [InlineData("wheel: polyamide-fibre, pinionShift: 0.35", "wheel: polyamide-fiber, pinionShift: 0.35", "material 'polyamide-fiber'", "Did you mean 'polyamide-fibre'?")]
    [InlineData("pinionShift: 0.4, wheelShift: -0.4", "pinionShift: 1, wheelShift: -0.4", "pointed", null)]
    [InlineData("forces: [{ stage: 1, share: 1.15", "forces: [{ stage: 3, share: 1.15", "3", null)]
    [InlineData("halvingK: 15, halvingLowerK: 10", "halvingK: 15, halvingLowerK: 16", "15", null)]
    [InlineData("  chainringRadiusM: 0.077\n", "", "the chain's pull", "How hard the chain pulls")]
    [InlineData("slope: 5.5\n", "slope: 55\n", "55", null)]
    [InlineData("pivotCycles: 1.0e5, slope: 7, slopeLower: 5", "pivotCycles: 1.0e5, slope: 7, slopeLower: 8", "7", null)]
    [InlineData("wheelToHousingKPerW: 2.5, wheelJPerK: 60", "wheelToHousingKPerW: 2.5", "without wheelJPerK", null)]
    [InlineData("      wearOrigin: \"common practice, no source\"\n", "", "wearM3PerNm without wearOrigin", null)]
    public void What_cannot_be_is_told_at_its_place(string from, string to, string found, string? hint)
    {
        var error = Assert.Single(Errors(from, to), e => e.ToString().Contains(found, StringComparison.Ordinal));
        Assert.Equal(Product, error.Source);
        Assert.True(error.Line > 0);
        if (hint is not null) Assert.Contains(hint, error.ToString());
    }
}
