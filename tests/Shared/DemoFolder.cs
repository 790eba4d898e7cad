using System.Text.RegularExpressions;
using Roadproof.Records.Definitions;

namespace Roadproof.Tests.Shared;

/// <summary>The demo plant's first line with everything that it takes bought from outside, open to everybody and without gauges that must be calibrated or rigs that must run references, whole or with single places changed: what most tests need of the demo's definitions, and nothing of its other lines.</summary>
static partial class DemoFolder
{
    /// <summary>The whole plant as it stands in the checkout.</summary>
    public static readonly IReadOnlyList<(string Name, string Text)> Whole = DefinitionFolder.Files(System.IO.Path.Combine(Checkout.Root, "demo"));

    public static readonly IReadOnlyList<(string Name, string Text)> Files = OneLine("line-1", "af-85");

    static readonly Lazy<string> Written = new(() => Write(Files));

    /// <summary>The same as a folder on the disk.</summary>
    public static string Path => Written.Value;

    public static RouteRevision Read(IEnumerable<(string Name, string Text)> files) => Assert.Single(DefinitionFolder.Read(files));

    /// <summary>The files with each edit done once; the text to be replaced must stand there exactly once.</summary>
    public static List<(string Name, string Text)> With(params (string File, string From, string To)[] edits) => Edited(Files, edits);

    public static List<(string Name, string Text)> Edited(IEnumerable<(string Name, string Text)> before, params (string File, string From, string To)[] edits)
    {
        var files = before.ToList();
        foreach (var (file, from, to) in edits)
        {
            var at = files.FindIndex(f => f.Name == file);
            Assert.True(files[at].Text.Split(from).Length == 2, $"'{from}' must stand in {file} exactly once");
            files[at] = (file, files[at].Text.Replace(from, to));
        }

        return files;
    }

    /// <summary>One line of the demo as a plant of its own.</summary>
    public static IReadOnlyList<(string Name, string Text)> OneLine(string line, string product)
    {
        var route = Whole.Single(f => f.Name == $"routes/{product}.yaml").Text;
        return
        [
            .. Whole.Where(f => !f.Name.Contains('/', StringComparison.Ordinal) || f.Name.EndsWith($"/{product}.yaml", StringComparison.Ordinal)).Select(f => f.Name switch
            {
                "plant.yaml" => (f.Name, Only(line, f.Text)),
                "parts.yaml" => (f.Name, Bought(f.Text, route)),
                _ => (f.Name, Unasked().Replace(f.Text.Split("\n# Known units")[0], "")),
            }),
        ];
    }

    // Lines are told apart by an empty line between them.
    static string Only(string line, string plant)
    {
        var parts = plant.Split("\nlines:\n");
        return Unasked().Replace($"{parts[0]}\nlines:\n{parts[1].Split("\n\n").Single(l => l.Contains($"  - id: {line}\n", StringComparison.Ordinal)).TrimEnd()}\n", "");
    }

    // What asks for qualified people or calibrated gauges.
    [GeneratedRegex(@", (?:zone: [a-z-]+|instruments: \[[a-z, -]+\])|    qualification: [a-z-]+\n", RegexOptions.ExplicitCapture, 5000)]
    private static partial Regex Unasked();

    // Parts that the line's route asks for and those that look the same, all of them bought.
    static string Bought(string parts, string route)
    {
        var asked = Marked(route, "part: ").ToHashSet(StringComparer.Ordinal);
        var lines = parts.Split('\n');
        var names = lines.Where(l => Marked(l, "{ id: ").Any(asked.Contains)).SelectMany(l => Marked(l, "name: ")).ToHashSet(StringComparer.Ordinal);
        return string.Join('\n', lines
            .Where(l => !l.Contains("{ id: ", StringComparison.Ordinal) || Marked(l, "{ id: ").Any(asked.Contains) || Marked(l, "name: ").Any(names.Contains))
            .Select(l => Unasked().Replace(l, ""))
            .Select(l => Marked(l, ", product: ").Aggregate(l, (text, product) => text.Replace($", product: {product}", "", StringComparison.Ordinal))));
    }

    static IEnumerable<string> Marked(string text, string mark) => text.Split(mark).Skip(1).Select(t => t.Split(',', '}', '\n')[0].Trim());

    static string Write(IEnumerable<(string Name, string Text)> files)
    {
        var folder = System.IO.Path.Combine(AppContext.BaseDirectory, "one-line-demo");
        if (Directory.Exists(folder)) Directory.Delete(folder, recursive: true);
        foreach (var (name, text) in files)
        {
            var path = System.IO.Path.Combine(folder, name);
            Directory.CreateDirectory(System.IO.Path.GetDirectoryName(path)!);
            File.WriteAllText(path, text);
        }

        return folder;
    }
}
