using Roadproof.App.Line;

namespace Roadproof.Browser.Tests;

/// <summary>The demo's whole plant after six drive units, three hub motors and what the cells built for them; and its folder as it was when the first drive unit had passed its load test and not left yet. Built once for all tests that look at it.</summary>
public sealed class WholePlant : IAsyncLifetime
{
    KeptFolder? passed;

    public ServedDemo Demo { get; private set; } = null!;

    public async ValueTask InitializeAsync()
    {
        Demo = await ServedDemo.Start(new() { Seed = 4, Units = 6 }, DemoFolder.Whole);
        passed = await Demo.BuildAndKeep(when: line => AskLine.Units("passed", null, 0, 1, line, "af-85").Units.Count > 0);
    }

    /// <summary>A plant of its own with a drive unit that has passed its load test and not left yet.</summary>
    public Task<ServedDemo> WithPassedUnit() => ServedDemo.Open(passed ?? throw new InvalidOperationException("No drive unit of the demo stood passed."));

    public string Shipped(string product) => AskLine.Units("shipped", null, 0, 1, Demo.Line, product).Units[0].Unit;

    public async ValueTask DisposeAsync()
    {
        await Demo.DisposeAsync();
        passed?.Dispose();
    }
}

/// <summary>The classes that look at it, one after another.</summary>
[CollectionDefinition("whole plant")]
public sealed class LooksAtWholePlant : ICollectionFixture<WholePlant>;
