using System.CommandLine;
using Roadproof.App.Frame;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Definitions;
using Spectre.Console;

namespace Roadproof.App.Definitions;

/// <summary>Checks a folder of definition files, and approves it as the next route revision.</summary>
public static class CheckDefinitions
{
    public sealed record CheckAnswer(IReadOnlyList<InputError> Errors, IReadOnlyList<CheckedLine> Lines, int Parts, string Method, IReadOnlyList<string> Warnings);

    public sealed record CheckedLine(string Line, string Product, int Steps, int Stations);

    /// <param name="Revision">Of the plant's first line.</param>
    public sealed record ApproveAnswer(string Revision, IReadOnlyList<ApprovedLine> Revisions, string Method, IReadOnlyList<string> Warnings);

    public sealed record ApprovedLine(string Revision, bool New, IReadOnlyList<RevisionChange> Changes);

    public static Command Check()
    {
        Argument<string> folder = new("folder") { Description = "Folder of definition files." };
        return CommandLine.Verb("check", "Checks definition files and lists every mistake with file, line and column.", "definitions check demo", [folder], (input, face, _) =>
        {
            var a = RunCheck(input.GetValue(folder)!);
            foreach (var e in a.Errors) face.Note(e.ToString());
            return Task.FromResult(face.Say(a, console =>
            {
                foreach (var l in a.Lines) console.WriteLine(Invariant($"{l.Product} on {l.Line}: {l.Steps} steps, {l.Stations} stations."));
                console.WriteLine(a.Errors.Count == 0 ? Invariant($"{a.Parts} parts. Nothing is wrong.") : Invariant($"{a.Errors.Count} mistake{(a.Errors.Count == 1 ? "" : "s")}."));
            }, a.Errors.Count == 0 ? Exit.Done : Exit.Wrong));
        });
    }

    public static Command Approve()
    {
        Argument<string> folder = new("folder") { Description = "Folder of definition files." };
        Option<string> by = new("--by") { Required = true, Description = "Key of the person who approves." };
        return CommandLine.Verb("approve", "Approves definition files as the next, immutable route revision.", "definitions approve demo --by k7f2 --data plant", [folder, by], async (input, face, _) =>
        {
            await using var line = await OpenLine.Open(input.GetValue(CommandLine.DataOption)!, TimeProvider.System);
            var approvals = await line.Approve(FindProduct.Files(input.GetValue(folder)!), input.GetValue(by)!);
            var a = new ApproveAnswer(approvals[0].Revision.Id, [.. approvals.Select(r => new ApprovedLine(r.Revision.Id, r.Record is not null, r.Changes))], "The files' text is kept in the ledger under its hash.", []);
            return face.Say(a, console =>
            {
                foreach (var revision in a.Revisions)
                {
                    console.WriteLine(revision.New ? $"Approved as {revision.Revision}." : $"Nothing changed: {revision.Revision} stands.");
                    if (revision.Changes.Count == 0) continue;
                    var table = Tables.Of("what", "before", "after");
                    foreach (var c in revision.Changes) table.Row(c.Path, c.Before ?? "", c.After ?? "");
                    console.Write(table);
                }
            });
        });
    }

    public static CheckAnswer RunCheck(string folder)
    {
        const string method = "Every file is read whole, then bound, then held against the rules of the line.";
        try
        {
            var lines = FindProduct.ReadFolder(folder);
            return new([], [.. lines.Select(r => new CheckedLine(r.Line.Name, r.Product.Id, r.Steps.Count, r.Line.Stations.Count))], lines[0].Parts.Count, method, []);
        }
        catch (InputException e)
        {
            return new(e.Errors, [], 0, method, []);
        }
    }
}
