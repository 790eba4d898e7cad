using System.CommandLine;
using Roadproof.App.Frame;
using Roadproof.Engineering.Formats;
using Roadproof.Engineering.Life;
using Roadproof.Engineering.Quantities;
using Spectre.Console;

namespace Roadproof.App.Life;

/// <summary>Counts the load cycles of a column by rainflow: each range and mean by itself, or in classes where there are many.</summary>
public static class CountCycles
{
    /// <summary>Beyond this many different cycles a list helps nobody.</summary>
    const int MostListed = 100_000;

    const string Method = "Rainflow counting, ASTM E1049-85 5.4.4, history that happens once; damage Σ count·range^slope over that of the largest range; docs/methods/load-spectra.md.";

    public sealed record WidthAnswer(double Range, double Mean);

    /// <param name="DamageInLargest">How many cycles of the largest range do the same damage, for the slope of life over range.</param>
    public sealed record SlopeAnswer(double Slope, double DamageInLargest);

    /// <param name="Reversals">Turning points, first and last sample among them.</param>
    /// <param name="Cycles">Largest range first; half cycles count 0.5.</param>
    /// <param name="ClassWidth">Null where every cycle stands by itself.</param>
    public sealed record Answer(
        IReadOnlyList<CountedCycle> Cycles, long Reversals, double TotalCycles, double LargestRange, WidthAnswer? ClassWidth, IReadOnlyList<SlopeAnswer> Damage, string Method, IReadOnlyList<string> Warnings);

    public static Command Command()
    {
        Argument<string> file = new("file") { Description = "A table with the signal in time order (CSV, Parquet)." };
        Option<string> column = new("--column") { Required = true, Description = "The signal's column." };
        Option<int?> classes = new("--classes") { Description = "So many classes of range and of mean, an even number; without, every cycle stands by itself." };
        Option<double[]> slopes = new("--slope") { DefaultValueFactory = _ => [3, 5, 9], AllowMultipleArgumentsPerToken = true, Description = "Slopes of life over range, for the damage that the ranges do." };
        return CommandLine.Verb("rainflow", "Load cycles of a signal: ranges, means, counts, and the damage that they do.", "life rainflow fast.parquet --column output_torque_nm --classes 64",
            [file, column, classes, slopes], (input, face, _) =>
            {
                var a = Run(input.GetValue(file)!, input.GetValue(column)!, input.GetValue(classes), input.GetValue(slopes)!);
                return Task.FromResult(face.Say(a, console => Print(console, a)));
            });
    }

    /// <exception cref="InputException">No such file or column, a gap in it, or too many different cycles to list.</exception>
    public static Answer Run(string file, string column, int? classes, IReadOnlyList<double> slopes)
    {
        Require(classes, slopes);
        if (!File.Exists(file)) throw new InputException(new InputError(file, 0, "", "no such file", "a table (CSV, Parquet)"));
        var matrix = classes is { } n ? new RangeMeanMatrix(n, LeastWidth) : null;
        var counter = new Rainflow<Counted>(new(matrix, matrix is null ? [] : null, [.. slopes.Select(slope => new DamageSum(reference: 1, slope))]));
        using (var stream = File.OpenRead(file)) NumberColumn.Read(file, stream, column, numbers => Add(counter, numbers, file, column));

        var (counted, reversals) = (counter.Finish(), counter.TurningPoints);
        List<CountedCycle> cycles = matrix is not null ? [.. matrix.Cycles()]
            : [.. counted.Listed!.Select(c => new CountedCycle(c.Key.Range, c.Key.Mean, c.Value)).OrderByDescending(c => c.Range).ThenBy(c => c.Mean)];
        var largest = counted.Largest;
        List<string> warnings = [];
        if (cycles.Count == 0) warnings.Add("The signal never turns: there is no cycle to count.");
        if (matrix is not null) warnings.Add("In classes, ranges and means are the classes' middles; the damage is that of the cycles themselves.");
        return new(cycles, reversals, cycles.Sum(c => c.Count), largest, matrix is null ? null : new(matrix.RangeWidth, matrix.MeanWidth),
            largest > 0 ? [.. slopes.Zip(counted.Damage, (slope, sum) => new SlopeAnswer(slope, sum.Damage / Math.Pow(largest, slope)))] : [], Method, warnings);
    }

    // Narrower than anything that is measured: the classes grow to what comes.
    const double LeastWidth = 1e-9;

    static void Require(int? classes, IReadOnlyList<double> slopes)
    {
        if (classes is { } n && (n is < 2 or > 1024 || n % 2 != 0)) throw new InputException(new InputError("--classes", 0, "", Number(n), "an even number from 2 to 1024"));
        foreach (var slope in slopes)
            if (!(slope > 0 && slope <= 30)) throw new InputException(new InputError("--slope", 0, "", Number(slope), "a number above 0 and up to 30"));
    }

    static void Add(Rainflow<Counted> counter, ReadOnlySpan<double> numbers, string file, string column)
    {
        counter.Add(numbers);
        if (counter.Cycles.Listed is { Count: > MostListed })
            throw new InputException(new InputError(file, 0, column, $"more than {MostListed.ToString("#,0", CultureInfo.InvariantCulture)} different cycles", "fewer, or classes to count them in", "Say --classes 64."));
    }

    struct Counted(RangeMeanMatrix? matrix, Dictionary<(double Range, double Mean), double>? listed, DamageSum[] damage) : ICountCycles
    {
        public readonly Dictionary<(double Range, double Mean), double>? Listed => listed;
        public readonly DamageSum[] Damage => damage;
        public double Largest { get; private set; }

        public void Count(double from, double to, double count)
        {
            var (range, mean) = (Math.Abs(to - from), (from + to) / 2);
            Largest = Math.Max(Largest, range);
            for (var i = 0; i < damage.Length; i++) damage[i].Count(from, to, count);
            if (matrix is not null) matrix.Add(range, mean, count);
            else listed![(range, mean)] = listed.GetValueOrDefault((range, mean)) + count;
        }
    }

    static void Print(IAnsiConsole console, Answer a)
    {
        const int most = 40;
        var table = Tables.Of(">range", ">mean", ">cycles");
        foreach (var c in a.Cycles.Take(most)) table.Row(Number(c.Range), Number(c.Mean), c.Count.ToString("#,0.#", CultureInfo.InvariantCulture));
        console.Write(table);
        if (a.Cycles.Count > most) console.WriteLine($"{(a.Cycles.Count - most).ToString("#,0", CultureInfo.InvariantCulture)} smaller ranges are not shown: --json has them all.");
        console.WriteLine($"{a.TotalCycles.ToString("#,0.#", CultureInfo.InvariantCulture)} cycles between {a.Reversals.ToString("#,0", CultureInfo.InvariantCulture)} turning points.");
        foreach (var d in a.Damage) console.WriteLine($"Slope {Number(d.Slope)}: as much damage as {Number(d.DamageInLargest)} cycles of the largest range, {Number(a.LargestRange)}.");
        foreach (var w in a.Warnings) console.WriteLine(w);
        console.WriteLine(a.Method);
    }

    static string Number(double value) => value.ToString("G4", CultureInfo.InvariantCulture);
}
