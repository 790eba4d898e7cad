using Roadproof.App.Frame;
using Roadproof.Engineering.CycleDesign;
using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Road;
using Roadproof.Records.Definitions;

namespace Roadproof.App.Drive;

/// <summary>The gear train of a product as the page asks for it: changed by a form, computed at once beside the one as drawn and designs around it.</summary>
public static class AskGearTrain
{
    const string Changed = "changed";

    /// <summary>More rides would make a person wait; the command takes them all.</summary>
    public const int MostRides = 3;
    const int DesignsAround = 24;

    /// <summary>Who rides: light and heavy with little and much help (common practice, no source).</summary>
    static readonly (string Name, Rider Rider)[] Riders =
    [
        ("light rider with little help", Rider.Default with { RiderMassKg = 58, BikeMassKg = 24, AssistanceFactor = 0.8 }),
        ("light rider with much help", Rider.Default with { RiderMassKg = 58, BikeMassKg = 24, AssistanceFactor = 3 }),
        ("heavy rider with little help", Rider.Default with { RiderMassKg = 105, BikeMassKg = 27, AssistanceFactor = 0.8 }),
        ("heavy rider with much help", Rider.Default with { RiderMassKg = 105, BikeMassKg = 27, AssistanceFactor = 3 }),
    ];

    /// <param name="Rides">In words: which rides were taken.</param>
    /// <param name="Errors">Why nothing was computed; else empty.</param>
    public sealed record View(ProductDefinition Product, IReadOnlyList<(string Id, string Name)> Products, GearForm Form, IReadOnlyList<InputError> Errors, StudyGearTrain.Answer? Answer, IReadOnlyList<TrainPoint> Points, string Rides, IReadOnlyList<string> RiderWords)
    {
        public StudyGearTrain.VariantAnswer? Drawn => Answer?.Variants[0];

        /// <summary>Null while nothing is changed.</summary>
        public StudyGearTrain.VariantAnswer? Variant => Answer?.Variants.FirstOrDefault(v => v.Name == Changed);
    }

    /// <returns>Null where no product of the plant has a life that could be computed.</returns>
    public static async Task<View?> Run(IReadOnlyList<RouteRevision> plant, string dataFolder, ComputedTrains computed, string? product, Func<string, string?> asked, CancellationToken stop)
    {
        var revisions = plant.Where(r => r.Product is { LoadTest: not null, Life: not null }).DistinctBy(r => r.Product.Id).ToList();
        if ((revisions.Find(r => r.Product.Id == product) ?? revisions.FirstOrDefault()) is not { Product: { LoadTest: { } test, Life: { } plan } found } revision) return null;
        var form = GearForm.Read(test.Unit, plan, asked);
        var (files, words) = RidesIn(dataFolder);
        IReadOnlyList<(string, string)> products = [.. revisions.Select(r => (r.Product.Id, r.Product.Name))];
        IReadOnlyList<string> riders = [.. Riders.Select(r => string.Create(CultureInfo.InvariantCulture, $"{r.Name}: {r.Rider.RiderMassKg:0} kg on {r.Rider.BikeMassKg:0} kg, factor {r.Rider.AssistanceFactor:0.#}"))];
        var drawn = new GearTrainVariant { Name = GearStudy.BaseName }.Of(test.Unit, plan);
        var (changed, errors) = Made(form, drawn);
        if (errors.Count > 0) return new(found, products, form, errors, null, [], words, riders);

        try
        {
            var key = string.Join('|', [revision.Id, GearForm.QueryOf(found.Id, changed ?? drawn), changed is null ? "" : Changed, .. files.Select(f => $"{f} {File.GetLastWriteTimeUtc(f).Ticks.ToString(CultureInfo.InvariantCulture)}")]);
            var told = await computed.Of(key, () => Compute(found.Id, drawn, changed, files)).WaitAsync(stop);
            return new(found, products, form, [], told.Answer, told.Points, words, riders);
        }
        catch (InputException e)
        {
            return new(found, products, form, e.Errors, null, [], words, riders);
        }
    }

