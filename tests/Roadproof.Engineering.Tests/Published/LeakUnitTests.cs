using Roadproof.Engineering.Checks;

namespace Roadproof.Engineering.Tests.Published;

/// <summary>Leak units and the gas law against printed figures.</summary>
public sealed class LeakUnitTests
{
    const double GasK = 293.15;

    // 0.5 l losing 100 Pa in 60 s: Q = V·dp/dt (definition of pressure decay; recomputed).
    const double PaM3PerS = 5e-4 * 100 / 60;

    [Theory]
    [InlineData(LeakUnit.PaM3PerS, 0.000833333, 1e-9)]
    [InlineData(LeakUnit.MbarLPerS, 0.0083333, 1e-7)]
    [InlineData(LeakUnit.M3PerS, 0.4597955 / 60e6, 1e-15)]
    [InlineData(LeakUnit.Cm3PerMin, 0.4597955, 1e-7)]
    public void Half_a_litre_that_loses_100_Pa_in_a_minute(LeakUnit unit, double printed, double within) =>
        Assert.Equal(printed, LeakRate.Convert(PaM3PerS, LeakUnit.PaM3PerS, unit, GasConditions.Normal, GasK), within);

    [Fact]
    public void At_the_gas_own_temperature_it_is_a_little_more() =>
        Assert.Equal(0.4934616, LeakRate.Convert(PaM3PerS, LeakUnit.PaM3PerS, LeakUnit.Cm3PerMin, new(101_325, GasK), GasK), 1e-7);

    // Conversion tables of public leak-testing pages (read): 1 mbar·l/s = 59.2 cm³/min, 1 cm³/min = 0.0169 mbar·l/s = 0.0168875 (gas at 0 °C).
    [Fact]
    public void One_mbar_l_per_s_is_59_point_2_cm3_per_min()
    {
        Assert.Equal(59.2, LeakRate.Convert(1, LeakUnit.MbarLPerS, LeakUnit.Cm3PerMin, GasConditions.Normal, 273.15), 0.05);
        Assert.Equal(0.0168875, LeakRate.Convert(1, LeakUnit.Cm3PerMin, LeakUnit.MbarLPerS, GasConditions.Normal, 273.15), 5e-8);
    }

    // 20 kPa above the atmosphere, 293.15 K, 0.1 K cooler: −41.38666 Pa (ideal gas; recomputed), 0.49 cm³/min in 600 cm³ over 30 s.
    [Fact]
    public void A_tenth_of_a_kelvin_takes_41_pascals()
    {
        double[] time = [.. Enumerable.Range(0, 301).Select(i => 0.1 * i)];
        var cooling = new LeakCurve(time, [.. time.Select(t => 121_325 - 41.38666 * t / 30)], [.. time.Select(t => 20 - 0.1 * t / 30)], null);
        var test = new LeakTest { VolumeM3 = 6e-4, TestPressurePa = 20_000, Limit = new(null, 5, "test") };
        var read = LeakReadings.From(cooling, test);

        Assert.Equal(0.49, read.InCm3PerMin(read.Decay, test).Value, 0.005);
        Assert.Equal(0, read.Leak(test).Value, 1e-3);
        Assert.Equal(0.49, LeakVerdict.Judge(read, test).Features.First(f => f.Id == "leak-of-a-tenth-kelvin").Value!.Value, 0.005);
    }

    [Fact]
    public void Every_unit_leads_back()
    {
        foreach (var from in Enum.GetValues<LeakUnit>())
        foreach (var to in Enum.GetValues<LeakUnit>())
            Assert.Equal(3.7, LeakRate.Convert(LeakRate.Convert(3.7, from, to, GasConditions.Pneumatic, 301), to, from, GasConditions.Pneumatic, 301), 1e-12);
    }
}
