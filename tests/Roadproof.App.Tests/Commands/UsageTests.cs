namespace Roadproof.App.Tests.Commands;

/// <summary>Wrong usage: exit 2, one sentence for each thing that is wrong, naming what stood there and what belongs there.</summary>
public sealed class UsageTests
{
    const string Point = "drive point --product af-85 --torque-nm 31.8 --speed-rad-s 7.854";

    [Theory]
    [InlineData("", "roadproof: found nothing behind it, expected one of demo, serve, definitions")]
    [InlineData("nonsense", "roadproof: found 'nonsense', expected one of demo, serve, definitions")]
    [InlineData("drive", "roadproof drive: found nothing behind it, expected one of point, heat, study.")]
    [InlineData("drive poin", "roadproof drive: found 'poin', expected one of point, heat, study. Did you mean 'point'?")]
    [InlineData("drive point --product af-85 --torqe-nm 31.8 --speed-rad-s 7", "found '--torqe-nm', expected one of --product, --torque-nm", "Did you mean '--torque-nm'?")]
    [InlineData(Point + " extra", "roadproof drive point: found 'extra', expected only options")]
    [InlineData(Point + " --torque-nm 7", "--torque-nm: found 2 values")]
    [InlineData("drive point --torque-nm 31.8", "--product: found nothing", "--speed-rad-s: found nothing")]
    [InlineData("drive point --product af-85 --torque-nm --speed-rad-s 7", "--torque-nm: found ")]
    [InlineData("drive point --product af-85 --torque-nm abc --speed-rad-s fast", "--torque-nm: found 'abc', expected a number with a decimal point", "--speed-rad-s: found 'fast'")]
    [InlineData("road load --product af-85", "roadproof road load: found nothing, expected ride")]
    [InlineData("demo --units 1.5", "--units: found '1.5', expected a whole number")]
    [InlineData("demo --seed -1", "--seed: found '-1', expected a whole number, 0 or more")]
    [InlineData("judge risk --lower ten --standard-uncertainty 1 --process-mean 1 --process-sd 1", "--lower: found 'ten'")]
    public async Task Says_what_was_found_and_what_belongs_there(string words, params string[] sentences) => (await Typed.Line(words)).IsWrong(sentences);

    // A comma may be a decimal comma or a thousands mark; guessing made 31,8 N·m into 318 N·m.
    [Theory]
    [InlineData("drive point --product af-85 --torque-nm 31,8 --speed-rad-s 7.854", "--torque-nm: found '31,8'")]
    [InlineData("drive point --product af-85 --torque-nm 31.8 --speed-rad-s 7,854", "--speed-rad-s: found '7,854'")]
    [InlineData(Point + " --bus-v 48,0", "--bus-v: found '48,0'")]
    [InlineData("demo --no-serve --units 1,000", "--units: found '1,000'")]
    public async Task A_comma_in_a_number_is_never_skipped(string words, string sentence) => (await Typed.Line(words)).IsWrong(sentence);

    [Theory]
    [InlineData("drive point --product af-85 --torque-nm abc --speed-rad-s 7 --json", "--torque-nm")]
    [InlineData("drive poin --json", "roadproof drive")]
    public async Task Wrong_usage_is_one_json_document_as_well(string words, string source)
    {
        var said = await Typed.Line(words);
        said.IsWrong(source);
        var error = said.Json.GetProperty("errors")[0];
        Assert.Equal(["column", "expected", "found", "hint", "line", "source"], error.EnumerateObject().Select(p => p.Name).Order());
        Assert.Equal(source, error.GetProperty("source").GetString());
    }

    [Fact]
    public async Task An_unknown_product_lists_what_exists()
    {
        var said = await Typed.Line("drive point --product af-86 --torque-nm 1 --speed-rad-s 1 --json");
        said.IsWrong("--product: found 'af-86'", "af-85, af-40, rotor-85");
        Assert.Equal("'af-86'", said.Json.GetProperty("errors")[0].GetProperty("found").GetString());
    }

    [Theory]
    [InlineData("nonsense"), InlineData("http://256.1.1.1:80"), InlineData("http://localhost:99999"), InlineData("http://plant-server:80"), InlineData("https://localhost:5080")]
    public async Task An_address_that_cannot_be_listened_at_is_refused_before_anything_is_opened(string url)
    {
        var data = Path.Combine(Path.GetTempPath(), $"roadproof-none-{Guid.NewGuid():N}");
        (await Typed.Words("serve", "--urls", url, "--data", data)).IsWrong($"--urls: found '{url}'", "http://localhost:5080");
        Assert.False(Directory.Exists(data));
    }

    [Theory]
    [InlineData("--help"), InlineData("drive --help"), InlineData("drive point --help"), InlineData("drive heat --help"), InlineData("road --help"), InlineData("road power --help"), InlineData("road load --help")]
    [InlineData("judge --help"), InlineData("judge risk --help"), InlineData("loadtest --help"), InlineData("loadtest judge --help"), InlineData("loadtest identify --help"), InlineData("definitions --help"), InlineData("definitions check --help")]
    [InlineData("definitions approve --help"), InlineData("records --help"), InlineData("records verify --help"), InlineData("records rebuild --help"), InlineData("demo --help"), InlineData("serve --help")]
    public async Task Help_at_every_level_has_an_example(string words)
    {
        var said = await Typed.Line(words);
        Assert.Equal(0, said.Exit);
        Assert.Contains("Example: roadproof ", said.Output, StringComparison.Ordinal);
        Assert.Contains("\n  roadproof", said.Output, StringComparison.Ordinal);
        Assert.Equal("", said.Error);
    }
}