    static ComputedTrain Compute(string product, GearTrain drawn, GearTrain? changed, IReadOnlyList<string> files)
    {
        IReadOnlyList<GearTrain> trains = changed is null ? [drawn] : [drawn, changed];
        var around = Around(trains[^1]).Of(trains[^1].Unit, trains[^1].Plan);
        var answer = StudyGearTrain.Run("", product, trains, around, new StudiedRides(files, Riders, drawn.Unit), UnitOnRoadOptions.Default, null, CancellationToken.None);
        return new(answer, [.. answer.Variants.Zip([.. trains, .. around.Possible], (v, t) => TrainPoint.Of(v, t, answer, product))]);
    }

    static (GearTrain? Changed, IReadOnlyList<InputError> Errors) Made(GearForm form, GearTrain drawn)
    {
        if (form.Errors.Count > 0) return (null, form.Errors);
        if (form.Changes.Count == 0) return (null, []);
        try
        {
            var train = new GearTrainVariant { Name = Changed, Stages = form.Changes }.Of(drawn.Unit, drawn.Plan);
            return (train, [.. TrainObjections.Of(train).Select(why => new InputError("gear train", 0, "", why, "a train that can be cut and put together"))]);
        }
        catch (ArgumentOutOfRangeException e)
        {
            return (null, [new("gear train", 0, "", "teeth that cannot be", "teeth with a root and a tip", e.Message.Split('\n')[0].Split(" (Parameter", StringSplitOptions.None)[0])]);
        }
    }

    /// <summary>Designs a step away: teeth, modules and widths around those of a train, at its own total ratio.</summary>
    static TrainSweep Around(GearTrain train)
    {
        List<SweptRange> ranges = [];
        foreach (var (gears, s) in train.Unit.Gears.Select((g, s) => (g, s)))
        {
            ranges.Add(new() { Stage = s + 1, What = Swept.FaceWidthM, From = 0.75 * gears.FaceWidthM, To = 1.3 * gears.FaceWidthM });
            ranges.Add(new() { Stage = s + 1, What = Swept.NormalModuleM, From = 0.88 * gears.NormalModuleM, To = 1.18 * gears.NormalModuleM });
            if (gears.PlanetTeeth is not null || train.Unit.Gears.Count == 1) continue;
            ranges.Add(new() { Stage = s + 1, What = Swept.PinionTeeth, From = gears.PinionTeeth - 1, To = gears.PinionTeeth + 1 });
            if (s == 0) ranges.Add(new() { Stage = 1, What = Swept.Ratio, From = 0.85 * gears.Ratio, To = 1.15 * gears.Ratio });
        }

        return new() { Designs = DesignsAround, Seed = 1, Ranges = ranges };
    }

    /// <summary>Rides that the plant keeps, else the example beside the program.</summary>
    static (IReadOnlyList<string> Files, string Words) RidesIn(string dataFolder)
    {
        var folder = Path.Combine(dataFolder, "rides");
        // A kept ride is there when its facts lie beside it.
        var kept = Directory.Exists(folder) ? Directory.EnumerateFiles(folder, "*.csv").Where(f => File.Exists(Path.ChangeExtension(f, ".yaml"))).Order(StringComparer.Ordinal).ToList() : [];
        if (kept.Count == 0) return ([Path.Combine(AppContext.BaseDirectory, "demo", "rides", "hill-and-dale.csv")], "an invented ride over two hills of 200 m; this plant keeps no rides yet");
        if (kept.Count <= MostRides) return (kept, $"{Figure.Of(kept.Count, "ride")} of this plant");
        // Spread over what is kept, so that one rider's week is not all.
        return ([.. Enumerable.Range(0, MostRides).Select(i => kept[i * (kept.Count - 1) / (MostRides - 1)])], $"{Figure.Count(MostRides)} of {Figure.Count(kept.Count)} rides of this plant; drive study takes all");
    }
}
