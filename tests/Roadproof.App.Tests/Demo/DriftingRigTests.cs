using Roadproof.App.Tests.Commands;

namespace Roadproof.App.Tests.Demo;

/// <summary>The demo whose rig drifts, whole: minutes of work, so asked for by name.</summary>
public sealed class DriftingRigTests
{
    [Fact(Explicit = true)]
    public async Task The_drifting_rig_is_found_by_its_reference_and_no_sound_unit_is_lost_by_it()
    {
        using var place = new Folder();
        var said = await Typed.Line($"demo --no-serve --units 110 --seed 2 --json --data {place["demo"]}");
        Assert.Equal("rig3", said.Json.GetProperty("driftingRig").GetString());
        Assert.InRange(said.Number("unitsOnDriftingRig"), 1, 20);
        Assert.Equal(0, said.Number("soundStoppedByLotOrRigHold"));
        Assert.Equal(0, said.Json.GetProperty("warnings").GetArrayLength());
    }
}
