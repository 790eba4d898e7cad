using System.Globalization;

namespace Roadproof.App.Tests.Commands;

/// <summary>Battery use of recorded commutes beside the computed one: the table in docs/methods/drive-on-the-road.md is computed here and may not say anything else.</summary>
/// <remarks>Which file is which line of the index is not told: those count that begin within 3 m and are as long within 10 m. Factors for the levels are guesses, as the page says.</remarks>
public sealed class RecordedBatteryUseTests
{
    static readonly string Commute = Path.Combine(DataSets.Folder("rides"), "commute");
    static readonly string[] Rose = ["N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE", "S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW"];
    static readonly double[] FactorOfLevel = [0.5, 0.8, 1.2, 2, 3];

    sealed record Line(int Number, double LatitudeDeg, double LongitudeDeg, double Km, int Level, double WindKmh, double FromDeg, double RiderKg, double StartV, double EndV, double WhPerKm);

    static IReadOnlyList<Line> Index()
    {
        List<Line> lines = [];
        foreach (var text in File.ReadLines(Path.Combine(Commute, "index.csv")).Skip(1))
        {
            // Positions stand in quotes with a comma, or without them with another sign; the last in the order of the columns are plain.
            var cells = text.Replace("，", ",", StringComparison.Ordinal).Replace("\"", "", StringComparison.Ordinal).Split(',', StringSplitOptions.TrimEntries);
            if (cells.Length != 22) throw new InvalidDataException(text);
            lines.Add(new((int)N(cells[0]), N(cells[3]), N(cells[4]), N(cells[8]), (int)N(cells[16]), N(cells[17]), 22.5 * Array.IndexOf(Rose, cells[18]), cells[2] == "65-70" ? 67.5 : 62.5, N(cells[12]), N(cells[13]), N(cells[15])));
        }

        return lines;
    }

    static string? FileOf(Line line) => Directory.EnumerateFiles(Commute, "trip-*.csv").Order(StringComparer.Ordinal).FirstOrDefault(file =>
    {
        var rows = File.ReadAllLines(file);
        var names = rows[0].Split(',');
        double Cell(string row, string name) => N(row.Split(',')[Array.IndexOf(names, name)]);
        return Math.Abs(Cell(rows[1], "position_lat") - line.LatitudeDeg) < 3e-5 && Math.Abs(Cell(rows[1], "position_long") - line.LongitudeDeg) < 3e-5 && Math.Abs((Cell(rows[^1], "distance") / 1000) - line.Km) < 0.0105;
    });

    [Fact]
    public async Task The_documented_energy_is_the_computed_one()
    {
        var page = File.ReadAllText(Path.Combine(Checkout.Root, "docs", "methods", "drive-on-the-road.md"));
        var (km, told, still, windy, all, strong) = (0.0, 0.0, 0.0, 0.0, 0.0, 0.0);
        foreach (var line in Index())
        {
            if (FileOf(line) is not { } file) continue;
            var (calm, blown) = (await Computed(file, line, 0), await Computed(file, line, 0.4));
            Assert.Contains(string.Create(CultureInfo.InvariantCulture, $"| {line.Number} | {line.Km:0.00} | {line.Level} | {line.StartV:0.0} to {line.EndV:0.0} | {line.WhPerKm:0.00} | {calm:0.0} | {blown:0.0} |"), page, StringComparison.Ordinal);
            all += line.Km * await Computed(file, line, 1);
            strong += line.Km * await Computed(file, line, 1, factor: 10);
            (km, told, still, windy) = (km + line.Km, told + line.Km * line.WhPerKm, still + line.Km * calm, windy + line.Km * blown);
        }

        Assert.Contains(string.Create(CultureInfo.InvariantCulture, $"| together | {km:0.00} | | | {told / km:0.0} | {still / km:0.0} | {windy / km:0.0} |"), page, StringComparison.Ordinal);
        Assert.Contains(string.Create(CultureInfo.InvariantCulture, $"comes to {all / km:0.0} Wh/km, with a motor that does ten elevenths of everything besides to {strong / km:0.0} Wh/km"), page, StringComparison.Ordinal);
    }

    static async Task<double> Computed(string file, Line line, double windAtRider, double? factor = null)
    {
        var said = await Typed.Words("road", "load", file, "--product", "af-40", "--assist", Text(factor ?? FactorOfLevel[line.Level - 1]), "--rider-mass-kg", Text(line.RiderKg),
            "--wind-mps", Text(line.WindKmh / 3.6), "--wind-from-deg", Text(line.FromDeg), "--wind-at-rider", Text(windAtRider), "--json");
        Assert.Equal(0, said.Exit);
        return said.Number("whPerKm");
    }

    static double N(string text) => double.Parse(text, CultureInfo.InvariantCulture);

    static string Text(double value) => value.ToString(CultureInfo.InvariantCulture);
}
