namespace Roadproof.App.Frame;

/// <summary>What the head of every sheet says: whose plant, which line and product where there is only one, and the plant clock.</summary>
public sealed record LayoutFacts(string Plant, string? OnlyLine, TimeProvider Clock)
{
    /// <summary>Plant time with the plant's own offset.</summary>
    public DateTimeOffset Now => Clock.GetLocalNow();
}
