using MathNet.Numerics.Statistics;
using Roadproof.Engineering.Drive;
using Roadproof.Engineering.LoadTest;

namespace Roadproof.Engineering.Tests.Properties;

/// <summary>Resistance, flux and rotor offset from points computed by the machine equations written out here (textbook form, true frame, then turned by the offset).</summary>
public sealed class MachineIdentificationTests
{
    static readonly Motor Motor = SyntheticRun.Plan.Unit.Motor;

    // (q current A, electrical speed rad/s) of no load, 250 W, 50 N·m, 85 N·m and 45 N·m, and a little field weakening.
    static readonly (double Id, double Iq, double Speed)[] States = [(0, 0.5, 1989), (0, 0.6, 2917), (0, 12.7, 1989), (0, 19.5, 1591), (0, 32.6, 1591), (0, 32.6, 796), (-6, 17.6, 2652)];
    static readonly double[] WindingC = [25, 25, 27, 29, 33, 36, 35];
    static readonly double[] MagnetC = [23, 23, 23, 24, 24, 24, 25];

    [Theory]
    [InlineData(1, 1, 0), InlineData(1.03, 0.97, 0.05), InlineData(0.95, 1.04, -0.17), InlineData(1.2, 13.0 / 14, 0.35)]
    public void Finds_what_was_put_in_to_nine_digits(double resistanceFactor, double fluxFactor, double offsetRad)
    {
        var fit = MachineIdentification.Fit(Points(resistanceFactor, fluxFactor, offsetRad), Motor, WindingC, MagnetC);

        Assert.Equal(resistanceFactor, fit.Resistance20Ohm / Motor.PhaseResistance20Ohm, 1e-9);
        Assert.Equal(fluxFactor, fit.Flux20Wb / Motor.FluxLinkage20Wb, 1e-9);
        Assert.Equal(offsetRad, fit.RotorOffsetRad, 1e-9);
        Assert.True(fit.ResidualRmsV < 1e-10);
    }

    // 2,000 runs with noise of the stated size: the estimates scatter as the covariance says, correlations included, and lie on the truth.
    [Fact]
    public void Its_covariance_is_what_the_estimates_scatter_by()
    {
        const double uA = 0.02, uV = 0.005;
        var random = new Random(17);
        var truth = Points(1.02, 0.98, 0.1);
        var fits = Enumerable.Range(0, 2000).Select(_ => MachineIdentification.Fit(
            [.. truth.Select(p => p with
            {
                IdA = p.IdA + uA * Normal(random), IqA = p.IqA + uA * Normal(random), VdV = p.VdV + uV * Normal(random), VqV = p.VqV + uV * Normal(random),
                CurrentUncertaintyA = uA, VoltageUncertaintyV = uV,
            })], Motor, WindingC, MagnetC)).ToList();

        double[][] columns = [[.. fits.Select(f => f.Resistance20Ohm)], [.. fits.Select(f => f.Flux20Wb)], [.. fits.Select(f => f.RotorOffsetRad)]];
        double[] expected = [1.02 * Motor.PhaseResistance20Ohm, 0.98 * Motor.FluxLinkage20Wb, 0.1];
        for (var k = 0; k < 3; k++)
        {
            var stated = Math.Sqrt(fits[0].Covariance[k, k]);
            Assert.Equal(expected[k], columns[k].Average(), 4 * stated / Math.Sqrt(2000));
            Assert.Equal(stated, columns[k].StandardDeviation(), 0.06 * stated); // 4 standard errors of a deviation from 2,000 draws
            for (var j = 0; j < k; j++)
                Assert.Equal(fits[0].Covariance[k, j] / stated / Math.Sqrt(fits[0].Covariance[j, j]), Correlation.Pearson(columns[k], columns[j]), 0.09);
        }
    }

    // The drawing's L_q is 1 % too small: what the two points at 85 N·m alone, and all points together, make of it.
    [Fact]
    public void An_inductance_that_is_wrong_by_one_percent_moves_the_offset_by_at_most_0_3_degrees()
    {
        var (points, drawn) = (Points(1, 1, 0), Motor with { InductanceQH = 0.99 * Motor.InductanceQH });
        var alone = MachineIdentification.Fit(points[4..6], drawn, WindingC[4..6], MagnetC[4..6]).RotorOffsetRad * 180 / Math.PI;
        var all = MachineIdentification.Fit(points, drawn, WindingC, MagnetC).RotorOffsetRad * 180 / Math.PI;

        Assert.Equal(0.3, Math.Abs(alone), 0.05);
        Assert.InRange(Math.Abs(all), 0, Math.Abs(alone));
    }

    [Fact]
    public void Refuses_points_that_cannot_tell_the_three_apart()
    {
        var points = Points(1, 1, 0);

        Assert.Throws<ArgumentException>(() => MachineIdentification.Fit([points[0]], Motor, [25], [23]));

        // At standstill the flux makes no voltage.
        var still = points.Select(p => p with { ElectricalSpeedRadPerS = 0 }).ToList();
        Assert.StartsWith("The steady points are too alike", Assert.Throws<ArgumentException>(() => MachineIdentification.Fit(still, Motor, WindingC, MagnetC)).Message);
    }

    static List<SteadyElectricalPoint> Points(double resistanceFactor, double fluxFactor, double offsetRad) => [.. States.Select((s, i) =>
    {
        // States are what the controller holds in its own frame; the rotor sees them turned forward by the offset.
        var (id, iq) = (s.Id * Math.Cos(offsetRad) - s.Iq * Math.Sin(offsetRad), s.Id * Math.Sin(offsetRad) + s.Iq * Math.Cos(offsetRad));
        var ohm = resistanceFactor * 0.055 * (1 + 0.00393 * (WindingC[i] - 20));
        var wb = fluxFactor * 7.74e-3 * (1 - 0.0011 * (MagnetC[i] - 20));
        var vd = ohm * id - s.Speed * 135e-6 * iq;
        var vq = ohm * iq + s.Speed * (110e-6 * id + wb * (1 - 0.03 * Math.Pow(iq / 35, 2)));
        return new SteadyElectricalPoint(s.Id, s.Iq, vd * Math.Cos(offsetRad) + vq * Math.Sin(offsetRad), vq * Math.Cos(offsetRad) - vd * Math.Sin(offsetRad), s.Speed, 0, 0);
    })];

    static double Normal(Random random) => Math.Sqrt(-2 * Math.Log(1 - random.NextDouble())) * Math.Cos(2 * Math.PI * random.NextDouble());
}
