using System.Text.Json;
using Roadproof.App.Tests.Commands;
using Roadproof.Engineering.Drive;

namespace Roadproof.App.Tests.Damage;

/// <summary>
/// Whole runs from files through the door of <c>loadtest judge</c>. The runs come from the simulated rig, which integrates in time and shares no code with what judges;
/// what a fault must move is a table of defects printed by another implementation (read): 10 mΩ in every phase, one magnet of fourteen is 7.1 % of flux.
/// </summary>
public sealed class JudgedRunTests
{
    [Fact]
    public async Task A_sound_unit_passes()
    {
        using var place = new Folder();
        var said = await RecordedRun.Judge(RecordedRun.Sound.WriteTo(place));
        Assert.Equal((0, "pass"), (said.Exit, said.Json.GetProperty("verdict").GetString()));
        said.HasFields("verdict", "requirements", "expectations", "distance", "distanceLimit", "sigmaLimit", "nearestFault", "diagnosis", "windows");
        HasFields(said, "requirements", "id", "value", "unit", "lower", "upper", "standardUncertainty", "guardBand", "verdict");
        HasFields(said, "expectations", "id", "value", "unit", "expected", "standardDeviation", "sigma");
        Assert.InRange(said.Number("distance"), 0, said.Number("distanceLimit"));
        Assert.All(said.Json.GetProperty("requirements").EnumerateArray(), r => Assert.Equal("pass", r.GetProperty("verdict").GetString()));
        Assert.Equal("", said.Error);
    }

    [Fact]
    public async Task A_bad_crimp_is_stopped_and_named_by_its_size()
    {
        using var place = new Folder();
        var said = await RecordedRun.Judge(RecordedRun.Of(new Deviation { AddedResistanceOhm = 0.010 }).WriteTo(place));
        IsStopped(said, "crimp");
        Assert.Equal(65, Expectation(said, "resistance-20"), 1.5);
    }

    [Fact]
    public async Task A_missing_magnet_is_stopped_and_named_by_its_size()
    {
        using var place = new Folder();
        var said = await RecordedRun.Judge(RecordedRun.Of(new Deviation { FluxFactor = 13.0 / 14 }).WriteTo(place));
        IsStopped(said, "magnet-missing");
        Assert.Equal(7.74 * 13 / 14, Expectation(said, "flux-20"), 0.05);
    }

    [Fact]
    public async Task The_readable_answer_names_verdict_cause_and_where_to_look()
    {
        using var place = new Folder();
        var said = await Typed.Words(["loadtest", "judge", .. RecordedRun.Of(new Deviation { AddedResistanceOhm = 0.010 }).WriteTo(place), "--product", "af-85"]);
        Assert.StartsWith(said.Exit == 1 ? "Fail." : "Hold: ", said.Output, StringComparison.Ordinal);
        Assert.Contains("most likely", said.Output, StringComparison.Ordinal);
        Assert.Contains("crimp", said.Output, StringComparison.OrdinalIgnoreCase);
    }

    // 65 mΩ as drawn; the same door, files and judge as for a drive unit with a crank.
    [Theory]
    [InlineData(0, 65), InlineData(0.010, 75)]
    public async Task A_hub_motor_is_judged_by_its_own_definition(double addedOhm, double milliohm)
    {
        using var place = new Folder();
        var files = RecordedRun.Of(HubFolder.Plan, new Deviation { AddedResistanceOhm = addedOhm }).WriteTo(place);
        var said = await Typed.Words(["loadtest", "judge", .. files, "--product", "af-40", "--json"]);
        if (addedOhm > 0) IsStopped(said, "crimp");
        else Assert.Equal((0, "pass"), (said.Exit, said.Json.GetProperty("verdict").GetString()));
        Assert.Equal(milliohm, Expectation(said, "resistance-20"), 1.5);
        Assert.Empty(said.Json.GetProperty("warnings").EnumerateArray());
    }

    static void IsStopped(Typed said, string fault)
    {
        var verdict = said.Json.GetProperty("verdict").GetString();
        Assert.Equal(verdict switch { "fail" => 1, "hold" => 4, _ => -1 }, said.Exit);
        HasFields(said, "diagnosis", "fault", "probability", "magnitude", "interval", "unit", "inseparableFrom");
        var first = said.Json.GetProperty("diagnosis")[0];
        var named = first.GetProperty("inseparableFrom").EnumerateArray().Select(f => f.GetString()).Prepend(first.GetProperty("fault").GetString());
        Assert.Contains(fault, named);
    }

    static double Expectation(Typed said, string id) =>
        said.Json.GetProperty("expectations").EnumerateArray().Single(e => e.GetProperty("id").GetString() == id).GetProperty("value").GetDouble();

    static void HasFields(Typed said, string list, params string[] fields)
    {
        Assert.NotEqual(0, said.Json.GetProperty(list).GetArrayLength());
        Assert.All(said.Json.GetProperty(list).EnumerateArray(), (JsonElement e) => Assert.Empty(fields.Except(e.EnumerateObject().Select(p => p.Name))));
    }
}
