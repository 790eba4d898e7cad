namespace Roadproof.App.Tests.Commands;

/// <summary>Risks and retests through their door. The normal distribution's values are textbook table values (from memory): Φ(1.75) = 0.95994, Φ(−2) = 0.02275.</summary>
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
        // Once "accept from 4 to 1", and exit 0.
        Assert.Equal(Roadproof.App.Frame.Exit.No, said.Exit);
        Assert.Equal(System.Text.Json.JsonValueKind.Null, said.Json.GetProperty("acceptLower").ValueKind);
        Assert.Equal(System.Text.Json.JsonValueKind.Null, said.Json.GetProperty("acceptUpper").ValueKind);
        var printed = await Typed.Line("judge risk --standard-uncertainty 0.1 --process-mean 2.5 --process-sd 1 --lower 2 --upper 3 --guard-band 2");
        Assert.Contains("nothing can be accepted", printed.Output, StringComparison.Ordinal);
        Assert.DoesNotContain("accept from", printed.Output, StringComparison.Ordinal);
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

    // The trade handbook's printed figures (B.9, E.6 and its computed list; read): half and one standard uncertainty outside, and with a fifth of the variance drawn anew.
    [Theory]
    [InlineData("0.5", "single", "", 30.9, 0.05), InlineData("0.5", "free", "", 52.2, 0.05), InlineData("0.5", "two-of-two", "", 37.4, 0.05), InlineData("0.5", "mean", "", 37.9, 0.2)]
    [InlineData("1", "single", "", 15.9, 0.05), InlineData("1", "free", "", 29.2, 0.05), InlineData("1", "two-of-two", "", 18.0, 0.05), InlineData("1", "mean", "", 18.5, 0.2)]
    [InlineData("0.5", "single", "--redrawn-share 0.2", 31, 0.5), InlineData("0.5", "free", "--redrawn-share 0.2", 40, 0.5), InlineData("0.5", "two-of-two", "--redrawn-share 0.2", 35, 0.5)]
    public async Task A_retest_lets_through_what_the_handbook_prints(string distance, string scheme, string more, double percent, double within)
    {
        var said = await Typed.Line($"judge retest --distance-u {distance} --scheme {scheme} {more} --json");
        Assert.Equal(0, said.Exit);
        said.HasFields("passIfBad", "passIfGood");
        Assert.Equal(percent, 100 * said.Number("passIfBad"), within);
    }

    // A good unit one standard uncertainty inside still passes 95 % by two of two (the same handbook, B.9; read).
    [Fact]
    public async Task A_good_unit_still_passes()
    {
        Assert.Equal(0.95, (await Typed.Line("judge retest --distance-u 1 --scheme two-of-two --json")).Number("passIfGood"), 0.005);
        var guarded = await Typed.Line("judge retest --distance-u 2 --scheme two-of-two --guard-factor 1.64 --retests 2 --json");
        Assert.InRange(guarded.Number("passIfBad"), 1e-6, 0.001);
    }

    [Fact]
    public async Task A_free_retest_and_another_rig_are_warned_of() =>
        Assert.Equal(2, (await Typed.Line("judge retest --distance-u 1 --scheme free --redrawn-share 0.2 --json")).Json.GetProperty("warnings").GetArrayLength());

    [Theory]
    [InlineData("--distance-u 0.5 --scheme best-of-three", "'best-of-three', expected one of single, free, two-of-two, mean")]
    [InlineData("--distance-u -1 --scheme free", "distance: found -1")]
    [InlineData("--distance-u 1 --scheme mean --retests 2", "retests: found 2, expected 1 for the mean of both")]
    public async Task A_retest_that_cannot_be_is_refused(string words, string sentence) => (await Typed.Line($"judge retest {words}")).IsWrong(sentence);
}
