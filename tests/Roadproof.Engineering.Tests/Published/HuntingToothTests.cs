using CsCheck;
using Roadproof.Engineering.CycleDesign;
using Roadproof.Engineering.Tests.Fixtures;

namespace Roadproof.Engineering.Tests.Published;

/// <summary>Source: two teeth meet again after the least common multiple of both tooth counts in meshes (number theory; textbook of gears). The first line is a pair of the demo's trade notes: 12:83 repeats after 83 turns of the rotor.</summary>
public sealed class HuntingToothTests
{
    [Theory]
    [InlineData(12, 83, 1, 83)]
    [InlineData(13, 68, 1, 68)]
    [InlineData(12, 84, 12, 7)]
    [InlineData(15, 45, 15, 3)]
    [InlineData(14, 49, 7, 7)]
    [InlineData(20, 20, 20, 1)]
    public void Same_teeth_meet_again_after_the_least_common_multiple(int pinion, int wheel, int factor, int turns)
    {
        var pair = HuntingTooth.Of(1, "pinion and wheel", pinion, wheel);
        Assert.Equal((factor, turns, factor == 1), (pair.CommonFactor, pair.TurnsToMeetAgain, pair.Hunting));
    }

    /// <summary>The slow way: turn the gears until both first teeth touch again.</summary>
    [Fact]
    public void Counting_tooth_by_tooth_tells_the_same() =>
        Gen.Select(Gen.Int[5, 120], Gen.Int[5, 120]).Sample((one, other) =>
        {
            var meshes = 1;
            while (meshes % one != 0 || meshes % other != 0) meshes++;
            Assert.Equal(meshes, HuntingTooth.Of(1, "", one, other).TurnsToMeetAgain * one);
        }, iter: 200, seed: "0N0XIzNsQ0O2");

    [Fact]
    public void A_planetary_stage_has_two_meshes()
    {
        var meshes = HuntingTooth.Of(GearedHub.Unit);
        Assert.Equal([("sun and planet", 17, 31, 1), ("planet and ring", 31, 79, 1)], meshes.Select(m => (m.Pair, m.Teeth, m.OtherTeeth, m.CommonFactor)));
    }
}
