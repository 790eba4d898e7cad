using System.Text.RegularExpressions;
using Roadproof.App.Frame;
using Roadproof.App.Line;
using Roadproof.App.Lots;
using Roadproof.App.Station;
using Roadproof.App.Tests.Commands;
using Roadproof.Records.Definitions;
using Roadproof.Records.Lots;

namespace Roadproof.App.Tests.Server;

/// <summary>The guide "Your own product in 30 minutes", followed as it stands: its files, its lots, its table of what to type, its change.</summary>
public sealed partial class OwnProductTests
{
    static readonly string Guide = Checkout.Read("docs/guides/your-own-product.md");

    [Fact]
    public async Task What_the_guide_writes_and_types_builds_a_unit_and_changes_a_limit()
    {
        using var place = new Folder();
        await using var line = await OpenLine.Open(place["data"], TimeProvider.System);
        Assert.NotNull((await line.Approve(Files, new("k7f2", "first start"))).Done);
        foreach (var part in new[] { "board", "spring" })
            Assert.NotNull((await ActOnLot.Receive(new LotReceipt($"first-{part}", $"{part}-1", part, 500, null, DateTimeOffset.Now, "k7f2"), line)).Done);

        var bench = new BenchScans();
        foreach (var (station, typed) in Typing) await Type(station, typed);
        var unit = AskLine.Unit("TH-0001", line)!;
        Assert.Equal(("shipped", "throttle-2/1"), (unit.State, unit.Revision));

        await Type("t10", ["TH-0002", "TH-0002", "board-1", "spring-1", "TH-0002"]);
        var changed = Files.Select(f => (f.Name, f.Text.Replace("upper: 0.3,", "upper: 0.25,", StringComparison.Ordinal)));
        var approved = (await line.Approve(changed, new("k7f2", "tighter"))).Done!;
        Assert.Equal(("throttle-2/2", ChangeKind.Safety, false), (approved.Revisions[0].Revision.Id, approved.Revisions[0].Changes.Single().Kind, approved.Revisions[0].Changes.Single().Wider!.Value));
        await Type("t20", ["TH-0002"]);
        Assert.Equal(0.3, AskLine.Station("t20", line)!.Needs.Single(n => n.Id == "return-time").Upper);

        async Task Type(string station, IEnumerable<string> codes)
        {
            foreach (var code in codes)
            {
                var view = AskLine.Station(station, line)!;
                var need = NextAction.Of(view, bench.Of(view))?.NeedId ?? "";
                // The number that the page shows for the mark.
                var said = code.StartsWith("the serial number", StringComparison.Ordinal) ? view.Needs.Single(n => n.Id == "mark-read").Hint : code;
                await ScanAtStation.Run(station, need, said, line, bench);
                Assert.Null(AskLine.Station(station, line)!.LastRefusal);
            }
        }
    }

    [Fact]
    public async Task The_slip_that_the_guide_suggests_is_found()
    {
        using var place = new Folder();
        foreach (var (name, text) in Files) place.Write(name, text.Replace("upper: 0.3,", "uper: 0.3,", StringComparison.Ordinal));
        (await Typed.Words("definitions", "check", place.Path)).IsWrong("routes/throttle-2.yaml:", "'uper'", "Did you mean 'upper'?");
    }

    static IReadOnlyList<(string Name, string Text)> Files => [.. File().Matches(Guide).Select(m => (m.Groups["name"].Value, m.Groups["text"].Value))];

    // What stands in brackets is said to the reader.
    static IEnumerable<(string Station, IReadOnlyList<string> Typed)> Typing => Row().Matches(Guide).Select(m =>
        (m.Groups["station"].Value, (IReadOnlyList<string>)[.. Cell().Matches(m.Groups["typed"].Value).Select(c => c.Value.Trim('`'))]));

    [GeneratedRegex(@"^`throttles/(?<name>[^`]+)`\n\n```yaml\n(?<text>.*?)^```", RegexOptions.Multiline | RegexOptions.Singleline | RegexOptions.ExplicitCapture, 1000)]
    private static partial Regex File();

    [GeneratedRegex(@"^\| `(?<station>t\d+)` \| (?<typed>.+) \|$", RegexOptions.Multiline | RegexOptions.ExplicitCapture, 1000)]
    private static partial Regex Row();

    [GeneratedRegex(@"`[^`]+`|the serial number", RegexOptions.ExplicitCapture, 1000)]
    private static partial Regex Cell();
}
