using System.Globalization;
using System.Text;
using System.Text.Json;

namespace Roadproof.App.Tests.Commands;

/// <summary><c>checks judge functional</c> through its door: the route's readings are its requirements, the product's drawing its expectation.</summary>
public sealed class FunctionalCommandTests
{
    // Torques of the AF-85 as docs/methods/functional-check.md tells them, at 60 °/s.
    static string Check(double forward = 0.20, double lockNm = 140, double sensor = 0.1, bool phases = true)
    {
        var (rows, t) = (new StringBuilder($"time_s,section,angle_deg,torque_nm,sensor_torque_nm,part_c{(phases ? ",phase_current_u_a,phase_current_v_a,phase_current_w_a,messages_missed" : "")}\n"), 0);
        Turn(1, 1, _ => forward);
        Turn(2, -1, _ => 0.17);
        Turn(3, -1, deg => deg < 4 ? 0.02 : 1.49);
        for (var nm = 0.0; nm < lockNm; nm += 0.5) Row(4, -nm / 6500 * 180 / Math.PI, -nm);
        Turn(5, 1, _ => 0.13);
        for (var i = 0; i < 200; i++) Row(6, 0, 0);
        return rows.ToString();

        void Turn(int section, int way, Func<double, double> torque)
        {
            for (var deg = 0.0; deg < 420; deg += 0.5) Row(section, way * deg, way * torque(deg));
        }

        void Row(int section, double deg, double nm) =>
            rows.Append(CultureInfo.InvariantCulture, $"{++t * 0.5 / 60:0.00000},{section},{deg:0.000},{nm + 0.003 * Math.Sin(37 * t):0.0000},{sensor + 0.05 * Math.Sin(91 * t):0.000},20{(phases ? Phases(section) : "")}\n");

        string Phases(int section) => section < 6 ? ",0,0,0,0" : string.Create(CultureInfo.InvariantCulture, $",{5 * Math.Cos(0.1 * t):0.000},{5 * Math.Cos(0.1 * t - 2.0944):0.000},{5 * Math.Cos(0.1 * t + 2.0944):0.000},0");
    }

    [Fact]
    public async Task A_sound_unit_passes_by_the_routes_limits_and_the_answer_is_whole()
    {
        using var place = new Folder();
        var said = await Typed.Words("checks", "judge", "functional", place.Write("check.csv", Check()), "--product", "af-85", "--json");
        said.HasFields("verdict", "features", "expectations", "distance", "distanceLimit", "sigmaLimit", "reading");
        Assert.Equal((0, "pass"), (said.Exit, said.Json.GetProperty("verdict").GetString()));
        var features = said.Json.GetProperty("features").EnumerateArray().ToDictionary(f => f.GetProperty("id").GetString()!);
        Assert.Equal((0.1, 0.3), (features["drag-forward"].GetProperty("lower").GetDouble(), features["drag-forward"].GetProperty("upper").GetDouble()));
        Assert.Equal(127.5, features["clutch-lock"].GetProperty("lower").GetDouble());
        Assert.Equal(4, features["backlash"].GetProperty("value").GetDouble(), 0.5);
        Assert.True(features["phase-balance"].GetProperty("value").GetDouble() < 0.5);
    }

    [Fact]
    public async Task What_is_required_fails_what_is_unusual_holds()
    {
        using var place = new Folder();
        Assert.Equal(1, (await Typed.Words("checks", "judge", "functional", place.Write("a.csv", Check(forward: 0.36)), "--product", "af-85")).Exit);
        Assert.Equal(4, (await Typed.Words("checks", "judge", "functional", place.Write("b.csv", Check(sensor: 1.6)), "--product", "af-85")).Exit);
        var early = await Typed.Words("checks", "judge", "functional", place.Write("c.csv", Check(lockNm: 100)), "--product", "af-85");
        Assert.Equal(4, early.Exit);
        Assert.Contains("the ramp ended below the limit", early.Output.ReplaceLineEndings(" "), StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_channel_that_was_not_recorded_is_told_and_not_taken_for_good()
    {
        using var place = new Folder();
        var said = await Typed.Words("checks", "judge", "functional", place.Write("check.csv", Check(phases: false)), "--product", "af-85", "--json");
        Assert.Equal(4, said.Exit);
        Assert.Equal(JsonValueKind.Null, said.Json.GetProperty("features").EnumerateArray().Single(f => f.GetProperty("id").GetString() == "phase-balance").GetProperty("value").ValueKind);
        Assert.Contains("Imbalance of the phases: the capture cannot tell.", said.Json.GetProperty("reading").GetString(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_hub_motor_has_no_such_check()
    {
        using var place = new Folder();
        var said = await Typed.Words("checks", "judge", "functional", place.Write("a.csv", Check()), "--product", "af-40", "--json");
        Assert.Equal(2, said.Exit);
        Assert.Contains("which has no crank", said.Error, StringComparison.Ordinal);
    }
}
