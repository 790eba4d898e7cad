namespace Roadproof.Engineering.Signals;

/// <summary>Three phase currents (or voltages) at their fundamental as three turning systems: what drives, what turns against it, and what is common to all.</summary>
/// <param name="Positive">Peak amplitude of the system that turns with the field.</param>
/// <param name="Negative">Of the one that turns against it: unlike phases.</param>
/// <param name="Zero">Of what is common to the three; 0 where the star point is free and all three are measured rightly.</param>
/// <remarks>
/// Fortescue's symmetrical components, from the space vector (2/3)·(u + a·v + a²·w), a = exp(2πi/3), turned back by the angle of the field and averaged under a Hann
/// window: s = P·exp(iθ) + conj(N)·exp(−iθ). Amplitude invariant; textbook. A steady speed is assumed where no angle is at hand.
/// </remarks>
public sealed record SequenceCurrents(double Positive, double Negative, double Zero)
{
    /// <summary>Negative over positive: the usual figure of unbalance. Sound machines and their instruments show a percent or more.</summary>
    public double Unbalance => Negative / Positive;

    /// <param name="electricalRad">Angle of the field for each sample, unwrapped, rising, shape [n].</param>
    public static SequenceCurrents Of(ReadOnlySpan<float> u, ReadOnlySpan<float> v, ReadOnlySpan<float> w, ReadOnlySpan<double> electricalRad)
    {
        var window = Window.Hann.Of(u.Length);
        System.Numerics.Complex forward = 0, back = 0, common = 0;
        var weights = 0.0;
        for (var i = 0; i < u.Length; i++)
        {
            var vector = Vector(u[i], v[i], w[i]);
            var turned = System.Numerics.Complex.FromPolarCoordinates(window[i], -electricalRad[i]);
            forward += vector * turned;
            back += System.Numerics.Complex.Conjugate(vector) * turned;
            common += ((double)u[i] + v[i] + w[i]) / 3 * turned;
            weights += window[i];
        }

        var (with, against) = (forward.Magnitude / weights, back.Magnitude / weights);
        return new(Math.Max(with, against), Math.Min(with, against), 2 * common.Magnitude / weights); // which way round the phases are named does not matter
    }

    /// <summary>The same at a steady speed, whose frequency is found in the currents themselves.</summary>
    /// <returns>With the fundamental's frequency as a share of the sample rate.</returns>
    public static (SequenceCurrents Currents, double PerSample) OfSteady(ReadOnlySpan<float> u, ReadOnlySpan<float> v, ReadOnlySpan<float> w)
    {
        var perSample = Fundamental(u, v, w);
        var angle = new double[u.Length];
        for (var i = 0; i < angle.Length; i++) angle[i] = 2 * Math.PI * perSample * i;
        return (Of(u, v, w, angle), perSample);
    }

    // The strongest bin of the space vector, either way round, then the middle of its lobe by golden section.
    static double Fundamental(ReadOnlySpan<float> u, ReadOnlySpan<float> v, ReadOnlySpan<float> w)
    {
        var n = (int)System.Numerics.BitOperations.RoundUpToPowerOf2((uint)(2 * u.Length));
        double[] re = new double[n], im = new double[n], window = Window.Hann.Of(u.Length);
        for (var i = 0; i < u.Length; i++)
        {
            var vector = Vector(u[i], v[i], w[i]);
            (re[i], im[i]) = (window[i] * vector.Real, window[i] * vector.Imaginary);
        }

        var (x, y) = (re.ToArray(), im.ToArray());
        Fft.OfLength(n).Forward(re, im);
        var strongest = 1;
        for (var k = 1; k < n; k++)
            if (Power(k) > Power(strongest)) strongest = k;
        var side = strongest <= n / 2 ? 1 : -1;
        var middle = (double)(side > 0 ? strongest : n - strongest) / n;
        var found = MathNet.Numerics.FindMinimum.OfScalarFunctionConstrained(perSample => -At(side * perSample), middle - 1.0 / n, middle + 1.0 / n, 1e-10, 200);
        return found;

        double Power(int k) => re[k] * re[k] + im[k] * im[k];

        double At(double perSample)
        {
            double sumRe = 0, sumIm = 0;
            for (var i = 0; i < x.Length / 2 && i < window.Length; i++)
            {
                var (sin, cos) = Math.SinCos(-2 * Math.PI * perSample * i);
                (sumRe, sumIm) = (sumRe + x[i] * cos - y[i] * sin, sumIm + x[i] * sin + y[i] * cos);
            }

            return Math.Sqrt(sumRe * sumRe + sumIm * sumIm);
        }
    }

    static System.Numerics.Complex Vector(double u, double v, double w) => new((2 * u - v - w) / 3, (v - w) / Math.Sqrt(3));
}
