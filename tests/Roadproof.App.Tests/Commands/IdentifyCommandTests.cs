using System.Text.Json;
using Roadproof.App.Tests.Damage;
using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Formats;

namespace Roadproof.App.Tests.Commands;

/// <summary>
/// A unit's parameters through the door of <c>loadtest identify</c>. The captures are integrated in time by the simulated rig and share no computation with what identifies; what is true of the unit is what was put in:
/// the demo's definition (55 mΩ, 7.74 mWb, 0.965 · 0.975 of the meshes) and the deviation named here.
/// </summary>
public sealed class IdentifyCommandTests
{
    static readonly Deviation Unit = new() { ResistanceFactor = 1.02, FluxFactor = 0.985, AddedMotorDragNm = 0.002, MeshFactor = 0.997, RotorOffsetRad = 0.01 };
    static readonly Lazy<RecordedRun> Run = new(() => RecordedRun.Of(Unit, 21));

    [Fact]
    public async Task Says_what_the_unit_is_and_how_sure()
    {
        using var place = new Folder();
        var said = await Identify(Run.Value.WriteTo(place));
        Assert.Equal((0, ""), (said.Exit, said.Error));
        said.HasFields("parameters", "combinations", "correlations", "fit", "residual", "points", "leftOut");
        Is(said, "windingResistanceOhm", 1.02 * 0.055);
        Is(said, "fluxLinkageWb", 0.985 * 7.74e-3);
        Is(said, "gearEfficiency", 0.997 * 0.965 * 0.975);
        Is(said, "coulombFrictionNm", 0.010);
        Is(said, "viscousFrictionNmS", 1e-5);
        Is(said, "ironLossHysteresisWPerHz", 0.012);
        Is(said, "ironLossEddyWPerHz2", 3e-5);
        Assert.True(Parameter(said, "windingResistanceOhm").GetProperty("identified").GetBoolean());
        Assert.InRange(Parameter(said, "windingResistanceOhm").GetProperty("fromRun").GetDouble(), 0.9, 1);

        // No reading of a load test tells friction from hysteresis: the answer says so, and what is known instead.
        Assert.False(Parameter(said, "coulombFrictionNm").GetProperty("identified").GetBoolean());
        Assert.Equal(JsonValueKind.Null, Parameter(said, "coulombFrictionNm").GetProperty("run").ValueKind);
        Assert.Contains(Warnings(said), w => w.Contains("cannot tell coulomb friction", StringComparison.Ordinal));
        Assert.Equal(0.010 + 0.012 + 0.012 * 7 / Math.Tau, said.Json.GetProperty("combinations").GetProperty("constantDragNm").GetProperty("value").GetDouble(), 5e-4);
        Assert.All(said.Json.GetProperty("residual").EnumerateArray(), r => Assert.True(r.GetProperty("rms").GetDouble() > 0 && r.GetProperty("channel").GetString()!.Length > 0 && r.GetProperty("unit").GetString()!.Length > 0));
        Assert.True(said.Json.GetProperty("fit").GetProperty("fits").GetBoolean());
    }

    // Real faults of a recorder, put into the samples of one load point: a torque cell that slips, a bus current that drops out, a phase current that is cut at its amplifier's end.
    [Theory]
    [InlineData("50-60", "output_torque_nm"), InlineData("45-100", "bus_current_a"), InlineData("85-60", "phase_current_u_a")]
    public async Task A_window_that_was_recorded_wrongly_is_named_and_left_out(string point, string channel)
    {
        var (fromS, toS) = Hold(point);
        CaptureTable Wrong(CaptureTable table) => table.Channel(channel, samples =>
        {
            for (var i = 0; i < samples.Length; i++)
            {
                if (table.TimeS[i] < fromS || table.TimeS[i] >= toS) continue;
                samples[i] = channel switch { "output_torque_nm" => samples[i] - 1.5f, "bus_current_a" => i % 10 == 0 ? 0 : samples[i], _ => Math.Clamp(samples[i], -31, 31) };
            }

            return samples;
        });
        using var place = new Folder();
        var spoilt = channel == "phase_current_u_a" ? Run.Value.With(fast: Wrong) : Run.Value.With(slow: Wrong);
        var said = await Identify(spoilt.WriteTo(place));

        Assert.Equal(0, said.Exit);
        Assert.Equal([point], said.Json.GetProperty("leftOut").EnumerateArray().Select(p => p.GetString()));
        Assert.Contains(Warnings(said), w => w.StartsWith($"Load point {point} was left out: the others contradict it", StringComparison.Ordinal));
        Is(said, "windingResistanceOhm", 1.02 * 0.055);
        Is(said, "fluxLinkageWb", 0.985 * 7.74e-3);
        Is(said, "gearEfficiency", 0.997 * 0.965 * 0.975);
    }

