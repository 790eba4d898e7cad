using System.Diagnostics;
using System.Globalization;
using System.Runtime.InteropServices;
using Microsoft.Win32.SafeHandles;
using Roadproof.Engineering.Judging;
using Roadproof.Engineering.Life;
using Roadproof.Engineering.LoadTest;

namespace Roadproof.Bench;

/// <summary>Workloads that are raced against general-purpose libraries: each prints its answers, to be compared, and the time of computing alone.</summary>
static class Races
{
    /// <summary>Six parameters of many units from 10,000 samples of five channels each; reading the file counts.</summary>
    /// <param name="file">Little-endian doubles: for each unit 10,000 rotor speeds, q currents, voltage amplitudes, torques, powers.</param>
    public static void Identification(string file)
    {
        using var data = File.OpenHandle(file, options: FileOptions.SequentialScan);
        var units = (int)(RandomAccess.GetLength(data) / (5 * Samples * sizeof(double)));
        Fit(data, Math.Min(units, 200)); // warm
        var clock = Stopwatch.StartNew();
        var fits = Fit(data, units);
        var elapsed = clock.Elapsed;

        Console.WriteLine("unit0 " + Text(Values(fits[0])));
        Console.WriteLine("mean  " + Text([.. Enumerable.Range(0, 6).Select(k => fits.Average(f => Values(f)[k]))])
            + string.Create(CultureInfo.InvariantCulture, $" cost sum {fits.Sum(f => f.Cost):G9} steps/unit {fits.Average(f => f.Steps):F1}"));
        Console.WriteLine(string.Create(CultureInfo.InvariantCulture, $"compute {elapsed.TotalSeconds:F4} s"));
    }

    /// <summary>Consumer's and producer's risk of 100 × 100 tolerances and uncertainties, process N(0.3, 1), guard band one uncertainty.</summary>
    public static void Risks()
    {
        for (var warm = 0; warm < 30; warm++) AllRisks();
        var clock = Stopwatch.StartNew();
        var risks = AllRisks();
        var elapsed = clock.Elapsed;
        Console.WriteLine(string.Create(CultureInfo.InvariantCulture,
            $"fa[0] {risks[0].Consumer:G10} fr[0] {risks[0].Producer:G10} fa[5050] {risks[5050].Consumer:G10} fr[5050] {risks[5050].Producer:G10} fa[9999] {risks[9999].Consumer:G6} fr[9999] {risks[9999].Producer:G10}"));
        Console.WriteLine(string.Create(CultureInfo.InvariantCulture, $"sum fa {risks.Sum(r => r.Consumer):G10} sum fr {risks.Sum(r => r.Producer):G10}"));
        Console.WriteLine(string.Create(CultureInfo.InvariantCulture, $"compute {elapsed.TotalSeconds:F5} s"));
    }

    /// <summary>Rainflow and damage of a long history as it is read.</summary>
    /// <param name="file">Little-endian single-precision samples.</param>
    public static void Rainflow(string file)
    {
        CountFile(file, most: 1 << 22); // warm
        var clock = Stopwatch.StartNew();
        var counter = CountFile(file, long.MaxValue);
        var sums = counter.Finish();
        var elapsed = clock.Elapsed;
        Console.WriteLine(string.Create(CultureInfo.InvariantCulture,
            $"points={counter.TurningPoints} full={counter.Closed} half={sums.Halves} maxrange={sums.Damage.Largest:G9} damage={sums.Damage.Damage / 1e6:G12} hist[0,1,8,32]={sums.Classes[0]:F1},{sums.Classes[1]:F1},{sums.Classes[8]:F1},{sums.Classes[32]:F1}"));
        Console.WriteLine(string.Create(CultureInfo.InvariantCulture, $"compute {elapsed.TotalSeconds:F4} s"));
    }

    static Rainflow<RangesAndDamage> CountFile(string file, long most)
    {
        using var data = File.OpenHandle(file, options: FileOptions.SequentialScan);
        var counter = new Rainflow<RangesAndDamage>(new(new double[64], new(reference: 100, slope: 5)));
        var block = new float[1 << 16];
        for (long at = 0; at < most;)
        {
            var read = RandomAccess.Read(data, MemoryMarshal.AsBytes(block.AsSpan()), at);
            if (read == 0) break;
            counter.Add(block.AsSpan(0, read / sizeof(float)));
            at += read;
        }

        return counter;
    }

    struct RangesAndDamage(double[] classes, DamageSum damage) : ICountCycles
    {
        DamageSum damage = damage;

        public readonly double[] Classes => classes;
        public readonly DamageSum Damage => damage;
        public int Halves { get; private set; }

        public void Count(double from, double to, double count)
        {
            damage.Count(from, to, count);
            classes[Math.Min(63, (int)(Math.Abs(to - from) * 0.25))] += count;
            if (count < 1) Halves++;
        }
    }

    const int Samples = 10_000;

    static SampledParameters[] Fit(SafeFileHandle data, int units)
    {
        var fits = new SampledParameters[units];
        Parallel.For(0, units, () => new double[5 * Samples], (unit, _, samples) =>
        {
            var bytes = MemoryMarshal.AsBytes(samples.AsSpan());
            for (var at = 0; at < bytes.Length;)
            {
                var read = RandomAccess.Read(data, bytes[at..], (long)unit * bytes.Length + at);
                if (read == 0) throw new EndOfStreamException($"Unit {unit} is cut short.");
                at += read;
            }

            ReadOnlySpan<double> all = samples;
            fits[unit] = SampleIdentification.Fit(all[..Samples], all.Slice(Samples, Samples), all.Slice(2 * Samples, Samples), all.Slice(3 * Samples, Samples), all.Slice(4 * Samples, Samples),
                new(4, 0.15e-3, 20), new(0.05, 0.2, 1));
            return samples;
        }, _ => { });
        return fits;
    }

    static ConformanceRisk[] AllRisks()
    {
        var risks = new ConformanceRisk[10_000];
        for (var i = 0; i < 100; i++)
            for (var j = 0; j < 100; j++)
            {
                var (t, u) = (1.5 + 2.5 * i / 99, 0.02 + 0.48 * j / 99);
                risks[100 * i + j] = ConformanceRisk.Of(-t, t, u, 0.3, 1, u);
            }

        return risks;
    }

    static double[] Values(SampledParameters f) => [f.ResistanceOhm, f.FluxWb, f.CoulombFrictionNm, f.ViscousFrictionNmS, f.IronLossWPerRadPerS2, f.GearEfficiency];

    static string Text(double[] values) => string.Join(' ', values.Select(v => v.ToString("G8", CultureInfo.InvariantCulture)));
}
