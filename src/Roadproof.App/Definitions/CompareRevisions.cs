using System.CommandLine;
using Roadproof.App.Frame;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Definitions;
using Roadproof.Records.Stores;
using Spectre.Console;

namespace Roadproof.App.Definitions;

/// <summary>What changes from one revision to another, or to a folder of files, the most dangerous first.</summary>
public static class CompareRevisions
{
    public sealed record Answer(string Before, string After, IReadOnlyList<RevisionChange> Changes, string Method, IReadOnlyList<string> Warnings);

    public static Command Command()
    {
        Argument<string> before = new("before") { Description = "A revision such as af-85/2, or a folder of definition files." };
        Argument<string> after = new("after") { Description = "The same; one of the two is a revision." };
        return CommandLine.Verb("compare", "Says what changes from one revision to another, the most dangerous first.", "definitions compare af-85/1 demo --data plant", [before, after], (input, face, _) =>
        {
            var a = Run(input.GetValue(before)!, input.GetValue(after)!, input.GetValue(CommandLine.DataOption)!);
            return Task.FromResult(face.Say(a, console =>
            {
                console.WriteLine(a.Changes.Count == 0 ? $"{a.Before} and {a.After} say the same." : $"From {a.Before} to {a.After}:");
                if (a.Changes.Count > 0) console.Write(Table(a.Changes));
            }));
        });
    }

    public static Answer Run(string before, string after, string data)
    {
        using var folder = DataFolder.OpenToRead(data);
        var book = folder.Ask(RevisionBook.Read);
        var (old, now) = (Revision(before, book), Revision(after, book));
        if (old is null && now is null)
            throw Wrong($"{before} {after}", "two folders of files", "at least one approved revision", book);
        old ??= OfFolder(before, now!);
        now ??= OfFolder(after, old);
        if (old.Product.Id != now.Product.Id)
            throw Wrong(after, $"a revision of {now.Product.Id}", $"a revision of {old.Product.Id}", book);
        return new(before, after, RevisionComparison.Of(old, now), "Compared by key and id, not by line; safety, requirement limits, interlocks, other limits, load test, the rest.", []);
    }

    /// <summary>Changes as people read them.</summary>
    public static Table Table(IReadOnlyList<RevisionChange> changes)
    {
        var table = Tables.Of("touches", "what", "before", "after", "");
        foreach (var c in changes) table.Row(DefinitionKeys.Words(typeof(ChangeKind))[(int)c.Kind], c.Path, c.Before ?? "", c.After ?? "", c.Wider switch { true => "more units pass", false => "fewer pass", _ => "" });
        return table;
    }

    /// <returns>Null for a folder of files.</returns>
    static RouteRevision? Revision(string word, RevisionBook book)
    {
        if (book.Find(word) is { } approved) return approved.Revision;
        return Directory.Exists(word) ? null : throw Wrong(word, "neither a revision nor a folder", "one of the revisions, or a folder of files", book);
    }

    static RouteRevision OfFolder(string folder, RouteRevision other) => FindProduct.Route(folder, other.Product.Id);

    static InputException Wrong(string source, string found, string expected, RevisionBook book) =>
        new(new InputError(source, 0, "", found, expected, $"There are: {string.Join(", ", book.All.Select(r => r.Revision.Id))}."));
}
