namespace Roadproof.App.Frame;

/// <summary>What the head of every sheet says: whose plant, which line, what it builds, and the plant clock.</summary>
public sealed record LayoutFacts(string Plant, string Line, string Product, TimeProvider Clock)
{
    /// <summary>Plant time with the plant's own offset.</summary>
    public DateTimeOffset Now => Clock.GetLocalNow();
}
