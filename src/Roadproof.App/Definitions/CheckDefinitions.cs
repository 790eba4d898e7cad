using System.CommandLine;
using Roadproof.App.Frame;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Definitions;
using Spectre.Console;

namespace Roadproof.App.Definitions;

/// <summary>Checks a folder of definition files, and approves it as the next route revision.</summary>
public static class CheckDefinitions
{
    public sealed record CheckAnswer(IReadOnlyList<InputError> Errors, string? Product, int Steps, int Stations, int Parts, string Method, IReadOnlyList<string> Warnings);

    public sealed record ApproveAnswer(string Revision, bool New, IReadOnlyList<RevisionChange> Changes, string Method, IReadOnlyList<string> Warnings);

    public static Command Check()
    {
        Argument<string> folder = new("folder") { Description = "Folder of definition files." };
        return CommandLine.Verb("check", "Checks definition files and lists every mistake with file, line and column.", "definitions check demo", [folder], (input, face, _) =>
        {
            var a = RunCheck(input.GetValue(folder)!);
            foreach (var e in a.Errors) face.Note(e.ToString());
            return Task.FromResult(face.Say(a, console => console.WriteLine(a.Errors.Count == 0
                ? Invariant($"{a.Product}: {a.Steps} steps, {a.Stations} stations, {a.Parts} parts. Nothing is wrong.")
                : Invariant($"{a.Errors.Count} mistake{(a.Errors.Count == 1 ? "" : "s")}.")), a.Errors.Count == 0 ? Exit.Done : Exit.Wrong));
        });
    }

    public static Command Approve()
    {
        Argument<string> folder = new("folder") { Description = "Folder of definition files." };
        Option<string> by = new("--by") { Required = true, Description = "Key of the person who approves." };
        return CommandLine.Verb("approve", "Approves definition files as the next, immutable route revision.", "definitions approve demo --by k7f2 --data plant", [folder, by], async (input, face, _) =>
        {
            await using var line = await OpenLine.Open(input.GetValue(CommandLine.DataOption)!, TimeProvider.System);
            var approval = await line.Approve(FindProduct.Files(input.GetValue(folder)!), input.GetValue(by)!);
            var a = new ApproveAnswer(approval.Revision.Id, approval.Record is not null, approval.Changes, "The files' text is kept in the ledger under its hash.", []);
            return face.Say(a, console =>
            {
                console.WriteLine(a.New ? $"Approved as {a.Revision}." : $"Nothing changed: {a.Revision} stands.");
                if (a.Changes.Count == 0) return;
                var table = Tables.Of("what", "before", "after");
                foreach (var c in a.Changes) table.Row(c.Path, c.Before ?? "", c.After ?? "");
                console.Write(table);
            });
        });
    }

    public static CheckAnswer RunCheck(string folder)
    {
        const string method = "Every file is read whole, then bound, then held against the rules of the line.";
        try
        {
            var r = FindProduct.ReadFolder(folder);
            return new([], r.Product.Id, r.Steps.Count, r.Plant.Stations.Count, r.Parts.Count, method, []);
        }
        catch (InputException e)
        {
            return new(e.Errors, null, 0, 0, 0, method, []);
        }
    }
}
