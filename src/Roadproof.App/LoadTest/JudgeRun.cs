using Dapper;
using Roadproof.App.Frame;
using Roadproof.Engineering.Formats;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Definitions;
using Roadproof.Records.Items;
using Roadproof.Records.Messages;

namespace Roadproof.App.LoadTest;

/// <summary>Judges the captures that a message names, before the message is taken: a record must not wait for it.</summary>
public static class JudgeRun
{
    /// <summary>The message ends a load test.</summary>
    public static bool IsRun(StationMessage message, string station, OpenLine line) =>
        message.Stage == "finish" && line.Plant.At(station)?.StepOf(message.Step) is { Kind: StepKind.LoadTest };

    /// <returns>Null while a capture is still to come, or where the answer to this key stands already.</returns>
    public static async Task<LoadTestOutcome?> Run(StationMessage message, OpenLine line)
    {
        if (IsKnown(message.Key, line)) return null;
        return await Run(message.Item, message.Captures.Select(c => (c.Sha256, c.Name)).ToList(), line);
    }

    /// <summary>Judges captures by their hashes under the revision that the unit started on.</summary>
    /// <returns>Null while one is still to come.</returns>
    public static async Task<LoadTestOutcome?> Run(string item, IReadOnlyList<(string Sha256, string Name)> captures, OpenLine line)
    {
        if (captures.Count == 0) return LoadTestOutcome.CannotJudge("No capture was named: a load test is judged from what the rig recorded.");
        var (codes, own) = Unit(item, "", line);
        return await Run(codes, own ?? line.Standing.First(r => r.Product.LoadTest is not null), captures, line);
    }

    /// <param name="codes">What the captures may say that they are of.</param>
    /// <returns>Null while one is still to come.</returns>
    internal static async Task<LoadTestOutcome?> Run(IReadOnlyList<string> codes, RouteRevision revision, IReadOnlyList<(string Sha256, string Name)> captures, OpenLine line)
    {
        var files = new List<(string Name, Stream Stream)>();
        try
        {
            foreach (var (sha256, name) in captures)
            {
                if (line.Captures.Open(sha256) is not { } stream) return null;
                files.Add((name, stream));
            }

            return await Task.Run(() =>
            {
                var capture = CaptureFile.Read(files);
                return capture.Header.Item is { } own && !codes.Contains(own) ? LoadTestOutcome.OfOtherUnit(own) : LoadTestOutcome.Judged(line.JudgeOf(revision).Judge(capture, line.Ask(c => IdleTime.Hours(c, codes[0], revision, capture.Header.StartedAt))));
            });
        }
        catch (InputException e)
        {
            return LoadTestOutcome.CannotJudge(e.Message);
        }
        finally
        {
            foreach (var (_, stream) in files) await stream.DisposeAsync();
        }
    }

    static bool IsKnown(string key, OpenLine line)
    {
        using var ask = line.Ask();
        return ask.ExecuteScalar<bool>("select exists (select 1 from ledger where key = @key)", new { key });
    }

    /// <summary>The codes that the unit goes by, and the revision that it started on; for a unit that is not known yet what is built at the station, null where the plant has no such station.</summary>
    internal static (IReadOnlyList<string> Codes, RouteRevision? Revision) Unit(string item, string station, OpenLine line)
    {
        using var ask = line.Ask();
        var (unit, serial, revision) = ask.QueryFirstOrDefault<(string?, string?, string?)>("select unit, serial, revision from unit where unit = @item or serial = @item", new { item });
        return unit is null ? ([item], line.Plant.At(station)) : (serial is null ? [unit] : [unit, serial], line.Plant.RevisionOf(revision!));
    }
}
