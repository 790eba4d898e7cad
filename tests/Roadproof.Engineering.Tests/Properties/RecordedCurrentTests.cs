using System.Globalization;
using Roadproof.Engineering.Signals;

namespace Roadproof.Engineering.Tests.Properties;

/// <summary>
/// Real currents. Turn shorts: three phases at 1 kHz, one second each, healthy and with 10 to 40 % of one phase's turns shorted (ibarram/ITSC, MIT).
/// Inverter faults: a motor at 10 Hz of samples in raw counts, normal and faulty (Data in Brief 58, 111286, CC BY 4.0).
/// </summary>
public sealed class RecordedCurrentTests
{
    // The share that turns against the field grows with every step of the short, in each phase, and one step is already four times the healthy motor's.
    [Theory]
    [InlineData("A{0}_B0_C0"), InlineData("A0_B{0}_C0"), InlineData("A0_B0_C{0}")]
    public void A_turn_short_makes_the_phases_unlike_and_more_so_the_larger_it_is(string phase)
    {
        var healthy = Unbalance("HLT");
        var shorted = Enumerable.Range(1, 4).Select(step => Unbalance(string.Format(CultureInfo.InvariantCulture, phase, step))).ToList();

        Assert.InRange(healthy, 0.01, 0.025);
        Assert.True(shorted[0] > 4 * healthy);
        Assert.Equal(shorted.Order(), shorted);

        static double Unbalance(string name)
        {
            var rows = File.ReadAllLines(Path.Combine(DataSets.Folder("motor"), "turn_short_currents", $"SC_{name}_001.csv")).Select(r => Array.ConvertAll(r.Split(','), c => float.Parse(c, CultureInfo.InvariantCulture))).ToList();
            float[] Phase(int k) => [.. rows.Select(r => r[k])];
            var (currents, perSample) = SequenceCurrents.OfSteady(Phase(0), Phase(1), Phase(2));
            Assert.Equal(0.06, perSample, 0.0002); // the mains
            return currents.Unbalance;
        }
    }

    // What the current's line says of inverter faults: the shorted half bridges (F3 to F5) and one of two open ones (F1) drive less current than normal (F0).
    // It does not find the other open one (F2), which drives more than the normal recording, nor an inverter that is only too warm (F6 to F8).
    [Fact]
    public void Of_inverter_faults_the_current_finds_the_shorts_and_not_all_of_the_rest()
    {
        var rows = File.ReadAllLines(Path.Combine(DataSets.Folder("motor"), "pmsm_inverter_faults", "dataset_raw_adc.csv")).Skip(1).Select(r => r.Split(',')).ToList();
        double Line(string label, int phase)
        {
            double[] counts = [.. rows.Where(r => r[8] == label).Select(r => double.Parse(r[phase], CultureInfo.InvariantCulture))];
            var mean = counts.Average();
            return OrderSpectrum.Of(Array.ConvertAll(counts, c => c - mean), 1, 256, Window.FlatTop).Amplitude.Skip(6).Max();
        }

        for (var phase = 0; phase < 2; phase++)
        {
            var normal = Line("F0", phase);
            Assert.All((string[])["F1", "F3", "F4", "F5"], label => Assert.InRange(Line(label, phase) / normal, 0, 0.8));
            Assert.All((string[])["F2", "F6", "F7", "F8"], label => Assert.InRange(Line(label, phase) / normal, 0.9, 1.5));
        }
    }
}
