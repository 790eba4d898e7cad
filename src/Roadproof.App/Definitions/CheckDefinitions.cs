using System.CommandLine;
using Roadproof.App.Frame;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Definitions;
using Spectre.Console;

namespace Roadproof.App.Definitions;

/// <summary>Checks a folder of definition files; beside a plant's records it also says what approving them would do.</summary>
public static class CheckDefinitions
{
    public sealed record CheckAnswer(IReadOnlyList<InputError> Errors, IReadOnlyList<CheckedLine> Lines, int Parts, string Method, IReadOnlyList<string> Warnings);

    public sealed record CheckedLine(string Line, string Product, int Steps, int Stations);

    /// <param name="LeftOut">Products of the plant that the files do not have.</param>
    /// <param name="Seen">Stands for these files and what they were compared with.</param>
    public sealed record DraftAnswer(IReadOnlyList<DraftedLine> Lines, IReadOnlyList<ApproveDefinitions.LeftOutProduct> LeftOut, string Seen, string Method, IReadOnlyList<string> Warnings);

    /// <param name="Before">The newest revision there is; null for a product that is new, or comes back.</param>
    public sealed record DraftedLine(string Line, string Product, string? Before, IReadOnlyList<RevisionChange> Changes);

    public sealed record Request(IReadOnlyList<DefinitionFile> Files);

    public static void Map(IEndpointRouteBuilder app) => app
        .MapPost("/api/v1/definitions/check", (Request said, OpenLine line) => Results.Json(Run(said.Files.Select(f => (f.Name, f.Text)), line), Json.Options))
        .WithSummary("Check definition files and say what approving them would do");

    public static Command Command()
    {
        Argument<string> folder = new("folder") { Description = "Folder of definition files." };
        return CommandLine.Verb("check", "Checks definition files and lists every mistake with file, line and column.", "definitions check demo", [folder], (input, face, _) =>
        {
            var a = Run(input.GetValue(folder)!);
            foreach (var e in a.Errors) face.Note(e.ToString());
            return Task.FromResult(face.Say(a, console =>
            {
                foreach (var l in a.Lines) console.WriteLine(Invariant($"{l.Product} on {l.Line}: {l.Steps} steps, {l.Stations} stations."));
                console.WriteLine(a.Errors.Count == 0 ? Invariant($"{a.Parts} parts. Nothing is wrong.") : Invariant($"{a.Errors.Count} mistake{(a.Errors.Count == 1 ? "" : "s")}."));
            }, a.Errors.Count == 0 ? Exit.Done : Exit.Wrong));
        });
    }

    public static CheckAnswer Run(string folder)
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

    /// <exception cref="InputException">Every mistake in the files.</exception>
    public static DraftAnswer Run(IEnumerable<(string Name, string Text)> files, OpenLine line)
    {
        var draft = DefinitionDraft.Of(files, line.Revisions);
        return new(
            [.. draft.Products.Select(p => new DraftedLine(p.Draft.Line.Name, p.Draft.Product.Id, p.Before?.Revision.Id, p.Changes))],
            line.Ask(c => draft.LeftOut.Select(r => ApproveDefinitions.LeftOut(r.Revision, c)).ToList()), draft.Seen,
            "Compared with the newest revision of each product by key and id, the most dangerous change first.", []);
    }
}
