using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Road;

namespace Roadproof.App.Road;

/// <summary>Sprockets and hub ratios as people write them: 11-13-15, 0.53-0.75-1, and 0.5..1.9 for a hub without steps.</summary>
static class GearingText
{
    const string Range = "..";

    public static string Sprockets(Gearing gearing) => string.Join('-', gearing.SprocketTeeth);

    public static string Hub(Gearing gearing) => string.Join(gearing.HubWithoutSteps ? Range : "-", gearing.HubRatios.Select(r => r.ToString(CultureInfo.InvariantCulture)));

    /// <param name="errors">Takes what is no such list; its field is left as it was.</param>
    public static Gearing WithSprockets(this Gearing gearing, string text, string source, List<InputError> errors)
    {
        var parts = Parts(text).Select(p => int.TryParse(p, NumberStyles.None, CultureInfo.InvariantCulture, out var teeth) ? teeth : (int?)null).ToList();
        if (parts.Count > 0 && parts.TrueForAll(p => p is not null)) return gearing with { SprocketTeeth = [.. parts.Select(p => p!.Value)] };
        errors.Add(new(source, 0, "sprockets", $"'{text}'", "teeth of sprockets, such as 11-13-15-18-21-24-28-32, or 20"));
        return gearing;
    }

    /// <param name="errors">As above.</param>
    public static Gearing WithHub(this Gearing gearing, string text, string source, List<InputError> errors)
    {
        var withoutSteps = text.Contains(Range, StringComparison.Ordinal);
        var parts = (withoutSteps ? text.Split(Range, StringSplitOptions.TrimEntries) : Parts(text))
            .Select(p => double.TryParse(p, NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture, out var ratio) ? ratio : (double?)null).ToList();
        if (parts.Count > 0 && parts.TrueForAll(p => p is not null)) return gearing with { HubRatios = [.. parts.Select(p => p!.Value)], HubWithoutSteps = withoutSteps };
        errors.Add(new(source, 0, "hub", $"'{text}'", "ratios of the hub, such as 0.73-1-1.36, 0.5..1.9 for a hub without steps, or 1 for none"));
        return gearing;
    }

    static string[] Parts(string text) => text.Split(['-', ' ', ',', ';'], StringSplitOptions.RemoveEmptyEntries | StringSplitOptions.TrimEntries);
}
