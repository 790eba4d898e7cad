namespace Roadproof.Records.ReadModel;

/// <summary>A production order and how far it is.</summary>
/// <param name="Line">Id of the line that builds it.</param>
/// <param name="State">open, running, interrupted (another one runs in its place), finished, ended (short).</param>
/// <param name="Good">Units that are through their route and free.</param>
/// <param name="UnderWay">Units that have started and are neither good nor scrapped.</param>
public sealed record OrderLine(
    string Order, string Product, string ProductName, string? Line, string? Variant, string? VariantName, int Quantity, string? Customer, DateTimeOffset? Due, string State,
    int Good, int Scrapped, int UnderWay, DateTimeOffset OpenedAt, DateTimeOffset? StartedAt, DateTimeOffset? EndedAt, string? Reason)
{
    /// <summary>Units that have still to start.</summary>
    public int ToStart => Math.Max(0, Quantity - Good - UnderWay);

    /// <summary>The order as a person would say it.</summary>
    public string Said => VariantName is null ? Order : $"{Order} ({VariantName})";
}

/// <summary>Every order, those that run first, and how the lines stand.</summary>
public sealed record OrderListView(IReadOnlyList<LineOrders> Lines, IReadOnlyList<OrderLine> Orders);

/// <summary>What runs on a line, and the stations that a changeover touches.</summary>
/// <param name="HasVariants">A unit starts only while an order runs.</param>
public sealed record LineOrders(string Line, string LineName, string Product, string ProductName, bool HasVariants, OrderLine? Running, IReadOnlyList<ChangeoverStation> Changeover);

/// <summary>A station whose step is another one for the running order than for the one before.</summary>
/// <param name="State">to-clear, cleared.</param>
/// <param name="SetUpFor">The order that it is set up for; null for none yet.</param>
/// <param name="Person">Who cleared it last; null where nobody has.</param>
/// <param name="LotsLeft">Lots there that the running order does not take.</param>
public sealed record ChangeoverStation(string Station, int Number, string Name, string State, string? SetUpFor, string? Person, DateTimeOffset Since, int LotsLeft);
