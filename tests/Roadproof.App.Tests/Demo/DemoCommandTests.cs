using Roadproof.App.Frame;
using Roadproof.App.Tests.Commands;

namespace Roadproof.App.Tests.Demo;

/// <summary>The demo through its door, and its records when someone changes them from outside.</summary>
public sealed class DemoCommandTests(BuiltDemo demo) : IClassFixture<BuiltDemo>
{
    [Fact]
    public void The_report_has_the_fields_that_outsiders_rely_on_and_adds_up()
    {
        Assert.Equal(0, demo.Said.Exit);
        demo.Said.HasFields(
            "unitsStarted", "unitsShipped", "unitsOnHold", "unitsScrapped", "firstPassYield", "loadTestsRun", "ledgerRecords", "ledgerHead", "plantTimeS", "elapsedS",
            "soundUnits", "soundStopped", "soundStoppedByLotOrRigHold", "faults", "slips", "otherLines");
        Assert.Equal(["hub-line", "rotors", "stators", "controllers", "displays", "throttles"], demo.Said.Json.GetProperty("otherLines").EnumerateArray().Select(l => l.GetProperty("line").GetString()));
        Assert.Equal(8, demo.Said.Number("unitsStarted"));
        Assert.Equal(8, demo.Said.Number("unitsShipped") + demo.Said.Number("unitsOnHold") + demo.Said.Number("unitsScrapped"));
        var faults = demo.Said.Json.GetProperty("faults").EnumerateArray().ToList();
        Assert.All(faults, f => Assert.Equal(["fault", "predictedRate", "sizeSigma", "stopped", "units"], f.EnumerateObject().Select(p => p.Name).Order(StringComparer.Ordinal)));
        Assert.All(faults, f => Assert.InRange(f.GetProperty("stopped").GetInt32(), 0, f.GetProperty("units").GetInt32()));
        Assert.Equal(0, demo.Said.Json.GetProperty("warnings").GetArrayLength());
    }

    [Fact]
    public async Task The_same_seed_gives_the_same_head_and_another_seed_another()
    {
        using var place = new Folder();
        var again = await Typed.Line($"{BuiltDemo.Words} {place["demo"]}");
        Assert.Equal(demo.Said.Json.GetProperty("ledgerHead").GetString(), again.Json.GetProperty("ledgerHead").GetString());
        Assert.Equal(demo.Said.Number("ledgerRecords"), again.Number("ledgerRecords"));
        Assert.Equal(demo.Said.Json.GetProperty("faults").ToString(), again.Json.GetProperty("faults").ToString());

        // The folder of a demo is made anew by the next.
        var other = await Typed.Line($"demo --no-serve --units 1 --seed 6 --json --data {place["demo"]}");
        Assert.NotEqual(demo.Said.Json.GetProperty("ledgerHead").GetString(), other.Json.GetProperty("ledgerHead").GetString());
        Assert.Equal(1, other.Number("unitsStarted"));
    }

    [Fact]
    public async Task The_same_seed_gives_the_same_head_where_captures_are_retired_on_the_way()
    {
        using var place = new Folder();
        foreach (var (name, text) in DemoFolder.Files)
            place.Write(Path.Combine("definitions", name), text.Replace("keepPassedCaptures: 24", "keepPassedCaptures: 1", StringComparison.Ordinal));

        var heads = new List<string?>();
        for (var i = 0; i < 2; i++)
        {
            var said = await Typed.Line($"demo --no-serve --units 4 --seed 9 --json --definitions {place["definitions"]} --data {place["demo"]}");
            heads.Add(said.Json.GetProperty("ledgerHead").GetString());
            Assert.True((await Typed.Line($"records verify --json --data {place["demo"]}")).Number("retired") >= 3);
            Assert.InRange(Directory.EnumerateFiles(place["demo"], "*.parquet", SearchOption.AllDirectories).Count(), 3, 9);
        }

        Assert.Equal(heads[0], heads[1]);
    }

