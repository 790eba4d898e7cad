namespace Roadproof.App.Tests.Commands;

/// <summary>Definitions through their door: mistakes are listed with file, line and column, approvals are kept, and the same files again change nothing.</summary>
public sealed class DefinitionsCommandTests
{
    [Fact]
    public async Task The_demo_plant_has_no_mistake()
    {
        var said = await Typed.Words("definitions", "check", Typed.Definitions, "--json");
        Assert.Equal(0, said.Exit);
        said.HasFields("errors", "lines", "parts");
        Assert.Equal(0, said.Json.GetProperty("errors").GetArrayLength());
        var line = Assert.Single(said.Json.GetProperty("lines").EnumerateArray());
        Assert.Equal(("Line 1", "af-85", 14, 16), (line.GetProperty("line").GetString(), line.GetProperty("product").GetString(), line.GetProperty("steps").GetInt32(), line.GetProperty("stations").GetInt32()));
        Assert.Equal(13, (int)said.Number("parts"));
    }

    [Fact]
    public async Task Every_mistake_is_placed_and_the_nearest_word_named()
    {
        using var place = new Folder();
        Copy(place);
        var routes = place["routes/af-85.yaml"];
        var lines = File.ReadAllLines(routes);
        var (kind, upper) = (Array.FindIndex(lines, l => l == "    kind: assembly"), Array.FindIndex(lines, l => l.Contains("id: insertion-force", StringComparison.Ordinal)));
        lines[kind] = "    kind: asembly";
        lines[upper] = lines[upper].Replace("upper: 400", "upper: abc", StringComparison.Ordinal);
        File.WriteAllLines(routes, lines);

        var said = await Typed.Words("definitions", "check", place.Path, "--json");
        Assert.Equal(2, said.Exit);
        var errors = said.Json.GetProperty("errors").EnumerateArray().Select(e => (e.GetProperty("source").GetString(), e.GetProperty("line").GetInt32(), e.GetProperty("hint").GetString())).ToList();
        Assert.Contains(errors, e => e.Item1 == "routes/af-85.yaml" && e.Item2 == kind + 1 && e.Item3?.Contains("assembly", StringComparison.Ordinal) == true);
        Assert.Contains(errors, e => e.Item1 == "routes/af-85.yaml" && e.Item2 == upper + 1);
        Assert.Equal(2, errors.Count);
        Assert.Contains($"routes/af-85.yaml:{kind + 1}:", said.Error, StringComparison.Ordinal);
    }

    [Fact]
    public async Task An_approval_is_kept_once_and_a_change_is_named()
    {
        using var place = new Folder();
        using var data = new Folder();
        Copy(place);
        string[] approve = ["definitions", "approve", place.Path, "--by", "k7f2", "--data", data.Path, "--json"];
        var first = await Typed.Words(approve);
        Assert.Equal(0, first.Exit);
        first.HasFields("revision", "revisions");
        Assert.Equal("af-85/1", first.Json.GetProperty("revision").GetString());
        Assert.False(Only(await Typed.Words(approve)).GetProperty("new").GetBoolean());

        var routes = File.ReadAllText(place["routes/af-85.yaml"]);
        File.WriteAllText(place["routes/af-85.yaml"], routes.Replace("upper: 400", "upper: 380", StringComparison.Ordinal));
        var second = await Typed.Words(approve);
        Assert.Equal("af-85/2", second.Json.GetProperty("revision").GetString());
        var change = Assert.Single(Only(second).GetProperty("changes").EnumerateArray().ToList());
        Assert.Equal(("400", "380"), (change.GetProperty("before").GetString(), change.GetProperty("after").GetString()));

        var records = await Typed.Words("records", "verify", "--data", data.Path, "--json");
        Assert.Equal((0, 2), (records.Exit, (int)records.Number("records")));
    }

    static System.Text.Json.JsonElement Only(Typed said) => Assert.Single(said.Json.GetProperty("revisions").EnumerateArray());

    [Fact]
    public async Task Nobody_approves_nothing()
    {
        using var data = new Folder();
        (await Typed.Words("definitions", "approve", Typed.Definitions, "--by", "", "--data", data.Path)).IsWrong("approval: person: found nothing");
        Assert.Equal(0, (await Typed.Words("records", "verify", "--data", data.Path, "--json")).Number("records"));
    }

    [Fact]
    public async Task A_folder_that_is_not_there_or_empty_is_said()
    {
        using var place = new Folder();
        (await Typed.Words("definitions", "check", "/no/such/folder")).IsWrong("/no/such/folder: found no such folder");
        (await Typed.Words("definitions", "check", place.Path)).IsWrong("plant.yaml: found no file", "parts.yaml: found no file");
        (await Typed.Words("drive", "point", "--product", "af-85", "--torque-nm", "1", "--speed-rad-s", "1", "--definitions", place.Path)).IsWrong("plant.yaml: found no file");
    }

    static void Copy(Folder place)
    {
        foreach (var file in Directory.EnumerateFiles(Typed.Definitions, "*.yaml", SearchOption.AllDirectories))
            place.Write(Path.GetRelativePath(Typed.Definitions, file), File.ReadAllText(file));
    }
}
