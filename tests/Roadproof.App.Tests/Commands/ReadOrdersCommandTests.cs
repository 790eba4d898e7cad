using System.Globalization;
using System.Text.Json;
using Roadproof.App.Tests.Damage;
using Roadproof.Engineering.Drive;

namespace Roadproof.App.Tests.Commands;

/// <summary>A channel read over the angle through its door: a customer's table with a tacho, our own captures, and what is refused.</summary>
public sealed class ReadOrdersCommandTests
{
    // Ten turns a second, order 3 of amplitude 2, a tacho of two pulses a turn: what a bench with an oscilloscope writes.
    static readonly string Bench = "time_s;mic_pa;tacho\n" + string.Join('\n', Enumerable.Range(0, 8000).Select(i => i / 2000.0).Select(t =>
        string.Create(CultureInfo.InvariantCulture, $"{t};{2 * Math.Sin(2 * Math.PI * 30 * t) + 0.01 * Math.Sin(1e5 * t * t):0.0000};{(t * 20 % 1 < 0.3 ? 5 : 0)}")));

    [Fact]
    public async Task A_table_with_a_tacho_is_read_without_a_product()
    {
        using var place = new Folder();
        place.Write("bench.csv", Bench);
        var said = await Typed.Words("loadtest", "orders", place["bench.csv"], "--channel", "mic_pa", "--angle", "tacho", "--pulses-per-turn", "2", "--window", "flat-top", "--json");

        Assert.Equal(0, said.Exit);
        said.HasFields("orders", "rms", "kurtosis", "crest", "bands", "envelope", "gears");
        var line = said.Json.GetProperty("orders").EnumerateArray().MaxBy(o => o.GetProperty("amplitude").GetDouble());
        Assert.Equal(3, line.GetProperty("order").GetDouble(), 0.02);
        Assert.Equal(2, line.GetProperty("amplitude").GetDouble(), 0.02);
        Assert.Equal(JsonValueKind.Null, line.GetProperty("name").ValueKind);
        Assert.Equal(Math.Sqrt(2), said.Number("rms"), 0.01);
        Assert.Equal(1.5, said.Number("kurtosis"), 0.01);
    }

    [Fact]
    public async Task A_person_sees_the_lines_in_a_table()
    {
        using var place = new Folder();
        place.Write("bench.csv", Bench);
        var said = await Typed.Words("loadtest", "orders", place["bench.csv"], "--channel", "mic_pa", "--angle", "tacho", "--pulses-per-turn", "2");

        Assert.Equal(0, said.Exit);
        Assert.Contains("mic_pa over the turns of the shaft of tacho", said.Output, StringComparison.Ordinal);
        Assert.Contains("amplitude", said.Output, StringComparison.Ordinal);
    }

    // The simulated rig knows nothing of order analysis: its vibration has rotor and meshes, its angle stands in the fast file.
    [Fact]
    public async Task Our_own_captures_are_read_with_names()
    {
        using var place = new Folder();
        var files = RecordedRun.Sound.WriteTo(place);
        var said = await Typed.Words(["loadtest", "orders", .. files, "--channel", "vibration_m_s2", "--product", "af-85", "--json"]);

        Assert.Equal(0, said.Exit);
        Assert.Equal("rotor", said.Json.GetProperty("shaft").GetString());
        var found = said.Json.GetProperty("orders").EnumerateArray().Where(o => o.GetProperty("found").GetBoolean()).SelectMany(o => o.GetProperty("names").EnumerateArray().Select(n => n.GetString())).ToList();
        Assert.Contains("rotor", found);
        Assert.Contains("stage-1 mesh", found);
        Assert.Equal(4, said.Json.GetProperty("gears").GetArrayLength());
        Assert.DoesNotContain(said.Json.GetProperty("gears").EnumerateArray(), g => g.GetProperty("toothStandsOut").GetBoolean());

        var current = await Typed.Words(["loadtest", "orders", .. files, "--channel", "phase_current_u_a", "--product", "af-85", "--json"]);
        Assert.InRange(current.Json.GetProperty("phases").GetProperty("unbalance").GetDouble(), 0, 0.03);
        Assert.Equal("pole pairs (electrical)", current.Json.GetProperty("orders").EnumerateArray().MaxBy(o => o.GetProperty("amplitude").GetDouble()).GetProperty("name").GetString());
    }

    // A blow of the first wheel's tooth, as large as the demo hides it: under 50 N·m it stands out, in its wheel and in no other, and the same window of the sound unit shows none.
    [Fact]
    public async Task A_damaged_tooth_stands_out_under_load()
    {
        using var place = new Folder();
        var files = RecordedRun.Of(new Deviation { ToothBlowMPerS2 = 12 }).WriteTo(place);
        var said = await Typed.Words(["loadtest", "orders", .. files, "--channel", "vibration_m_s2", "--product", "af-85", "--from-s", "54", "--to-s", "58", "--json"]);

        var struck = Assert.Single(said.Json.GetProperty("gears").EnumerateArray(), g => g.GetProperty("toothStandsOut").GetBoolean());
        Assert.Equal((1, "wheel"), (struck.GetProperty("stage").GetInt32(), struck.GetProperty("wheel").GetString()));
        Assert.True(struck.GetProperty("residualKurtosis").GetDouble() > 20);
        Assert.True(said.Json.GetProperty("envelope").GetProperty("kurtosis").GetDouble() > 20);
    }

    [Fact]
    public async Task Wrong_words_and_files_are_told()
    {
        using var place = new Folder();
        place.Write("bench.csv", Bench);
        place.Write("cut.csv", Bench[..^3]);
        string[] command = ["loadtest", "orders", place["bench.csv"], "--channel", "mic_pa"];

        (await Typed.Words(command)).IsWrong("--angle: found no channel that says how the shaft turns");
        (await Typed.Words([.. command, "--angle", "tach"])).IsWrong("found no channel 'tach'", "Is it tacho?");
        (await Typed.Words([.. command, "--pulses-per-turn", "2"])).IsWrong("--pulses-per-turn: found no --angle beside it");
        (await Typed.Words([.. command, "--turns-per-block", "3"])).IsWrong("--turns-per-block: found 3, expected a power of two");
        (await Typed.Words([.. command, "--window", "round"])).IsWrong("--window: found 'round', expected one of rectangular, hann, blackman-harris, flat-top");
        (await Typed.Words([.. command, "--band", "wide"])).IsWrong("--band: found 'wide'");
        // Once the file's rows were blamed.
        (await Typed.Words([.. command, "--from-s", "5", "--to-s", "1"])).IsWrong("--to-s: found 1, expected a time after --from-s, 5");
        (await Typed.Words("loadtest", "orders", place["cut.csv"], "--channel", "mic_pa")).IsWrong("a row of length 2");
        (await Typed.Words("loadtest", "orders", place["none.csv"], "--channel", "mic_pa")).IsWrong("no such file");
    }
}
