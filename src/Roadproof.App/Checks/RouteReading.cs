using Roadproof.App.Definitions;
using Roadproof.Engineering.Checks;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Definitions;

namespace Roadproof.App.Checks;

/// <summary>Limits of a reading in the product's route, for the feature that is the same thing.</summary>
static class RouteReading
{
    /// <returns>Null where the route has no limits for it.</returns>
    /// <exception cref="InputException">The route has it in another unit.</exception>
    public static FeatureWindow? Window(string folder, string product, string reading, string unit)
    {
        var found = Find(folder, product, r => r.Id == reading);
        if (found is null || (found.Lower ?? found.Upper) is null) return null;
        if (found.Unit != unit) throw new InputException(new InputError(folder, 0, reading, $"unit '{found.Unit}'", $"'{unit}', as the check reads it"));
        return new(found.Lower, found.Upper, found.Origin, found.Guard);
    }

    /// <summary>The first reading of the product's route that is such; null where there is none.</summary>
    public static StepReading? Find(string folder, string product, Func<StepReading, bool> such) => FindProduct.Route(folder, product).Steps.SelectMany(s => s.Readings).FirstOrDefault(such);

    /// <exception cref="InputException">The route has no such reading.</exception>
    public static FeatureWindow Needed(string folder, string product, string reading, string unit) => Window(folder, product, reading, unit)
        ?? throw new InputException(new InputError("--reading", 0, "", $"'{reading}'", $"a reading with limits in the route of {product}"));
}
