using Roadproof.Records.Definitions;

namespace Roadproof.Tests.Shared;

/// <summary>The definitions of a small plant whose press-in, cover screws and leak are judged from their curves. No line of the demo builds it.</summary>
static class CurveFolder
{
    public const string Route = "routes/case-40.yaml";

    public static readonly string Path = System.IO.Path.Combine(Checkout.Root, "tests", "Shared", "curves");
    public static readonly IReadOnlyList<(string Name, string Text)> Files = DefinitionFolder.Files(Path);

    public static RouteRevision Revision => Assert.Single(DefinitionFolder.Read(Files)) with { Id = "case-40/1", Number = 1 };

    public static List<(string Name, string Text)> With(params (string File, string From, string To)[] edits) => DemoFolder.Edited(Files, edits);
}
