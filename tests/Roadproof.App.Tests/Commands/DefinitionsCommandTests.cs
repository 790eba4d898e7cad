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
        Assert.Equal(
            [("Line 1", "af-85", 14, 16), ("Hub line", "af-40", 12, 13), ("Rotor cell", "rotor-85", 4, 4), ("Stator cell", "stator-85", 4, 4), ("Controller cell", "controller-85", 3, 3), ("Display cell", "display-2", 2, 2), ("Throttle cell", "throttle-1", 5, 5)],
            said.Json.GetProperty("lines").EnumerateArray().Select(l => (l.GetProperty("line").GetString(), l.GetProperty("product").GetString(), l.GetProperty("steps").GetInt32(), l.GetProperty("stations").GetInt32())));
        Assert.Equal(40, (int)said.Number("parts"));
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

    [Fact]
    public async Task Revisions_are_listed_and_compared_with_each_other_and_with_a_folder()
    {
        using var place = new Folder();
        using var data = new Folder();
        Copy(place);
        Task<Typed> Definitions(params string[] words) => Typed.Words(["definitions", .. words, "--data", data.Path, "--json"]);
        await Definitions("approve", place.Path, "--by", "k7f2");
        Edit(place, "lower: 127.5", "lower: 120");
        Assert.Equal(0, (await Definitions("approve", place.Path, "--by", "m3q8", "--reason", "customer asks", "--from", "2099-01-01T06:00+01:00")).Exit);

        var list = await Definitions("list");
        list.HasFields("revisions");
        Assert.Equal(
            [("af-85/2", "to-come", "m3q8", "customer asks", 0), ("af-85/1", "standing", "k7f2", "", 0)],
            list.Json.GetProperty("revisions").EnumerateArray().Select(r => (r.GetProperty("revision").GetString(), r.GetProperty("state").GetString(), r.GetProperty("approvedBy").GetString(), r.GetProperty("reason").GetString(), r.GetProperty("unitsStarted").GetInt32())));

        var compared = await Definitions("compare", "af-85/1", "af-85/2");
        compared.HasFields("before", "after", "changes");
        var change = Assert.Single(compared.Json.GetProperty("changes").EnumerateArray().ToList());
        Assert.Equal(("safety", true, "127.5", "120"), (change.GetProperty("kind").GetString(), change.GetProperty("wider").GetBoolean(), change.GetProperty("before").GetString(), change.GetProperty("after").GetString()));
        Assert.Equal(0, (await Definitions("compare", "af-85/2", place.Path)).Json.GetProperty("changes").GetArrayLength());
        Assert.Equal(1, (await Definitions("compare", place.Path, "af-85/1")).Json.GetProperty("changes").GetArrayLength());
        Assert.Contains("more units pass", (await Typed.Words("definitions", "compare", "af-85/1", "af-85/2", "--data", data.Path)).Output, StringComparison.Ordinal);

        (await Definitions("compare", "af-85/1", "af-85/9")).IsWrong("af-85/9: found neither a revision nor a folder");
        (await Definitions("compare", place.Path, place.Path)).IsWrong("found two folders of files, expected at least one approved revision");
        (await Definitions("approve", place.Path, "--by", "k7f2", "--from", "2001-01-01T06:00+01:00")).IsWrong("approval: from: found 2001-01-01T06:00:00+01:00");
        (await Definitions("approve", place.Path, "--by", "k7f2", "--from", "tomorrow")).IsWrong("--from: found 'tomorrow', expected a day and time with its offset");
    }

    [Fact]
    public async Task A_product_left_out_is_refused_until_it_is_said_to_be_withdrawn()
    {
        using var place = new Folder();
        using var data = new Folder();
        foreach (var (name, text) in PlantFolder.Files) place.Write(name, text);
        await Typed.Words("definitions", "approve", place.Path, "--by", "k7f2", "--data", data.Path);
        string[] approve = ["definitions", "approve", DemoFolder.Path, "--by", "k7f2", "--data", data.Path];
        var refused = await Typed.Words(approve);
        Assert.Equal(1, refused.Exit);
        Assert.Contains("The files leave out rotor-85.", refused.Error, StringComparison.Ordinal);
        var done = await Typed.Words([.. approve, "--withdraw", "rotor-85", "--json"]);
        Assert.Equal(("rotor-85", "rotor-85/1"), done.Json.GetProperty("withdrawn").EnumerateArray().Select(w => (w.GetProperty("product").GetString(), w.GetProperty("revision").GetString())).Single());
        Assert.Equal(0, (await Typed.Words("records", "verify", "--data", data.Path)).Exit);
    }

    static void Edit(Folder place, string from, string to)
    {
        var text = File.ReadAllText(place["routes/af-85.yaml"]);
        Assert.Contains(from, text, StringComparison.Ordinal);
        File.WriteAllText(place["routes/af-85.yaml"], text.Replace(from, to, StringComparison.Ordinal));
    }

    static System.Text.Json.JsonElement Only(Typed said) => Assert.Single(said.Json.GetProperty("revisions").EnumerateArray());

    [Fact]
    public async Task Nobody_approves_nothing()
    {
        using var data = new Folder();
        (await Typed.Words("definitions", "approve", DemoFolder.Path, "--by", "", "--data", data.Path)).IsWrong("approval: person: found nothing");
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
        foreach (var file in Directory.EnumerateFiles(DemoFolder.Path, "*.yaml", SearchOption.AllDirectories))
            place.Write(Path.GetRelativePath(DemoFolder.Path, file), File.ReadAllText(file));
    }
}
