using Roadproof.Records.Rework;

namespace Roadproof.Records.Tests.Definitions;

/// <summary>Which parts a fault may sit in follows from what the definitions say that a bad lot moves, for every product alike.</summary>
public sealed class FaultPartTests
{
    [Theory]
    [InlineData("motor-drag", "stator,rotor")]
    [InlineData("stiff-grease", "grease,clutch,gear-set")]
    [InlineData("tooth-damage", "gear-set,grease")]
    [InlineData("weak-flux", "rotor,stator,controller")]
    [InlineData("current-gain", "controller")]
    [InlineData("torque-sensor-zero", "")]
    [InlineData("unknown", "")]
    public void Of_the_demo_s_mid_drive(string fault, string parts)
    {
        string[] inIt = ["stator", "rotor", "controller", "gear-set", "grease", "clutch"];
        var demo = DemoFolder.Read(DemoFolder.Files);
        Assert.Equal(parts.Split(',', StringSplitOptions.RemoveEmptyEntries), FaultParts.Of(fault, demo.Parts).Where(p => inIt.Contains(p)));
    }
}
