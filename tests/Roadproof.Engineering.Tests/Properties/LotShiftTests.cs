using Roadproof.Engineering.Judging;
using Roadproof.Engineering.Statistics;

namespace Roadproof.Engineering.Tests.Properties;

public sealed class LotShiftTests
{
    // Sound lots of 100 units looked at after every unit, one characteristic. The rate is that of a longer simulation with a plainer loop, 928 of 8 000 000 lots: 1.16e-4; here within
    // four standard errors of the count.
    [Fact]
    public void A_sound_lot_is_found_different_about_once_in_8_600()
    {
        const int lots = 1_000_000;
        var found = Found(lots, 100, rigs: 1, rigShare: 0, shiftSigma: 0, seed: 11);
        Assert.Equal(1.16e-4, found / (double)lots, 4 * Math.Sqrt(1.16e-4 / lots));
    }

    // Flux 3 % low where three standard deviations of sound units are 4 %: 2.25 standard deviations, three rigs in turn, a tenth of the variance theirs.
    [Fact]
    public void A_rotor_lot_3_percent_low_in_flux_is_found_within_ten_units()
    {
        const int lots = 20_000;
        Assert.True(Found(lots, 10, rigs: 3, rigShare: 0.1, shiftSigma: -2.25, seed: 12) >= 0.95 * lots);
    }

    [Fact]
    public void Readings_of_one_rig_share_its_error()
    {
        var one = LotShift.Test([new("rig1", 100, 100)], rigShare: 0.25, standardDeviation: 2);
        var three = LotShift.Test([new("rig1", 34, 34), new("rig2", 33, 33), new("rig3", 33, 33)], rigShare: 0.25, standardDeviation: 2);
        Assert.Equal(1 / Math.Sqrt(0.75 / 100 + 0.25), one.Evidence, 12);
        Assert.False(one.Different);
        Assert.True(three.Evidence > one.Evidence);
        Assert.Equal(2, one.Effect, 12);
    }

    [Fact]
    public void Two_units_are_never_a_lot() =>
        Assert.False(LotShift.Test([new("rig1", 2, -20)], 0, 1).Different);

    static int Found(int lots, int units, int rigs, double rigShare, double shiftSigma, ulong seed)
    {
        var draws = new SeededNoise(seed, "lot");
        var (own, shared) = (Math.Sqrt(1 - rigShare), Math.Sqrt(rigShare));
        var found = 0;
        var (error, count, sum) = (new double[rigs], new int[rigs], new double[rigs]);
        for (var lot = 0; lot < lots; lot++)
        {
            for (var r = 0; r < rigs; r++) (error[r], count[r], sum[r]) = (shared * draws.Normal(), 0, 0);
            for (var n = 0; n < units; n++)
            {
                var r = n % rigs;
                count[r]++;
                sum[r] += LotShift.Counted(shiftSigma + error[r] + own * draws.Normal());
                if (n + 1 < LotShift.FewestUnits || !MayBeDifferent(sum, n + 1, rigShare, rigs)) continue;
                if (!LotShift.Test([.. Enumerable.Range(0, rigs).Select(i => new LotReadings($"rig{i}", count[i], sum[i]))], rigShare, 1).Different) continue;
                found++;
                break;
            }
        }

        return found;
    }

    // Spares the full test where even the smallest variance of the mean would not reach the threshold.
    static bool MayBeDifferent(double[] sum, int n, double rigShare, int rigs) =>
        Math.Abs(sum.Sum()) / n > LotShift.Threshold * Math.Sqrt((1 - rigShare) / n + rigShare / rigs) * 0.999;
}
