using Roadproof.Records.Definitions;
using Roadproof.Records.Rework;

namespace Roadproof.Records.Tests.Definitions;

/// <summary>Which parts a fault may sit in follows from what the definitions say that a bad lot moves, for every product alike.</summary>
public sealed class FaultPartTests
{
    [Theory]
    [InlineData("motor-drag", "rotor,stator")]
    [InlineData("stiff-grease", "grease,clutch,gear-set")]
    [InlineData("tooth-damage", "gear-set,grease")]
    [InlineData("weak-flux", "rotor,stator,controller")]
    [InlineData("current-gain", "controller")]
    [InlineData("motor-drag+current-gain", "rotor,stator,controller")]
    [InlineData("torque-sensor-zero", "")]
    [InlineData("unknown", "")]
    public void Of_the_demo_s_mid_drive(string fault, string parts)
    {
        string[] inIt = ["stator", "rotor", "controller", "gear-set", "grease", "clutch"];
        var demo = DemoFolder.Read(DemoFolder.Files);
        Assert.Equal(parts.Split(',', StringSplitOptions.RemoveEmptyEntries), FaultParts.Of(fault, demo.Parts).Where(p => inIt.Contains(p)));
    }

    // Of a rotor that the plant built, the bearing may drag and the magnets may not; a stator's wire was once named for a bearing that dragged.
    [Theory]
    [InlineData("bearing", true), InlineData("magnet", false), InlineData("wire", false)]
    public void What_is_inside_a_part_is_named_only_where_it_could_show(string part, bool named)
    {
        var parts = DefinitionFolder.Read(DemoFolder.Whole)[0].Parts;
        Assert.Equal(named, FaultParts.MayShow("motor-drag", parts.Single(p => p.Id == part)));
    }
}
