using System.Globalization;
using Roadproof.Engineering.Checks;

namespace Roadproof.Engineering.Tests.Checks;

/// <summary>Three recorded holds at about 7.5 bar: an aluminium reference and two printed chambers (CC0). Volume and temperature are not recorded.</summary>
public sealed class LeakRecordingTests
{
    /// <summary>One litre, so that figures compare as shares; the gauge's own step is 1 mbar.</summary>
    static readonly LeakTest Test = new() { VolumeM3 = 1e-3, TestPressurePa = 7.4e5, PressureStepPa = 100, Limit = new(null, 5, "none recorded"), FromS = 0 };

    static LeakReadings Of(string name) => LeakReadings.From(Curve(name), Test);

    static LeakCurve Curve(string name)
    {
        // Times such as 1.002.000 are thousandths of a millisecond with dots between thousands; the third column is bar.
        var rows = File.ReadAllLines(Path.Combine(DataSets.Folder("leak"), name + ".csv")).Where(l => l.Length > 0).Select(l => l.Split(';')).ToList();
        var time = rows.Select(r => long.Parse(r[0].Replace(".", "", StringComparison.Ordinal), CultureInfo.InvariantCulture) / 1e6).ToArray();
        var bar = rows.Select(r => double.Parse(r[2], CultureInfo.InvariantCulture)).ToArray();
        return new(time, [.. bar.Select(b => 1e5 * b + 101_325)], null, null);
    }

    [Fact]
    public void Both_chambers_lose_more_than_the_reference_beyond_all_noise()
    {
        var (a, b, reference) = (Of("chamber-a"), Of("chamber-b"), Of("reference"));
        foreach (var chamber in new[] { a, b })
            Assert.True(chamber.Decay.Value - reference.Decay.Value > 5 * double.Hypot(chamber.Decay.StandardUncertainty, reference.Decay.StandardUncertainty));
    }

    // Nobody recorded a temperature: 3 K would look like all of a chamber's loss, 1 K like all of the reference's, whose decay moreover wanders from quarter to quarter (16, 33, 34, 0 Pa/s).
    [Fact]
    public void What_temperature_would_have_to_do_is_told()
    {
        Assert.InRange(Of("chamber-a").CoolingToExplainK, 2.8, 3.8);
        Assert.InRange(Of("chamber-b").CoolingToExplainK, 3, 4.2);
        Assert.InRange(Of("reference").CoolingToExplainK, 0.8, 1.4);
    }

    // The aluminium volume was not recorded at the same time; taken for a thermometer all the same, it takes its own 24 Pa/s off.
    [Theory]
    [InlineData("chamber-a", 46)]
    [InlineData("chamber-b", 48)]
    public void The_reference_takes_its_own_loss_off(string chamber, double paPerS)
    {
        var read = LeakReadings.From(ReferenceVolume.AsThermometer(Curve(chamber), Curve("reference")), Test);
        Assert.Equal(paPerS, read.CorrectedDecay.Value, 3.0);
    }

    // Chamber a loses 88 Pa/s in its first half and 50 in its second: a straight line through it would be a lie.
    [Fact]
    public void A_decay_that_dies_away_is_not_taken_for_settled() => Assert.False(Of("chamber-a").Settled);
}
