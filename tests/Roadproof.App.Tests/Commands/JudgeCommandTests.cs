namespace Roadproof.App.Tests.Commands;

/// <summary>Risks through their door. The normal distribution's values are textbook table values (from memory): Φ(1.75) = 0.95994, Φ(−2) = 0.02275.</summary>
public sealed class JudgeCommandTests
{
    const string Risk = "judge risk --standard-uncertainty 0.8 --process-mean 303.2 --process-sd 1.2 --json";

    [Fact]
    public async Task A_reading_conforms_as_the_normal_table_says()
    {
        var said = await Typed.Line($"{Risk} --upper 307.5 --guard-band 1.31 --value 306.1");
        Assert.Equal(0, said.Exit);
        said.HasFields("consumerRisk", "producerRisk", "conformanceProbability", "acceptLower", "acceptUpper");
        Assert.Equal(0.95994, said.Number("conformanceProbability"), 1e-5);
        Assert.Equal(306.19, said.Number("acceptUpper"), 1e-9);
        Assert.Equal(System.Text.Json.JsonValueKind.Null, said.Json.GetProperty("acceptLower").ValueKind);
    }

    // With an exact reading and the limit two standard deviations up, nothing bad is taken; inside a guard band of two nothing good above the mean is.
    [Fact]
    public async Task An_exact_reading_risks_only_its_guard_band()
    {
        var open = await Typed.Line("judge risk --standard-uncertainty 0 --process-mean 10 --process-sd 1 --upper 12 --json");
        Assert.Equal((0, 0), (Math.Round(open.Number("consumerRisk"), 9), Math.Round(open.Number("producerRisk"), 9)));
        var guarded = await Typed.Line("judge risk --standard-uncertainty 0 --process-mean 10 --process-sd 1 --upper 12 --guard-band 2 --json");
        Assert.Equal(0.5 - 0.02275, guarded.Number("producerRisk"), 1e-5);
    }

    [Fact]
    public async Task Guard_bands_that_meet_are_warned_of()
    {
        var said = await Typed.Line("judge risk --standard-uncertainty 0.1 --process-mean 2.5 --process-sd 1 --lower 2 --upper 3 --guard-band 2 --json");
        Assert.Equal(0, said.Exit);
        Assert.Equal("The guard bands meet: nothing can be accepted.", said.Json.GetProperty("warnings")[0].GetString());
        Assert.Equal(0, said.Number("consumerRisk"));
    }

    // JCGM 106:2012, 9.5.4 asks the same of its ball bearings: here a normal process, held by asking back.
    [Fact]
    public async Task A_guard_band_is_found_for_a_largest_risk_and_the_process_counts()
    {
        var said = await Typed.Line($"{Risk} --upper 305.5 --consumer-risk 0.0005 --value 305");
        Assert.True(said.Number("guardBand") > 0);
        Assert.Equal(0.0005, said.Number("consumerRisk"), 1e-9);
        Assert.True(said.Number("conformanceProbabilityWithProcess") > said.Number("conformanceProbability")); // what the process makes lies lower
        Assert.Equal(2, (await Typed.Line($"{Risk} --upper 305.5 --consumer-risk 0.0005 --guard-band 1")).Exit);
    }

    [Theory]
    [InlineData("--process-sd 1", "risk: limits: found nothing")]
    [InlineData("--process-sd 1 --lower 5 --upper 3", "upper: found 3, expected more than the lower limit, 5")]
    [InlineData("--process-sd -1 --upper 3", "process standard deviation: found -1")]
    public async Task Numbers_that_cannot_be_are_refused(string words, string sentence) =>
        (await Typed.Line($"judge risk --standard-uncertainty 0.8 --process-mean 3 {words}")).IsWrong(sentence);
}
