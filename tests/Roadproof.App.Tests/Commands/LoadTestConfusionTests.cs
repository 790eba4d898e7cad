namespace Roadproof.App.Tests.Commands;

/// <summary>The diagnosis' confusion matrix through its door.</summary>
public sealed class LoadTestConfusionTests
{
    [Fact]
    public async Task Every_drawn_unit_is_named_and_the_same_seed_names_it_alike()
    {
        var said = await Typed.Line("loadtest confusion --product af-85 --units 20 --seed 3 --json");
        Assert.Equal(0, said.Exit);
        said.HasFields("faults", "pairs");
        Assert.All(said.Json.GetProperty("faults").EnumerateArray(), f =>
        {
            Assert.Equal(20, f.GetProperty("named").EnumerateArray().Sum(n => n.GetProperty("units").GetInt32()));
            Assert.InRange(f.GetProperty("right").GetInt32(), 12, 20);
        });
        var again = await Typed.Line("loadtest confusion --product af-85 --units 20 --seed 3 --json");
        Assert.Equal(said.Json.GetRawText(), again.Json.GetRawText());
    }

    [Theory]
    [InlineData("loadtest confusion --product af-85 --units 3", "--units: found 3, expected 10 to 100000 units")]
    [InlineData("loadtest confusion --product rotor-85", "rotor-85")]
    public async Task What_cannot_be_tried_is_refused(string line, string sentence) => (await Typed.Line(line)).IsWrong(sentence);
}
