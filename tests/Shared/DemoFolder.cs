using Roadproof.Records.Definitions;

namespace Roadproof.Tests.Shared;

/// <summary>The demo plant's definition files, whole or with single places changed.</summary>
static class DemoFolder
{
    public static readonly IReadOnlyList<(string Name, string Text)> Files = DefinitionFolder.Files(Path.Combine(Checkout.Root, "demo"));

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
}
