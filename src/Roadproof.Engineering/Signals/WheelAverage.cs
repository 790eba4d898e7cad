using MathNet.Numerics;

namespace Roadproof.Engineering.Signals;

/// <summary>What one toothed wheel adds to a signal in each of its turns, and what of that is no regular meshing.</summary>
/// <param name="Mean">Average over the wheel's turns, the other wheels' parts taken out, shape [teeth · samples a tooth].</param>
/// <param name="Residual">Of the average what is left without the mesh orders and other regular ones, two sidebands each side of them, and the wheel's own orders 0 to 2; same shape.</param>
/// <param name="Turns">Turns of this wheel that were averaged.</param>
/// <param name="Kurtosis">Of the residual: 3 for noise, more where one place stands out (the FM4 of gear diagnosis; Stewart 1977, from memory).</param>
/// <param name="Tooth">The tooth at which the residual is strongest, counted from 1 at the angle 0.</param>
/// <param name="Louder">Residual energy over one tooth's width there, by the median of all places.</param>
/// <param name="ChanceProbability">That a residual of noise with the same spectrum has so loud a place anywhere.</param>
/// <param name="Repeats">Correlation of the residuals of odd and even turns at that tooth: 1 belongs to the wheel, 0 came once by chance.</param>
public sealed record WheelAverage(int Teeth, double[] Mean, double[] Residual, double Turns, double Kurtosis, int Tooth, double Louder, double ChanceProbability, double Repeats)
{
    const int SidebandPairs = 2;
    const int Rounds = 8;

    /// <summary>Mean amplitude of the first sideband on either side of the first mesh line: what turns with the wheel modulates its meshing by (the sideband index of gear diagnosis, from memory).</summary>
    public double SidebandIndex => (Amplitude(Teeth - 1) + Amplitude(Teeth + 1)) / 2;

    /// <summary>Peak value of what the wheel repeats so many times in its turn; of the mesh only the first wheel of a stage has it.</summary>
    public double Amplitude(int order)
    {
        double re = 0, im = 0;
        for (var i = 0; i < Mean.Length; i++)
        {
            var (sin, cos) = Math.SinCos(2 * Math.PI * order * i / Mean.Length);
            (re, im) = (re + Mean[i] * cos, im + Mean[i] * sin);
        }

        return 2 * double.Hypot(re, im) / Mean.Length;
    }

    /// <summary>Takes the signal of wheels that mesh apart into what each of them repeats.</summary>
    /// <param name="signal">At equal angles, <paramref name="samplesPerTooth"/> from one tooth to the next, shape [n].</param>
    /// <param name="firstSample">Place of the first sample, counted from the angle 0.</param>
    /// <param name="teeth">Of the wheels; orders that several of them share (the mesh itself) count for the first.</param>
    /// <param name="regular">For each wheel the orders of its turn that something else on its shaft repeats (another mesh, poles); null for none.</param>
    /// <remarks>
    /// Least squares for signal = Σ over the wheels of a pattern that repeats with the wheel's turn. Every tooth has the same samples, so that a wheel's place is the
    /// sample's number modulo teeth · samples a tooth, exactly. Solved by averaging on one wheel after the other what the others leave, eight rounds: over a whole
    /// number of hunting periods the first is exact. In a shorter window a pattern of one wheel leaks a little into the others. O(n · wheels · rounds).
    /// </remarks>
    public static IReadOnlyList<WheelAverage> Of(ReadOnlySpan<double> signal, int samplesPerTooth, IReadOnlyList<int> teeth, long firstSample = 0, IReadOnlyList<IReadOnlyList<int>>? regular = null)
    {
        var patterns = Patterns(signal.ToArray(), samplesPerTooth, teeth, firstSample);

        // The same on odd and on even turns of each wheel: what both agree on belongs to it.
        var wheels = new List<WheelAverage>();
        for (var w = 0; w < teeth.Count; w++)
        {
            var rest = signal.ToArray();
            for (var other = 0; other < teeth.Count; other++)
                if (other != w) Take(rest, patterns[other], firstSample);
            var parts = teeth[w] * samplesPerTooth;
            double[] Irregular(double[] mean) => Residue(mean, teeth[w], regular?[w] ?? []);
            var (odd, even) = (Irregular(Average(rest, parts, firstSample, turn => turn % 2 != 0)), Irregular(Average(rest, parts, firstSample, turn => turn % 2 == 0)));
            wheels.Add(Read(teeth[w], samplesPerTooth, patterns[w], Irregular(patterns[w]), (double)signal.Length / parts, odd, even));
        }

        return wheels;
    }

