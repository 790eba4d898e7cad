using System.Text;
using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Road;
using Roadproof.Records.Definitions;

namespace Roadproof.App.Road;

/// <summary>What every figure of the road pages rests on beside the rides: the product, who rides it how, and the day. Stands in the page's address, so that a figure can be handed on.</summary>
/// <param name="Day">Battery, pushes, air and wind; kept rides have no positions, so that the wind is one along the way.</param>
/// <param name="MeterReadsRider">The recording bike had a motor: a power meter at its crank read the rider alone, and the total is computed from the way.</param>
public sealed record RoadSettings(string Product, Rider Rider, UnitOnRoadOptions Day, bool MeterReadsRider)
{
    const string Source = "settings";

    /// <summary>Names in the address and in the form, in this order.</summary>
    static readonly (string Name, Func<RoadSettings, double?> Of, Func<RoadSettings, double, RoadSettings> With)[] Numbers =
    [
        ("riderMassKg", s => s.Rider.RiderMassKg, (s, v) => s with { Rider = s.Rider with { RiderMassKg = v } }),
        ("bikeMassKg", s => s.Rider.BikeMassKg, (s, v) => s with { Rider = s.Rider with { BikeMassKg = v } }),
        ("cdaM2", s => s.Rider.CdaM2, (s, v) => s with { Rider = s.Rider with { CdaM2 = v } }),
        ("crr", s => s.Rider.RollingCoefficient, (s, v) => s with { Rider = s.Rider with { RollingCoefficient = v } }),
        ("assist", s => s.Rider.AssistanceFactor, (s, v) => s with { Rider = s.Rider with { AssistanceFactor = v } }),
        ("cadenceRpm", s => Math.Round(s.Rider.PreferredCadenceRadPerS / ReferenceConditions.RadPerSPerRpm, 6), (s, v) => s with { Rider = s.Rider with { PreferredCadenceRadPerS = v * ReferenceConditions.RadPerSPerRpm } }),
        ("chainring", s => s.Rider.Gearing.ChainringTeeth, (s, v) => s with { Rider = s.Rider with { Gearing = s.Rider.Gearing with { ChainringTeeth = v is >= 1 and <= 1000 && v == Math.Floor(v) ? (int)v : 0 } } }),
        ("batteryWh", s => s.Day.Battery.EnergyWh, (s, v) => s with { Day = s.Day with { Battery = s.Day.Battery with { EnergyWh = v } } }),
        ("motorFollows", s => s.Day.Pulsation.MotorFollows, (s, v) => s with { Day = s.Day with { Pulsation = s.Day.Pulsation with { MotorFollows = v } } }),
        ("headwindMps", s => s.Day.Wind.HeadwindMps, (s, v) => s with { Day = s.Day with { Wind = s.Day.Wind with { HeadwindMps = v } } }),
        ("ambientC", s => s.Day.AmbientC, (s, v) => s with { Day = s.Day with { AmbientC = v } }),
    ];

    static readonly (string Name, Func<Gearing, string> Of, Func<Gearing, string, List<InputError>, Gearing> With)[] Gears =
    [
        ("sprockets", GearingText.Sprockets, (g, text, errors) => g.WithSprockets(text, Source, errors)),
        ("hub", GearingText.Hub, (g, text, errors) => g.WithHub(text, Source, errors)),
    ];

    public static RoadSettings UsualFor(string product) => new(product, Rider.Default, UnitOnRoadOptions.Default, MeterReadsRider: false);

    /// <summary>True where something differs that the form keeps folded away.</summary>
    public bool HasFoldedChanges => (UsualFor(Product) with { Rider = Rider.Default with { PreferredCadenceRadPerS = Rider.PreferredCadenceRadPerS, Gearing = Rider.Gearing }, Day = Day }).Query != UsualFor(Product).Query;

    /// <summary>Reads an address's query; what it does not name is as usual.</summary>
    /// <param name="products">With a load test, the first is the usual one.</param>
    /// <exception cref="InputException">Everything that cannot be, at once.</exception>
    public static RoadSettings Read(IQueryCollection query, IReadOnlyList<RouteRevision> products)
    {
        ArgumentNullException.ThrowIfNull(query);
        var errors = new List<InputError>();
        var product = Said(query, "product") ?? products[0].Product.Id;
        if (products.All(p => p.Product.Id != product)) errors.Add(new(Source, 0, "product", $"'{product}'", $"a product with a load test: {string.Join(", ", products.Select(p => p.Product.Id))}"));
        var settings = UsualFor(product) with { MeterReadsRider = Said(query, "meter") == "rider" };
        foreach (var (name, _, with) in Numbers)
        {
            if (Said(query, name) is not { } text) continue;
            if (double.TryParse(text, NumberStyles.Float, CultureInfo.InvariantCulture, out var value) && double.IsFinite(value)) settings = with(settings, value);
            else errors.Add(new(Source, 0, name, $"'{text}'", "a number such as 0.5", text.Contains(',', StringComparison.Ordinal) ? "Write the decimals behind a point." : null));
        }

        foreach (var (name, _, with) in Gears)
            if (Said(query, name) is { } text) settings = settings with { Rider = settings.Rider with { Gearing = with(settings.Rider.Gearing, text, errors) } };

        foreach (var require in new Action[] { settings.Rider.RequirePossible, () => settings.Day.Possible() })
        {
            try
            {
                require();
            }
            catch (InputException e)
            {
                errors.AddRange(e.Errors.Select(error => error with { Source = Source }));
            }
        }

        return errors.Count == 0 ? settings : throw new InputException(errors);
    }

    /// <summary>As it stands behind the question mark; what is as usual is left out.</summary>
    public string Query
    {
        get
        {
            var (text, usual) = (new StringBuilder("product=").Append(Uri.EscapeDataString(Product)), UsualFor(Product));
            foreach (var (name, of, _) in Numbers)
                if (of(this) is { } value && value != of(usual)) text.Append('&').Append(name).Append('=').Append(value.ToString(CultureInfo.InvariantCulture));
            foreach (var (name, of, _) in Gears)
                if (of(Rider.Gearing) is var written && written != of(Gearing.Usual)) text.Append('&').Append(name).Append('=').Append(Uri.EscapeDataString(written));
            return text.Append(MeterReadsRider ? "&meter=rider" : "").ToString();
        }
    }

    static string? Said(IQueryCollection query, string name) => query[name].ToString().Trim() is { Length: > 0 } text ? text : null;
}
