using CsCheck;
using Roadproof.Engineering.Statistics;

namespace Roadproof.Engineering.Tests.Properties;

public sealed class StatisticsTests
{
    // Tail values to 16 digits: Abramowitz & Stegun, tables 26.1-26.2 continued by the continued fraction 26.2.14 (from memory; agree with Python's math.erfc).
    [Theory]
    [InlineData(1, 0.15865525393145705), InlineData(3, 0.0013498980316300933), InlineData(6, 9.865876450376946e-10), InlineData(10, 7.619853024160489e-24)]
    public void Normal_tails_keep_their_digits(double x, double above) =>
        Assert.Equal(1, Normal.Above(x) / above, 1e-12);

    [Fact]
    public void Quantile_is_the_inverse() =>
        Gen.Double[1e-9, 1 - 1e-9].Sample(p => Math.Abs(Normal.Below(Normal.Quantile(p)) / p - 1) < 1e-9);

    [Fact]
    public void Quadrature_is_exact_for_polynomials() =>
        Gen.Select(Gen.Double[-3, 3].Array[12], Gen.Double[-2, 0], Gen.Double[0.1, 2]).Sample((c, from, to) =>
        {
            double At(double x) => c.Select((a, k) => a * Math.Pow(x, k)).Sum();
            double Integral(double x) => c.Select((a, k) => a * Math.Pow(x, k + 1) / (k + 1)).Sum();
            return Math.Abs(Quadrature.Over([from, 0.05, to], At) - (Integral(to) - Integral(from))) < 1e-9;
        });

    [Fact]
    public void Whitening_undoes_colouring() =>
        Gen.Select(Gen.Double[-1, 1].Array[20], Gen.Double[-3, 3].Array[4]).Sample((a, white) =>
        {
            var whitening = new Whitening(Covariance(a));
            var coloured = new double[4];
            whitening.Colour(white, coloured);
            return whitening.Whiten(coloured).Zip(white).All(p => Math.Abs(p.First - p.Second) < 1e-6);
        });

    [Fact]
    public void A_characteristic_that_follows_from_others_is_refused() =>
        Assert.StartsWith("Row 1 of the covariance follows", Assert.Throws<ArgumentException>(() => new Whitening(new double[,] { { 1, 2 }, { 2, 4 } })).Message);

    // A·A' plus a little on the diagonal: positive definite.
    static double[,] Covariance(double[] a)
    {
        var covariance = new double[4, 4];
        for (var i = 0; i < 4; i++)
            for (var j = 0; j < 4; j++)
            {
                for (var k = 0; k < 5; k++) covariance[i, j] += a[5 * i + k] * a[5 * j + k];
                if (i == j) covariance[i, j] += 0.01;
            }

        return covariance;
    }
}
