namespace Roadproof.App.Tests.Commands;

/// <summary>Grease doses through their door: by the product's mass, or a limit that is typed.</summary>
public sealed class GreaseCommandTests
{
    [Theory]
    [InlineData("12.1", 0, "pass")]
    [InlineData("10.81", 4, "hold")]
    [InlineData("8", 1, "fail")]
    public async Task A_weighing_is_judged_by_the_product(string grams, int exit, string verdict)
    {
        using var place = new Folder();
        File.WriteAllText(place["weighings.csv"], $"before_g,after_g\n0,{grams}\n");
        var said = await Typed.Words("checks", "judge", "grease", place["weighings.csv"], "--product", "af-85", "--json");

        Assert.Equal((exit, verdict), (said.Exit, said.Json.GetProperty("verdict").GetString()));
        said.HasFields("verdict", "features", "reading");
        var dose = said.Json.GetProperty("features")[0];
        Assert.Equal((10.8, 13.2), (Math.Round(dose.GetProperty("lower").GetDouble(), 9), Math.Round(dose.GetProperty("upper").GetDouble(), 9)));
    }

    [Fact]
    public async Task A_typed_limit_stands_before_the_product_s()
    {
        using var place = new Folder();
        File.WriteAllText(place["weighings.csv"], "before_g,after_g\n0,8\n");
        Assert.Equal(0, (await Typed.Words("checks", "judge", "grease", place["weighings.csv"], "--product", "af-85", "--limit", "dose=7..9")).Exit);
    }
}
