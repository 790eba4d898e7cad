namespace Roadproof.Records.Definitions;

/// <summary>The route as a unit of one variant goes it, and where two variants part.</summary>
public static class VariantRoute
{
    /// <summary>The revision with the variant's own parts and texts in the steps that ask for them; the revision itself where a unit has no variant.</summary>
    public static RouteRevision For(this RouteRevision revision, ProductVariant? variant)
    {
        if (variant is null) return revision;
        var approved = revision.Approved ?? revision;
        return approved with { Steps = [.. approved.Steps.Select(s => s.AsksVariant() ? Of(s, variant) : s)], Approved = approved };
    }

    /// <param name="id">Null where the order names none.</param>
    public static ProductVariant? VariantOf(this RouteRevision revision, string? id) => id is null ? null : revision.Product.Variants.FirstOrDefault(v => v.Id == id);

    /// <summary>The variant's name, or its id where a later revision has it no more.</summary>
    public static string VariantName(this RouteRevision revision, string id) => revision.VariantOf(id)?.Name ?? id;

    /// <summary>Something of the step depends on the variant.</summary>
    public static bool AsksVariant(this RouteStep step) => step.Parts.Any(p => p.OfVariant) || step.Readings.Any(r => r.OfVariant is not null);

    /// <summary>The step is not the same for two variants: other parts, another firmware, region or label. A variant that the revision does not have is another one.</summary>
    public static bool Differs(this RouteRevision revision, string step, string? one, string? other)
    {
        if (one == other || (revision.Approved ?? revision).StepOf(step) is not { } asked || !asked.AsksVariant()) return false;
        if (revision.VariantOf(one) is not { } a || revision.VariantOf(other) is not { } b) return true;
        return asked.Parts.Any(p => p.OfVariant && a.Takes(p.Part) != b.Takes(p.Part)) || asked.Readings.Any(r => r.OfVariant is { } text && a.TextOf(text) != b.TextOf(text));
    }

    /// <summary>Every part that a step puts into a unit of any variant.</summary>
    /// <param name="step">As it was approved.</param>
    public static IEnumerable<string> PartsOf(this RouteRevision revision, RouteStep step) => step.Parts
        .SelectMany(p => p.OfVariant ? revision.Product.Variants.Select(v => v.Takes(p.Part)).Prepend(p.Part) : [p.Part])
        .Distinct(StringComparer.Ordinal);

    /// <summary>Two parts stand in the same place in two variants.</summary>
    public static bool SamePlace(this RouteRevision revision, string one, string other)
    {
        return Place(one) == Place(other);
        string Place(string part) => revision.Product.Variants.SelectMany(v => v.Parts).FirstOrDefault(p => p.Take == part)?.Part ?? part;
    }

    static RouteStep Of(RouteStep step, ProductVariant variant) => step with
    {
        Parts = [.. step.Parts.Select(p => p.OfVariant ? p with { Part = variant.Takes(p.Part) } : p)],
        Readings = [.. step.Readings.Select(r => r.OfVariant is { } text ? r with { Equal = variant.TextOf(text) } : r)],
    };
}
