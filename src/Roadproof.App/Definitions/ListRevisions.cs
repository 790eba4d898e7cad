using System.CommandLine;
using Roadproof.App.Frame;
using Roadproof.Records.Definitions;
using Roadproof.Records.ReadModel;
using Roadproof.Records.Stores;

namespace Roadproof.App.Definitions;

/// <summary>Every revision that was ever approved: who, when, what became of it, how many units started and are still on the way on it.</summary>
public static class ListRevisions
{
    public sealed record Answer(IReadOnlyList<RevisionRow> Revisions, string Method, IReadOnlyList<string> Warnings);

    public static void Map(IEndpointRouteBuilder app) =>
        app.MapGet("/api/v1/revisions", (OpenLine line) => Results.Json(Run(line), Json.Options)).WithSummary("Every revision that was ever approved, newest first");

    public static Command Command() => CommandLine.Verb("list", "Lists every revision with who, when and the units on it.", "definitions list --data plant", [], (input, face, _) =>
    {
        using var folder = DataFolder.OpenToRead(input.GetValue(CommandLine.DataOption)!);
        var a = Of(folder.Ask(c => RevisionList.Run(c, RevisionBook.Read(c), RecordedClock.Of(c).GetUtcNow())));
        return Task.FromResult(face.Say(a, console =>
        {
            var table = Tables.Of("revision", "line", "state", "from", "approved by", ">units started", ">on the way", "reason");
            foreach (var r in a.Revisions)
            {
                table.Row(r.Revision, r.Line, r.State, r.From.ToString("yyyy-MM-dd HH:mm zzz", CultureInfo.InvariantCulture), r.ApprovedBy,
                    r.UnitsStarted.ToString(CultureInfo.InvariantCulture), r.UnitsOnTheWay.ToString(CultureInfo.InvariantCulture), r.Reason);
            }

            console.Write(table);
        }));
    });

    public static Answer Run(OpenLine line) => Of(line.Ask(c => RevisionList.Run(c, line.Revisions, line.Clock.GetUtcNow())));

    static Answer Of(IReadOnlyList<RevisionRow> revisions) => new(revisions, "Counted from the records of units; on the way: started and not through the route.", []);
}
