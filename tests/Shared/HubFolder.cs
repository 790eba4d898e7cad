using Roadproof.Engineering.LoadTest;
using Roadproof.Records.Definitions;

namespace Roadproof.Tests.Shared;

/// <summary>The definitions of a plant that builds an invented geared hub motor: no crank, a rig that turns the shell. No line of the demo builds it.</summary>
static class HubFolder
{
    public static readonly string Path = System.IO.Path.Combine(Checkout.Root, "tests", "Shared", "hub");
    public static readonly IReadOnlyList<(string Name, string Text)> Files = DefinitionFolder.Files(Path);

    /// <summary>The demo's definitions with the hub line as a second one.</summary>
    public static IReadOnlyList<(string Name, string Text)> BesideTheDemo =>
    [
        .. DemoFolder.Files.Select(f => f.Name switch
        {
            "plant.yaml" => (f.Name, f.Text.TrimEnd() + "\n" + After("plant.yaml", "lines:\n")),
            "parts.yaml" => (f.Name, f.Text.TrimEnd() + "\n" + string.Concat(After("parts.yaml", "parts:\n").Split('\n')
                .Where(line => line.Length > 0 && !f.Text.Contains(line.Split(',')[0] + ",", StringComparison.Ordinal)).Select(line => line + "\n"))),
            _ => f,
        }),
        .. Files.Where(f => f.Name.Contains('/', StringComparison.Ordinal)),
    ];

    static string After(string file, string line) => Files.Single(f => f.Name == file).Text.Split(line, 2)[1];

    public static readonly LoadTestPlan Plan = Assert.Single(DefinitionFolder.Read(Files)).LoadTest;
}