    [Fact]
    public async Task Its_records_are_whole_and_end_at_the_head_that_was_told()
    {
        var said = await Typed.Line($"records verify --json --data {demo.Data}");
        Assert.Equal(0, said.Exit);
        said.HasFields("records", "head", "retired", "broken");
        Assert.Equal(demo.Said.Json.GetProperty("ledgerHead").GetString(), said.Json.GetProperty("head").GetString());
        Assert.Equal(demo.Said.Number("ledgerRecords"), said.Number("records"));
        Assert.Equal(0, said.Json.GetProperty("broken").GetArrayLength());
    }

    [Theory]
    [InlineData("a changed byte", "update ledger set body = substr(body, 1, 30) || char(unicode(substr(body, 31, 1)) + 1) || substr(body, 32) where sequence = 77", "record 77", "Changed")]
    [InlineData("a removed record", "delete from ledger where sequence = 77", "record 77", "Missing")]
    [InlineData("two swapped", "update ledger set sequence = -1 where sequence = 77; update ledger set sequence = 77 where sequence = 78; update ledger set sequence = 78 where sequence = -1", "record 77", "Moved")]
    [InlineData("one added", "insert into ledger select (select max(sequence) + 1 from ledger), 'added', kind, item, station, occurred_at, received_at, skew_ms, person, body, body_version, previous_hash, hash from ledger where sequence = 77", "record {0}", "Changed")]
    public async Task Tampering_is_found_and_placed(string what, string sql, string place, string word)
    {
        using var copy = demo.Tampered(sql);
        var said = await Typed.Line($"records verify --json --data {copy.Path}");
        Assert.Equal(1, said.Exit);
        var expected = place.Replace("{0}", $"{demo.Said.Number("ledgerRecords") + 1}", StringComparison.Ordinal);
        var broken = said.Json.GetProperty("broken").EnumerateArray().Select(b => (Place: b.GetProperty("place").GetString()!, Reason: b.GetProperty("reason").GetString()!)).ToList();
        Assert.True(broken.Exists(b => b.Place == expected && b.Reason.StartsWith(word, StringComparison.Ordinal)), $"{what}: {string.Join("; ", broken)}");
        var read = await Typed.Line($"records verify --data {copy.Path}");
        Assert.Equal(1, read.Exit);
        Assert.Contains($"{expected}: {word}", read.Output, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_capture_that_is_gone_or_changed_is_placed()
    {
        using var copy = demo.Tampered("");
        Directory.Delete(copy["captures"]);
        foreach (var file in Directory.EnumerateFiles(Path.Combine(demo.Data, "captures"), "*.parquet", SearchOption.AllDirectories))
        {
            var target = copy[Path.GetRelativePath(demo.Data, file)];
            Directory.CreateDirectory(Path.GetDirectoryName(target)!);
            File.CreateSymbolicLink(target, file);
        }

        var files = Directory.EnumerateFiles(copy["captures"], "*.parquet", SearchOption.AllDirectories).Order(StringComparer.Ordinal).ToList();
        File.Delete(files[0]);
        File.Delete(files[1]);
        await File.WriteAllTextAsync(files[1], "something else");
        var said = await Typed.Line($"records verify --json --data {copy.Path}");
        Assert.Equal(1, said.Exit);
        Assert.Equal(
            [($"capture {Path.GetFileNameWithoutExtension(files[0])}", "Missing"), ($"capture {Path.GetFileNameWithoutExtension(files[1])}", "Changed")],
            said.Json.GetProperty("broken").EnumerateArray().Select(b => (b.GetProperty("place").GetString()!, b.GetProperty("reason").GetString()!.Split(':')[0])));
    }

    [Fact]
    public async Task A_folder_that_holds_something_else_is_left_alone()
    {
        using var place = new Folder();
        var file = place.Write("letters/one.txt", "dear");
        (await Typed.Line($"demo --no-serve --units 1 --data {place.Path}")).IsWrong(place.Path, "found a folder that holds something else than a demo");
        (await Typed.Line($"demo --no-serve --units 1 --data {file}")).IsWrong(file, "found a file, expected a folder");
        Assert.Equal("dear", await File.ReadAllTextAsync(file));
    }

    [Theory]
    [InlineData("--units 0 --speed NaN", "--units: found 0, expected 1 or more", "--speed: found NaN")]
    [InlineData("--units -4", "--units: found -4")]
    [InlineData("--units 1 --secrets /no/such/folder/list.csv", "--secrets: found '/no/such/folder/list.csv'")]
    [InlineData("--units 1 --definitions /no/such/folder", "/no/such/folder: found no such folder")]
    public async Task What_can_be_known_to_be_wrong_is_said_before_the_old_demo_is_deleted(string words, params string[] sentences)
    {
        (await Typed.Line($"demo --no-serve {words} --data {demo.Data}")).IsWrong(sentences);
        Assert.Equal(0, (await Typed.Line($"records verify --data {demo.Data}")).Exit);
    }

    [Fact]
    public async Task Definitions_without_a_load_test_are_refused_before_the_old_demo_is_deleted()
    {
        using var place = new Folder();
        foreach (var (name, text) in DemoFolder.OneLine("throttles", "throttle-1")) place.Write(name, text);
        (await Typed.Line($"demo --no-serve --units 1 --definitions {place.Path} --data {demo.Data}")).IsWrong("no product with a load test");
        Assert.Equal(0, (await Typed.Line($"records verify --data {demo.Data}")).Exit);
    }

    [Fact]
    public async Task A_fault_that_the_definitions_have_no_place_for_is_not_hidden()
    {
        using var place = new Folder();
        foreach (var (name, text) in DemoFolder.Files)
            place.Write(name, text.Replace("{ id: leak,", "{ id: seep,", StringComparison.Ordinal).Replace("{ id: grease-mass,", "{ id: fat,", StringComparison.Ordinal));
        using var data = new Folder();
        var said = await Typed.Line($"demo --no-serve --units 1 --json --definitions {place.Path} --data {data["demo"]}");
        Assert.Equal(0, said.Exit);
        var faults = said.Json.GetProperty("faults").EnumerateArray().Select(f => f.GetProperty("fault").GetString()).ToList();
        Assert.Contains("wrong-gear", faults);
        Assert.Empty(faults.Intersect(["leak", "grease-missing", "cover-screw"]));
    }

    [Fact]
    public void Slips_are_told_with_how_many_were_met()
    {
        var slips = demo.Said.Json.GetProperty("slips").EnumerateArray().ToList();
        Assert.Equal(
            ["answer-lost", "cut-short", "expired-lot", "held-lot", "late-report", "left-over", "loose-screw", "sent-twice", "spoiled-mark", "wrong-lot", "wrong-person", "wrong-unit"],
            slips.Select(s => s.GetProperty("slip").GetString()));
        Assert.All(slips, s => Assert.Equal(s.GetProperty("made").GetInt32(), s.GetProperty("caught").GetInt32()));
    }

    [Fact]
    public async Task Records_are_not_made_out_of_nothing()
    {
        using var place = new Folder();
        (await Typed.Line($"records verify --data {place.Path}")).IsWrong("found no records.db");
        (await Typed.Line($"records rebuild --data {place.Path}")).IsWrong("found no records.db");
        Assert.Empty(Directory.EnumerateFileSystemEntries(place.Path));
    }

    [Fact]
    public async Task A_folder_in_use_is_refused_to_a_second_program_and_may_still_be_verified()
    {
        using var place = new Folder();
        await using (var line = await OpenLine.Open(place.Path, TimeProvider.System))
        {
            foreach (var words in new[] { "serve --urls http://127.0.0.1:0", "records rebuild", $"definitions approve {Typed.Definitions} --by k7f2" })
            {
                var (exit, error) = await Program.Run($"{words} --data {place.Path}");
                Assert.Equal(2, exit);
                Assert.Contains($"{place.Path}: found a folder in use by process {Environment.ProcessId}, expected a data folder that no other program has open.", error, StringComparison.Ordinal);
            }

            Assert.Equal((0, ""), await Program.Run($"records verify --data {place.Path}"));
            Assert.Equal(0, line.Ledger.Head.Size);
        }

        Assert.Equal(0, (await Program.Run($"records rebuild --data {place.Path}")).Exit);
    }
}
