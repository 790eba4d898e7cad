using CsCheck;
using Roadproof.Engineering.Signals;
using Roadproof.Engineering.Tests.Fixtures;

namespace Roadproof.Engineering.Tests.Properties;

/// <summary>What each wheel of a pair repeats, against signals that were made of it.</summary>
public sealed class WheelAverageTests
{
    const int PerTooth = 16;

    // 12 and 83 teeth have no common factor: the same two meet again after 83 turns of the pinion; 12 and 36 after three (textbook).
    [Theory]
    [InlineData(12, 83, 83), InlineData(12, 36, 3), InlineData(32, 80, 5), InlineData(13, 68, 68)]
    public void The_same_teeth_meet_again_after_the_least_common_multiple(int teeth, int other, int turns) => Assert.Equal(turns, WheelAverage.HuntingTurns(teeth, other));

    // Over whole hunting periods the two patterns come out exactly, but for what both have: the mesh, which the first keeps.
    [Fact]
    public void The_patterns_of_two_wheels_come_apart() =>
        Gen.Select(Gen.Double[-1, 1].Array[5 * 4], Gen.Double[-1, 1].Array[7 * 4]).Sample((pinion, wheel) =>
        {
            var signal = Enumerable.Range(0, 5 * 7 * 4 * 3).Select(i => pinion[i % pinion.Length] + wheel[i % wheel.Length]).ToArray();
            var averages = WheelAverage.Of(signal, 4, [5, 7]);

            Assert.All(signal.Select((x, i) => x - averages[0].Mean[i % pinion.Length] - averages[1].Mean[i % wheel.Length]), rest => Assert.Equal(0, rest, 1e-12));
            for (var place = 0; place < 4; place++) // the mesh is the average over the teeth: none of it is left in the second
                Assert.Equal(0, Enumerable.Range(0, 7).Sum(tooth => averages[1].Mean[4 * tooth + place]), 1e-12);
        }, iter: 50);

    // A blow at tooth 30 of the wheel: found there, hardly by chance, repeated from turn to turn; the pinion stays clean although the window is no whole hunting period.
    [Theory]
    [InlineData(13.0), InlineData(25.4)]
    public void A_blow_is_found_at_its_tooth_of_its_wheel(double wheelTurns)
    {
        var averages = WheelAverage.Of(Meshing(wheelTurns, blow: 4, seed: 1), PerTooth, [12, 83]);

        var (pinion, wheel) = (averages[0], averages[1]);
        Assert.InRange(wheel.Tooth, 30, 31);
        Assert.True(wheel.ChanceProbability < 1e-6, $"{wheel.ChanceProbability}");
        Assert.True(wheel.Kurtosis > 6);
        Assert.True(wheel.Repeats > 0.8);
        Assert.True(pinion.ChanceProbability > 1e-3, $"{pinion.ChanceProbability}");
    }

    // Sound gears in noise: 200 pairs at a chance of 2 % each should show about four.
    [Fact]
    public void Sound_wheels_show_a_tooth_as_seldom_as_promised()
    {
        var alarms = 0;
        for (var seed = 0; seed < 200; seed++) alarms += WheelAverage.Of(Meshing(12, blow: 0, seed), PerTooth, [12, 83])[1].ChanceProbability < 0.02 ? 1 : 0;

        Assert.InRange(alarms, 1, 11); // fewer or more than that about once in fifty and once in a thousand
    }

    // (1 + m·cos)·cos has two sidebands of m/2 of the carrier (textbook): 3 m/s² with 10 % by the pinion's turn and 20 % by the wheel's.
    [Fact]
    public void Sidebands_turn_with_the_wheel_that_modulates()
    {
        var wheels = WheelAverage.Of(Meshing(83, blow: 0, seed: 5), PerTooth, [12, 83]);

        Assert.Equal(3, wheels[0].Amplitude(12), 0.03);
        Assert.Equal(0.15, wheels[0].SidebandIndex, 0.02);
        Assert.Equal(0.30, wheels[1].SidebandIndex, 0.02);
    }

    // One passing knock is as loud in the average as a bad tooth, but it was there in one turn only.
    [Fact]
    public void A_passing_knock_does_not_repeat()
    {
        var signal = Meshing(13, blow: 0, seed: 3);
        for (var i = 0; i < 20; i++) signal[5 * 83 * PerTooth + 700 + i] += 50 * Math.Exp(-i / 6.0) * Math.Sin(2 * Math.PI * i / 5);
        var wheel = WheelAverage.Of(signal, PerTooth, [12, 83])[1];

        Assert.True(wheel.ChanceProbability < 1e-3);
        Assert.InRange(wheel.Repeats, -0.5, 0.5);
    }

    // The angle need not begin at zero: the tooth is counted from there all the same.
    [Fact]
    public void Teeth_are_counted_from_the_angle_zero()
    {
        var signal = Meshing(13, blow: 2, seed: 4);
        var later = WheelAverage.Of(signal.AsSpan(10 * PerTooth), PerTooth, [12, 83], firstSample: 10 * PerTooth)[1];

        Assert.Equal(WheelAverage.Of(signal, PerTooth, [12, 83])[1].Tooth, later.Tooth);
    }

    /// <summary>Mesh with harmonics and run-out of both wheels, noise, and a blow that rings for a third of a tooth once a turn of the wheel.</summary>
    static double[] Meshing(double wheelTurns, double blow, int seed)
    {
        var random = new Random(seed);
        var signal = new double[(int)(wheelTurns * 83 * PerTooth)];
        for (var i = 0; i < signal.Length; i++)
        {
            var tooth = 2 * Math.PI * i / PerTooth;
            signal[i] = (1 + 0.2 * Math.Cos(tooth / 83) + 0.1 * Math.Cos(tooth / 12)) * (3 * Math.Cos(tooth) + Math.Cos(2 * tooth)) + RunUp.Normal(random);
            var behind = i % (83 * PerTooth) - 29.5 * PerTooth;
            if (behind >= 0) signal[i] += blow * Math.Exp(-behind / 6) * Math.Sin(2 * Math.PI * behind / 5);
        }

        return signal;
    }
}