    /// <summary>Turns of the first wheel until the same two teeth of both meet again: lcm of the teeth over the first's.</summary>
    public static int HuntingTurns(int teeth, int otherTeeth) => (int)(Euclid.LeastCommonMultiple(teeth, otherTeeth) / teeth);

    static double[][] Patterns(double[] signal, int samplesPerTooth, IReadOnlyList<int> teeth, long first)
    {
        var patterns = teeth.Select(z => new double[z * samplesPerTooth]).ToArray();
        for (var round = 0; round < (teeth.Count == 1 ? 1 : Rounds); round++)
        {
            for (var w = 0; w < teeth.Count; w++)
            {
                var rest = (double[])signal.Clone();
                for (var other = 0; other < teeth.Count; other++)
                    if (other != w) Take(rest, patterns[other], first);
                patterns[w] = Average(rest, patterns[w].Length, first, _ => true);

                // Orders that an earlier wheel has as well cannot be told apart; that one keeps them.
                for (var earlier = 0; earlier < w; earlier++) Project(patterns[w], teeth[w] / (int)Euclid.GreatestCommonDivisor(teeth[w], teeth[earlier]));
            }
        }

        return patterns;
    }

    static WheelAverage Read(int teeth, int samplesPerTooth, double[] mean, double[] residual, double turns, double[] odd, double[] even)
    {
        var places = new double[residual.Length];
        var sum = 0.0;
        for (var i = 0; i < samplesPerTooth; i++) sum += residual[i] * residual[i];
        for (var p = 0; p < places.Length; p++)
        {
            places[p] = sum / samplesPerTooth;
            var (leaves, enters) = (residual[p], residual[(p + samplesPerTooth) % residual.Length]);
            sum = Math.Max(0, sum + enters * enters - leaves * leaves);
        }

        var loudest = Array.IndexOf(places, places.Max());
        var tooth = (loudest + samplesPerTooth / 2) / samplesPerTooth % teeth + 1;
        var louder = places[loudest] / RowNoise.Median(places);
        var (square, fourth) = (residual.Sum(x => x * x) / residual.Length, residual.Sum(x => x * x * x * x) / residual.Length);
        return new(teeth, mean, residual, turns, fourth / (square * square), tooth, louder, ChanceOf(louder, residual, teeth, samplesPerTooth), Correlation(odd, even, loudest, samplesPerTooth));
    }

    /// <summary>Energy of noise over a tooth's width is χ² with as many degrees of freedom as its spectrum has independent values there; about 1.5 such places a tooth are independent.</summary>
    static double ChanceOf(double louder, double[] residual, int teeth, int samplesPerTooth)
    {
        var (re, im) = Spectrum(residual);
        double powers = 0, squares = 0;
        for (var k = 1; k < re.Length; k++)
        {
            var power = re[k] * re[k] + im[k] * im[k];
            (powers, squares) = (powers + power, squares + power * power);
        }

        // A line's power scatters by its own size, so that the squares are twice those of the spectrum itself.
        var freedom = Math.Max(1, 2 * powers * powers / (squares / 2) / teeth);
        var energy = louder * Math.Pow(1 - 2 / (9 * freedom), 3) * freedom; // the median of χ², Wilson and Hilferty
        var single = energy > 0 ? SpecialFunctions.GammaUpperRegularized(freedom / 2, energy / 2) : 1;
        return single < 1e-9 ? 1.5 * teeth * single : 1 - Math.Pow(1 - single, 1.5 * teeth);
    }

