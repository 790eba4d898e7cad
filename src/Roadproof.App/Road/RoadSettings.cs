using System.Text;
using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Road;
using Roadproof.Records.Definitions;

namespace Roadproof.App.Road;

/// <summary>What every figure of the road pages rests on beside the rides: the product and who rides it how. Stands in the page's address, so that a figure can be handed on.</summary>
/// <param name="MeterReadsRider">The recording bike had a motor: a power meter at its crank read the rider alone, and the total is computed from the way.</param>
public sealed record RoadSettings(string Product, Rider Rider, bool MeterReadsRider)
{
    const string Source = "settings";

    /// <summary>Names in the address and in the form, in this order.</summary>
    static readonly (string Name, Func<Rider, double> Of, Func<Rider, double, Rider> With)[] Fields =
    [
        ("riderMassKg", r => r.RiderMassKg, (r, v) => r with { RiderMassKg = v }),
        ("bikeMassKg", r => r.BikeMassKg, (r, v) => r with { BikeMassKg = v }),
        ("cdaM2", r => r.CdaM2, (r, v) => r with { CdaM2 = v }),
        ("crr", r => r.RollingCoefficient, (r, v) => r with { RollingCoefficient = v }),
        ("assist", r => r.AssistanceFactor, (r, v) => r with { AssistanceFactor = v }),
    ];

    public static RoadSettings UsualFor(string product) => new(product, Rider.Default, MeterReadsRider: false);

    /// <summary>Reads an address's query; what it does not name is as usual.</summary>
    /// <param name="products">With a load test, the first is the usual one.</param>
    /// <exception cref="InputException">Everything that cannot be, at once.</exception>
    public static RoadSettings Read(IQueryCollection query, IReadOnlyList<RouteRevision> products)
    {
        ArgumentNullException.ThrowIfNull(query);
        var errors = new List<InputError>();
        var product = Said(query, "product") ?? products[0].Product.Id;
        if (products.All(p => p.Product.Id != product)) errors.Add(new(Source, 0, "product", $"'{product}'", $"a product with a load test: {string.Join(", ", products.Select(p => p.Product.Id))}"));
        var rider = Rider.Default;
        foreach (var (name, _, with) in Fields)
        {
            if (Said(query, name) is not { } text) continue;
            if (double.TryParse(text, NumberStyles.Float, CultureInfo.InvariantCulture, out var value) && double.IsFinite(value)) rider = with(rider, value);
            else errors.Add(new(Source, 0, name, $"'{text}'", "a number such as 0.5", text.Contains(',', StringComparison.Ordinal) ? "Write the decimals behind a point." : null));
        }

        try
        {
            rider.RequirePossible();
        }
        catch (InputException e)
        {
            errors.AddRange(e.Errors.Select(error => error with { Source = Source }));
        }

        return errors.Count == 0 ? new(product, rider, Said(query, "meter") == "rider") : throw new InputException(errors);
    }

    /// <summary>As it stands behind the question mark; what is as usual is left out.</summary>
    public string Query
    {
        get
        {
            var text = new StringBuilder("product=").Append(Uri.EscapeDataString(Product));
            foreach (var (name, of, _) in Fields.Where(f => f.Of(Rider) != f.Of(Rider.Default)))
                text.Append('&').Append(name).Append('=').Append(of(Rider).ToString(CultureInfo.InvariantCulture));
            return text.Append(MeterReadsRider ? "&meter=rider" : "").ToString();
        }
    }

    static string? Said(IQueryCollection query, string name) => query[name].ToString().Trim() is { Length: > 0 } text ? text : null;
}
