using Roadproof.Engineering.LoadTest;
using Roadproof.Records.Definitions;

namespace Roadproof.Tests.Shared;

/// <summary>The definitions of a plant that builds an invented geared hub motor: no crank, a rig that turns the shell. No line of the demo builds it.</summary>
static class HubFolder
{
    public static readonly string Path = System.IO.Path.Combine(Checkout.Root, "tests", "Shared", "hub");
    public static readonly IReadOnlyList<(string Name, string Text)> Files = DefinitionFolder.Files(Path);
    public static readonly LoadTestPlan Plan = Assert.Single(DefinitionFolder.Read(Files)).LoadTest;
}