    static double[] Residue(double[] mean, int teeth, IReadOnlyList<int> others)
    {
        var residue = (double[])mean.Clone();
        var highest = residue.Length / 2;
        var regular = new SortedSet<int> { 0, 1, 2 };
        for (var mesh = teeth; mesh - SidebandPairs <= highest; mesh += teeth) regular.UnionWith(Enumerable.Range(mesh - SidebandPairs, 2 * SidebandPairs + 1));
        foreach (var other in others) regular.UnionWith(Enumerable.Range(other - SidebandPairs, 2 * SidebandPairs + 1));
        var cosines = Cosines(residue.Length);
        foreach (var order in regular.Where(o => o >= 0 && o <= highest)) ProjectOne(residue, order, cosines);
        return residue;
    }

    /// <summary>Takes all multiples of an order, a divisor of the teeth, out of a pattern.</summary>
    static void Project(double[] pattern, int order)
    {
        // What repeats with an order that divides the turn is the average over its periods.
        var period = pattern.Length / order;
        Take(pattern, Average(pattern, period, 0, _ => true), 0);
    }

    static void ProjectOne(double[] pattern, int order, double[] cosines)
    {
        // cos(2π·order·i/n) and its sine from one table.
        var (n, re, im) = (pattern.Length, 0.0, 0.0);
        int Next(int at) => at + order >= n ? at + order - n : at + order;
        for (int i = 0, at = 0; i < n; i++, at = Next(at)) (re, im) = (re + pattern[i] * cosines[at], im + pattern[i] * cosines[at + n]);
        var scale = (order == 0 || 2 * order == n ? 1.0 : 2.0) / n;
        for (int i = 0, at = 0; i < n; i++, at = Next(at)) pattern[i] -= scale * (re * cosines[at] + im * cosines[at + n]);
    }

    /// <summary>A turn of cosines, then one of sines.</summary>
    static double[] Cosines(int n)
    {
        var table = new double[2 * n];
        for (var i = 0; i < n; i++) (table[i + n], table[i]) = Math.SinCos(2 * Math.PI * i / n);
        return table;
    }

    static double[] Average(double[] signal, int parts, long first, Func<long, bool> turns)
    {
        double[] sum = new double[parts], count = new double[parts];
        var (part, turn) = ((int)(((first % parts) + parts) % parts), 0L);
        for (var i = 0; i < signal.Length; turn++, part = 0)
        {
            var until = Math.Min(signal.Length, i + parts - part);
            if (!turns(turn)) i = until;
            else
            {
                for (; i < until; i++, part++)
                {
                    sum[part] += signal[i];
                    count[part]++;
                }
            }
        }

        for (var p = 0; p < parts; p++) sum[p] = count[p] > 0 ? sum[p] / count[p] : 0;
        return sum;
    }

    static void Take(double[] signal, double[] pattern, long first)
    {
        var part = (int)(((first % pattern.Length) + pattern.Length) % pattern.Length);
        for (var i = 0; i < signal.Length; i++)
        {
            signal[i] -= pattern[part];
            if (++part == pattern.Length) part = 0;
        }
    }

    static (double[] Re, double[] Im) Spectrum(double[] pattern)
    {
        // Lengths are teeth times a power of two, seldom a power of two themselves: another library's transform takes any.
        var values = Array.ConvertAll(pattern, x => new System.Numerics.Complex(x, 0));
        MathNet.Numerics.IntegralTransforms.Fourier.Forward(values, MathNet.Numerics.IntegralTransforms.FourierOptions.NoScaling);
        var half = values.Take(pattern.Length / 2 + 1).ToList();
        return ([.. half.Select(z => z.Real)], [.. half.Select(z => z.Imaginary)]);
    }

    static double Correlation(double[] a, double[] b, int from, int count)
    {
        double ab = 0, aa = 0, bb = 0;
        for (var k = from; k < from + count; k++)
        {
            var i = k % a.Length;
            (ab, aa, bb) = (ab + a[i] * b[i], aa + a[i] * a[i], bb + b[i] * b[i]);
        }

        return aa * bb > 0 ? ab / Math.Sqrt(aa * bb) : 0;
    }
}
