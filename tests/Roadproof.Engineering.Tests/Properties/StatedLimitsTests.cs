using System.Globalization;
using Roadproof.Engineering.LoadTest;
using Roadproof.Engineering.Tests.Fixtures;

namespace Roadproof.Engineering.Tests.Properties;

/// <summary>What the page on expectation limits says of the demo's mid-drive is what the code computes. A difference lists the rows as they should stand.</summary>
public sealed class StatedLimitsTests
{
    static readonly ILookup<string, string[]> Rows = Checkout.Read("docs/methods/expectation-limits.md").Split('\n').Where(line => line.StartsWith("| ", StringComparison.Ordinal))
        .Select(line => line.Trim('|', ' ', '\r').Split(" | ")).ToLookup(cells => cells[0].Trim('`', ' '));

    [Fact]
    public void The_table_of_faults_is_what_is_computed()
    {
        var wrong = DemoJudge.Judge.Sensitivity().Where(s => !Figures(Rows[s.Fault].SingleOrDefault()).SequenceEqual(Figures(Stated(s)), Near)).ToList();
        Assert.True(wrong.Count == 0, string.Join('\n', wrong.Select(s => $"| {string.Join(" | ", Stated(s))} |")));
    }

    [Fact]
    public void The_limits_are_what_is_computed()
    {
        var along = DemoJudge.Judge.Sensitivity().Select(s => s.LimitSigma).OfType<double>().ToList();
        Assert.Equal([DemoJudge.Judge.SigmaLimit], Figures([Rows["single"].Single()[2]]), NearTenth);
        Assert.Equal([DemoJudge.Judge.DistanceLimit], Figures([Rows["joint"].Single()[2]]), NearHalf);
        Assert.Equal([along.Min(), along.Max()], Figures([Rows["known fault"].Single()[2]]), NearTenth);
    }

    static string[] Stated(FaultSensitivity s) =>
    [
        $"`{s.Fault}`", $"{G(s.Typical)} {s.Unit}", P(s.RateAtTypical), P(s.Best.Together), P(s.Best.Alone), s.LimitSigma is { } limit ? limit.ToString("0.0", CultureInfo.InvariantCulture) + " σ" : "none", $"{G(s.SmallestFound!.Value)} {s.Unit}",
    ];

    static string G(double value) => value.ToString("G3", CultureInfo.InvariantCulture);

    static string P(double rate) => rate.ToString("P1", CultureInfo.InvariantCulture);

    /// <summary>The numbers of each cell but the first where it is a name; "none" counts as 0.</summary>
    static double[] Figures(IEnumerable<string>? cells) => cells is null ? [] :
    [
        .. from cell in cells
           from word in cell.Split(' ')
           let text = word.TrimEnd('%')
           where word == "none" || double.TryParse(text, CultureInfo.InvariantCulture, out _)
           select word == "none" ? 0 : double.Parse(text, CultureInfo.InvariantCulture),
    ];

    // Sums of single precision differ a little from machine to machine: a twentieth of a point, and a fiftieth of a size.
    static readonly Within Near = new(x => Math.Max(0.1001, 0.02 * x)), NearTenth = new(_ => 0.05), NearHalf = new(_ => 0.5);

    sealed class Within(Func<double, double> tolerance) : IEqualityComparer<double>
    {
        public bool Equals(double x, double y) => Math.Abs(x - y) <= tolerance(Math.Abs(x));

        public int GetHashCode(double x) => 0;
    }
}