    [Fact]
    public async Task Without_phase_voltages_the_resistance_cannot_be_told()
    {
        using var place = new Folder();
        var said = await Identify(Run.Value.With(fast: t => t with { Channels = t.Channels.Where(c => !c.Key.StartsWith("phase_voltage", StringComparison.Ordinal)).ToDictionary(StringComparer.Ordinal) }).WriteTo(place));
        Assert.Equal(0, said.Exit);
        Assert.False(Parameter(said, "windingResistanceOhm").GetProperty("identified").GetBoolean());
        Is(said, "windingResistanceOhm", 1.02 * 0.055);
        Is(said, "fluxLinkageWb", 0.985 * 7.74e-3);
        Assert.Contains(Warnings(said), w => w.StartsWith("No phase voltages: this run alone knows the resistance to 1 mΩ, less surely than the spread of the parts", StringComparison.Ordinal));
    }

    [Fact]
    public async Task A_hub_motor_is_identified_by_its_own_definition()
    {
        using var place = new Folder();
        var files = RecordedRun.Of(HubFolder.Plan, Unit).WriteTo(place);
        var said = await Typed.Words(["loadtest", "identify", .. files, "--product", "af-40", "--json"]);
        Assert.Equal(0, said.Exit);
        Is(said, "windingResistanceOhm", 1.02 * 0.065);
        Is(said, "fluxLinkageWb", 0.985 * 18.2e-3);
    }

    [Fact]
    public async Task The_readable_answer_shows_what_comes_from_the_run()
    {
        using var place = new Folder();
        var said = await Typed.Words(["loadtest", "identify", .. Run.Value.WriteTo(place), "--product", "af-85"]);
        Assert.Equal(0, said.Exit);
        foreach (var words in (string[])["parameter", "from the run", "cannot tell", "Chi-square", "the model explains this run"]) Assert.Contains(words, said.Output, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Captures_that_cannot_be_used_are_refused()
    {
        using var place = new Folder();
        var files = Run.Value.WriteTo(place);
        (await Identify(place["none.parquet"])).IsWrong("found no such file");
        (await Identify(files[0])).IsWrong("no channel phase_current_u_a");
        File.WriteAllText(files[0], "half a file");
        Assert.Equal(2, (await Identify(files)).Exit);

        // Cut short before the load: nothing to identify from.
        using var other = new Folder();
        (await Identify(Run.Value.With(slow: t => t.Until(30)).WriteTo(other))).IsWrong("a run of 30 s");
    }

    static Task<Typed> Identify(params string[] files) => Typed.Words(["loadtest", "identify", .. files, "--product", "af-85", "--json"]);

    static (double FromS, double ToS) Hold(string point)
    {
        var points = RecordedRun.Plan.Cycle.Points;
        var fromS = points.TakeWhile(p => p.Id != point).Sum(p => p.HoldS);
        return (fromS, fromS + points.Single(p => p.Id == point).HoldS);
    }

    static JsonElement Parameter(Typed said, string id) => said.Json.GetProperty("parameters").GetProperty(id);

    static IEnumerable<string> Warnings(Typed said) => said.Json.GetProperty("warnings").EnumerateArray().Select(w => w.GetString()!);

    // Four standard uncertainties: one right answer in sixteen thousand would be called wrong.
    static void Is(Typed said, string id, double truth)
    {
        var p = Parameter(said, id);
        Assert.Equal(truth, p.GetProperty("value").GetDouble(), 4 * p.GetProperty("standardUncertainty").GetDouble());
    }
}
