namespace Roadproof.Records.Definitions;

/// <summary>A product as one market or customer gets it: what differs from its other variants. Which one a unit is says its order.</summary>
public sealed record ProductVariant
{
    public required string Id { get; init; }
    public required string Name { get; init; }

    /// <summary>The region parameter set, such as <c>EU-25</c>: cut-off speed and wheel size are in it, and a wrong one is a legal defect.</summary>
    public string? Region { get; init; }

    /// <summary>Hash of the application that is loaded.</summary>
    public string? Firmware { get; init; }

    /// <summary>Hash of the parameters that are loaded.</summary>
    public string? Parameters { get; init; }

    /// <summary>What the label says, as it is read back.</summary>
    public string? Label { get; init; }

    /// <summary>Parts that it takes instead of the route's own.</summary>
    public IReadOnlyList<VariantPart> Parts { get; init; } = [];

    public string? TextOf(VariantText text) => text switch
    {
        VariantText.Region => Region,
        VariantText.Firmware => Firmware,
        VariantText.Parameters => Parameters,
        _ => Label,
    };

    /// <summary>The part that it takes where the route names one.</summary>
    public string Takes(string part) => Parts.FirstOrDefault(p => p.Part == part)?.Take ?? part;
}

/// <summary>A part that a variant takes instead of another.</summary>
public sealed record VariantPart
{
    /// <summary>The part as the route names it.</summary>
    public required string Part { get; init; }
    public required string Take { get; init; }
}

/// <summary>A text of a variant that a reading must be equal to.</summary>
public enum VariantText
{
    Region,
    Firmware,
    Parameters,
    Label,
}
