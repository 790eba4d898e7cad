using System.Diagnostics;
using System.Globalization;
using System.Net.Http.Json;

namespace Roadproof.Bench;

/// <summary>Durable station messages with their interlocks over HTTP: at a steady rate from 200 stations' worth of callers, then as many as go.</summary>
static class StationSteps
{
    public static async Task Run(int perSecond, int seconds)
    {
        await using var served = await DemoPlant.Serve(0);
        await Send(served, 0, 500); // warm

        var latency = new double[perSecond * seconds];
        var begin = Stopwatch.GetTimestamp();
        var sent = Enumerable.Range(0, latency.Length).Select(async i =>
        {
            var due = TimeSpan.FromSeconds((double)i / perSecond);
            var wait = due - Stopwatch.GetElapsedTime(begin);
            if (wait > TimeSpan.Zero) await Task.Delay(wait);
            var from = Stopwatch.GetTimestamp();
            await One(served, 1_000 + i);
            latency[i] = Stopwatch.GetElapsedTime(from).TotalMilliseconds;
        });
        await Task.WhenAll(sent);
        Array.Sort(latency);
        Console.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{perSecond}/s for {seconds} s: median {latency[latency.Length / 2]:F1} ms, p99 {latency[(int)(0.99 * latency.Length)]:F1} ms, slowest {latency[^1]:F1} ms"));

        const int most = 8_000;
        var clock = Stopwatch.StartNew();
        await Send(served, 100_000, most);
        Console.WriteLine(string.Create(CultureInfo.InvariantCulture, $"as many as go, 64 callers: {most / clock.Elapsed.TotalSeconds:F0} messages/s; the ledger has {served.Line.Ledger.Head.Size} records"));
    }

    static Task Send(ServedLine served, int from, int count) =>
        Parallel.ForEachAsync(Enumerable.Range(from, count), new ParallelOptions { MaxDegreeOfParallelism = 64 }, async (i, _) => await One(served, i));

    // A shell is loaded: a new unit, its wipe, its place in the ledger.
    static async Task One(ServedLine served, int i)
    {
        using var answer = await served.Http.PostAsJsonAsync(new Uri("/api/v1/stations/st10/messages", UriKind.Relative), new
        {
            key = string.Create(CultureInfo.InvariantCulture, $"bench-{i:d7}"),
            kind = "request",
            item = string.Create(CultureInfo.InvariantCulture, $"SH-{i:d7}"),
            step = "shell-in",
            occurredAt = served.Line.Clock.GetLocalNow(),
            readings = new[] { new { id = "wipe-done", text = "yes" } },
        });
        if (!answer.IsSuccessStatusCode) throw new InvalidOperationException($"A shell was not taken: {await answer.Content.ReadAsStringAsync()}");
    }
}
