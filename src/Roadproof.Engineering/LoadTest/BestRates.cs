using Roadproof.Engineering.Drive;

namespace Roadproof.Engineering.LoadTest;

/// <summary>What the best tests of the same readings would find at the same false-alarm rate, by the model's own covariance.</summary>
/// <param name="Together">By the test that finds most on average over all faults at their usual sizes: what a test that does not know the fault can be held against. It gives up a little of one fault for more of another.</param>
/// <param name="Alone">By the test for this one fault of this one size, with all false alarms for it: no test that looks for several can reach it for all of them.</param>
public sealed record BestRate(double Together, double Alone);

/// <summary>Neyman and Pearson's tests over the drawn units of <see cref="StopRates"/>: the likelihood of some faults, each as likely as another, against that of a sound unit (textbook).</summary>
/// <remarks>Both are normal with the covariance of sound units. Requirements stop units beside these tests as they do beside the limits.</remarks>
sealed class BestRates
{
    readonly StopRates rates;
    readonly double falseAlarm;
    readonly Test together;

    public BestRates(StopRates rates, IReadOnlyList<FaultHypothesis> faults, double falseAlarm)
    {
        (this.rates, this.falseAlarm) = (rates, falseAlarm);
        together = TestFor(faults.SelectMany(h => OfSize(h, h.Typical)));
    }

    /// <summary>For a fault of a size; of one with two signs the one that is found less.</summary>
    public BestRate Of(FaultHypothesis fault, double size)
    {
        var shifts = OfSize(fault, size).ToList();
        var alone = TestFor(shifts);
        return new(shifts.Min(s => Found(s.Shift, together)), shifts.Min(s => Found(s.Shift, alone)));
    }

    IEnumerable<(Shift Shift, double Share)> OfSize(FaultHypothesis h, double size) =>
        h.EitherSign ? [(rates.ShiftOf(h.At(size)), 0.5), (rates.ShiftOf(h.At(-size)), 0.5)] : [(rates.ShiftOf(h.At(size)), 1)];

    Test TestFor(IEnumerable<(Shift Shift, double Share)> faults)
    {
        var test = new Test([.. faults.Select(f => (rates.Whitened(f.Shift), f.Share))]);
        var (sound, evidence) = (rates.ShiftOf(Deviation.None), new double[StopRates.Draws]);
        rates.Each(sound, StopRates.Draws, (n, unit) => evidence[n] = test.Evidence(rates.White(unit)));
        Array.Sort(evidence);
        return test with { Limit = evidence[(int)((1 - falseAlarm) * evidence.Length)] };
    }

    double Found(Shift shift, Test test)
    {
        var found = 0;
        rates.Each(shift, StopRates.Draws, (_, unit) => found += rates.MissesRequirement(unit) || test.Evidence(rates.White(unit)) > test.Limit ? 1 : 0);
        return (double)found / StopRates.Draws;
    }

    /// <param name="Points">A fault's whitened shift and its share.</param>
    sealed record Test(IReadOnlyList<(double[] White, double Share)> Points)
    {
        readonly double[] constants = [.. Points.Select(p => Math.Log(p.Share) - p.White.Sum(w => w * w) / 2)];

        public double Limit { get; init; }

        /// <summary>Logarithm of how many times likelier the readings are with one of the faults than in a sound unit.</summary>
        public double Evidence(ReadOnlySpan<float> white)
        {
            Span<double> of = stackalloc double[constants.Length];
            var most = double.NegativeInfinity;
            for (var k = 0; k < of.Length; k++)
            {
                of[k] = constants[k];
                var shift = Points[k].White;
                for (var i = 0; i < shift.Length; i++) of[k] += shift[i] * white[i];
                most = Math.Max(most, of[k]);
            }

            var sum = 0.0;
            foreach (var e in of) sum += Math.Exp(e - most);
            return most + Math.Log(sum);
        }
    }
}
