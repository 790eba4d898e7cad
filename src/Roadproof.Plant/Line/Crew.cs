using System.Globalization;
using Roadproof.Engineering.Statistics;

namespace Roadproof.Plant.Line;

/// <summary>The people of the plant by their opaque keys. Each belongs to one line and is qualified for its stations; who works where in it changes every two hours.</summary>
sealed class Crew
{
    const string Letters = "bcdfghjkmnpqrstvwxz";
    static readonly TimeSpan Turn = TimeSpan.FromHours(2);

    readonly Dictionary<string, string[]> _byLine = new(StringComparer.Ordinal);
    readonly DateTimeOffset _from;

    public Crew(ulong seed, IReadOnlyList<LineRoute> routes, DateTimeOffset from)
    {
        _from = from;
        var noise = new SeededNoise(seed, "crew");
        var used = new HashSet<string>(StringComparer.Ordinal);
        string Next()
        {
            string key;
            do key = $"{Letter(noise)}{Digit(noise)}{Letter(noise)}{Digit(noise)}"; while (!used.Add(key));
            return key;
        }

        (ShiftLead, GoodsIn) = (Next(), Next());
        foreach (var route in routes) _byLine.Add(route.Line.Id, [.. Enumerable.Range(0, route.Line.Stations.Count + 1).Select(_ => Next())]);
    }

    public string ShiftLead { get; }
    public string GoodsIn { get; }

    public string At(string line, int station, DateTimeOffset now)
    {
        var people = _byLine[line];
        return people[(station + (int)((now - _from) / Turn)) % people.Length];
    }

    /// <summary>Before the shift: each person is qualified for what the stations of the line ask, and each tool and gauge has its calibration.</summary>
    public async Task MakeReady(LineDoor door, IReadOnlyList<LineRoute> routes, DateTimeOffset now)
    {
        var acts = 0;
        string Key() => Names.Key("training", ++acts);
        foreach (var route in routes)
        {
            var asked = route.Line.Stations.SelectMany(route.AskedAt).Distinct(StringComparer.Ordinal).ToList();
            foreach (var person in _byLine[route.Line.Id])
            {
                foreach (var qualification in asked) await door.Qualify(Key(), person, qualification, now.AddDays(200), "instructed and tried at the station", now, ShiftLead);
            }

            foreach (var station in route.Line.Stations)
            {
                foreach (var instrument in station.Instruments ?? [])
                    await door.Calibrated(Key(), station.Id, instrument, DueAt(route, station, instrument, now), string.Create(CultureInfo.InvariantCulture, $"certificate {1000 + acts}"), now.AddDays(-1), ShiftLead);
            }
        }
    }

    // Spread over the year; the balancer's comes up in a few days, and a note says so.
    static DateTimeOffset DueAt(LineRoute route, LineStation station, string instrument, DateTimeOffset now) =>
        now.AddDays(instrument == "balancer" ? 4 : 60 + 17 * route.Line.Stations.ToList().IndexOf(station));

    static char Letter(SeededNoise noise) => Letters[(int)(noise.Share() * Letters.Length)];

    static char Digit(SeededNoise noise) => (char)('2' + (int)(noise.Share() * 8));
}
