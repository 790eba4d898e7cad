using System.CommandLine;
using Roadproof.App.Frame;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Definitions;
using Roadproof.Records.ReadModel;
using Spectre.Console;

namespace Roadproof.App.Definitions;

/// <summary>Approves definition files as the next route revision of each product that they change.</summary>
public static class ApproveDefinitions
{
    /// <param name="Revision">Of the plant's first line.</param>
    /// <param name="Withdrawn">Products that the files leave out and that were said to be withdrawn.</param>
    public sealed record Answer(string Revision, IReadOnlyList<ApprovedProduct> Revisions, IReadOnlyList<LeftOutProduct> Withdrawn, string Method, IReadOnlyList<string> Warnings);

    /// <param name="From">From when on new units start on it.</param>
    public sealed record ApprovedProduct(string Revision, bool New, DateTimeOffset From, IReadOnlyList<RevisionChange> Changes);

    /// <param name="Revision">The newest revision of a product that the files do not have.</param>
    /// <param name="UnitsOnTheWay">Units that go on by their own revisions.</param>
    public sealed record LeftOutProduct(string Product, string Line, string Revision, long UnitsOnTheWay);

    /// <summary>What a program sends to approve.</summary>
    /// <param name="Withdraw">Products that the files leave out on purpose.</param>
    /// <param name="Seen">From the check's answer: approves only what was looked at.</param>
    public sealed record Request(IReadOnlyList<DefinitionFile> Files, string Person, string Reason = "", DateTimeOffset? From = null, IReadOnlyList<string>? Withdraw = null, string? Seen = null);

    public static void Map(IEndpointRouteBuilder app) => app
        .MapPost("/api/v1/definitions/approve", async (Request said, OpenLine line) =>
            (await Run(said.Files.Select(f => (f.Name, f.Text)), new(said.Person, said.Reason, said.From) { Withdraw = said.Withdraw ?? [], Seen = said.Seen }, line)).ToHttp())
        .WithSummary("Approve definition files as the next revisions of what they change");

    public static Command Command()
    {
        Argument<string> folder = new("folder") { Description = "Folder of definition files." };
        Option<string> by = new("--by") { Required = true, Description = "Key of the person who approves." };
        Option<string?> reason = new("--reason") { Description = "Why." };
        Option<DateTimeOffset?> from = new("--from") { Description = "From when on new units start on it, such as 2031-03-05T06:00+01:00; at once if left out." };
        Option<string[]> withdraw = new("--withdraw") { Description = "Product that the folder leaves out on purpose: no new unit starts on it.", DefaultValueFactory = _ => [] };
        return CommandLine.Verb("approve", "Approves definition files as the next, immutable route revision.", "definitions approve demo --by k7f2 --data plant", [folder, by, reason, from, withdraw], async (input, face, _) =>
        {
            var files = DefinitionFolder.Files(input.GetValue(folder)!);
            await using var line = await OpenLine.Open(input.GetValue(CommandLine.DataOption)!);
            var said = new ApprovalWord(input.GetValue(by)!, input.GetValue(reason) ?? "", input.GetValue(from)) { Withdraw = input.GetValue(withdraw)! };
            var outcome = await Run(files, said, line);
            return outcome.Done is { } done ? face.Say(done, console => Write(done, line.Clock.GetUtcNow(), console)) : face.Refused(outcome.Refused!);
        });
    }

    public static async Task<Outcome<Answer>> Run(IEnumerable<(string Name, string Text)> files, ApprovalWord said, OpenLine line)
    {
        var outcome = await line.Approve(files, said);
        if (outcome.Done is not { } done) return outcome.Refused!;
        return new Answer(
            done.Revisions[0].Revision.Id,
            [.. done.Revisions.Select(r => new ApprovedProduct(r.Revision.Id, r.Record is not null, line.Revisions.Find(r.Revision.Id)!.From, r.Changes))],
            line.Ask(c => done.Withdrawn.Select(r => LeftOut(r, c)).ToList()),
            "The files' text is kept in the ledger under its hash.", []);
    }

    public static LeftOutProduct LeftOut(RouteRevision newest, Microsoft.Data.Sqlite.SqliteConnection c) => new(newest.Product.Id, newest.Line.Name, newest.Id, RevisionList.OnTheWay(c, newest.Product.Id));

    static void Write(Answer a, DateTimeOffset now, IAnsiConsole console)
    {
        foreach (var revision in a.Revisions)
        {
            var from = revision.From > now ? Invariant($", for new units from {revision.From.ToLocalTime():yyyy-MM-dd HH:mm zzz} on") : "";
            console.WriteLine(revision.New ? $"Approved as {revision.Revision}{from}." : $"Nothing changed: {revision.Revision} stands.");
            if (revision.Changes.Count > 0) console.Write(CompareRevisions.Table(revision.Changes));
        }

        foreach (var w in a.Withdrawn) console.WriteLine(Invariant($"Withdrawn: {w.Product} on {w.Line}. No new unit starts on it; {w.UnitsOnTheWay} on the way go on by their own revisions."));
    }
}
