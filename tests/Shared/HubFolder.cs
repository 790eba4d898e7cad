using Roadproof.Engineering.LoadTest;

namespace Roadproof.Tests.Shared;

/// <summary>The demo's hub line alone: an invented geared hub motor without a crank, on a rig that turns the shell.</summary>
static class HubFolder
{
    public static readonly IReadOnlyList<(string Name, string Text)> Files = DemoFolder.OneLine("hub-line", "af-40");

    public static readonly LoadTestPlan Plan = DemoFolder.Read(Files).LoadTest;
}
