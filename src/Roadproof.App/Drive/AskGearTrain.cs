using Roadproof.App.Road;
using Roadproof.Engineering.CycleDesign;
using Roadproof.Engineering.Formats;
using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Road;
using Roadproof.Records.Definitions;
using Roadproof.Records.Rides;

namespace Roadproof.App.Drive;

/// <summary>The gear train of a product as the page asks for it: changed by a form, computed at once beside the one as drawn and designs around it.</summary>
public static class AskGearTrain
{
    const string Changed = "changed";
    const int DesignsAround = 24;

    /// <summary>Until all that was asked for is worked out, this many rides say what the train as drawn comes to.</summary>
    const int FirstRides = 3;

    /// <summary>What is all but there is waited for; beyond that the first rides stand on the page.</summary>
    static readonly TimeSpan Moment = TimeSpan.FromSeconds(0.7);

    /// <summary>Who rides: light and heavy with little and much help (common practice, no source).</summary>
    static readonly (string Name, Rider Rider)[] Riders =
    [
        ("light rider with little help", Rider.Default with { RiderMassKg = 58, BikeMassKg = 24, AssistanceFactor = 0.8 }),
        ("light rider with much help", Rider.Default with { RiderMassKg = 58, BikeMassKg = 24, AssistanceFactor = 3 }),
        ("heavy rider with little help", Rider.Default with { RiderMassKg = 105, BikeMassKg = 27, AssistanceFactor = 0.8 }),
        ("heavy rider with much help", Rider.Default with { RiderMassKg = 105, BikeMassKg = 27, AssistanceFactor = 3 }),
    ];

    /// <param name="Rides">Which were asked for.</param>
    /// <param name="Errors">Why nothing was computed; else empty.</param>
    /// <param name="First">Of a few rides, without designs around it; null where it is not there yet and where the whole is.</param>
    /// <param name="Study">Of all rides that were asked for; null where nothing can be computed.</param>
    public sealed record View(ProductDefinition Product, IReadOnlyList<(string Id, string Name)> Products, GearForm Form, RideChoice Rides, IReadOnlyList<InputError> Errors, ComputedTrain? First, RoadStudy<ComputedTrain>? Study, IReadOnlyList<string> RiderWords)
    {
        ComputedTrain? Shown => Study?.Answer ?? First;

        public StudyGearTrain.Answer? Answer => Shown?.Answer;

        /// <summary>Empty until all rides are worked out.</summary>
        public IReadOnlyList<TrainPoint> Points => Study?.Answer?.Points ?? [];

        public StudyGearTrain.VariantAnswer? Drawn => Answer?.Variants[0];

        /// <summary>Null while nothing is changed.</summary>
        public StudyGearTrain.VariantAnswer? Variant => Answer?.Variants.FirstOrDefault(v => v.Name == Changed);

        /// <summary>In words: the rides that the figures rest on.</summary>
        public string RidesShown => Rides.Words(Shown is null || Study?.Answer is not null ? Rides.Taken.Count : FirstTaken);

        public int FirstTaken => Math.Min(FirstRides, Rides.Taken.Count);

        /// <summary>The page as it was asked for.</summary>
        public required string Href { get; init; }
    }

    /// <returns>Null where no product of the plant has a life that could be computed.</returns>
    public static async Task<View?> Run(IReadOnlyList<RouteRevision> plant, RideStore kept, RoadStudies studies, string? product, Func<string, string?> asked)
    {
        ArgumentNullException.ThrowIfNull(kept);
        ArgumentNullException.ThrowIfNull(studies);
        var revisions = plant.Where(r => r.Product is { LoadTest: not null, Life: not null }).DistinctBy(r => r.Product.Id).ToList();
        if ((revisions.Find(r => r.Product.Id == product) ?? revisions.FirstOrDefault()) is not { Product: { LoadTest: { } test, Life: { } plan } found } revision) return null;
        var form = GearForm.Read(test.Unit, plan, asked);
        var rides = RideChoice.Read(kept.All, asked);
        var drawn = new GearTrainVariant { Name = GearStudy.BaseName }.Of(test.Unit, plan);
        var (changed, errors) = Made(form, drawn);
        var query = $"{GearForm.QueryOf(found.Id, changed ?? drawn)}{rides.Query}";
        var view = new View(found, [.. revisions.Select(r => (r.Product.Id, r.Product.Name))], form, rides, [.. errors, .. rides.Errors], null, null,
            [.. Riders.Select(r => string.Create(CultureInfo.InvariantCulture, $"{r.Name}: {r.Rider.RiderMassKg:0} kg on {r.Rider.BikeMassKg:0} kg, factor {r.Rider.AssistanceFactor:0.#}"))]) { Href = $"/gear-train?{query}" };
        if (view.Errors.Count > 0) return view;

        var key = $"{revision.Id}?{query}&{(changed is null ? "" : Changed)}";
        Task<RoadStudy<ComputedTrain>> Whole(TimeSpan wait) => studies.Of($"gear-train {key}&{string.Join(',', rides.Taken)}", Math.Max(1, rides.Taken.Count), (done, stop) => Compute(found.Id, drawn, changed, around: true, rides, rides.Taken, kept, done, stop), wait);
        if (await Whole(TimeSpan.Zero) is { AtWork: false, Stopped: false } there) return view with { Study = there };
        var few = RideChoice.Spread(rides.Taken, FirstRides);
        var first = await studies.Of($"gear-train-first {key}&{string.Join(',', few)}", Math.Max(1, few.Count), (done, stop) => Compute(found.Id, drawn, changed, around: false, rides, few, kept, done, stop), isShort: true);
        var whole = await Whole(Moment);
        return view with { First = whole.Answer is null ? first.Answer : null, Study = whole };
    }

    static ComputedTrain Compute(string product, GearTrain drawn, GearTrain? changed, bool around, RideChoice choice, IReadOnlyList<string> taken, RideStore kept, Action done, CancellationToken stop)
    {
        IReadOnlyList<GearTrain> trains = changed is null ? [drawn] : [drawn, changed];
        var swept = around ? Around(trains[^1]) : null;
        var rides = taken.Count == 0 ? new StudiedRides([Example], Riders, drawn.Unit) : new StudiedRides(taken, Riders, drawn.Unit, id => Kept(kept, id));
        var ridden = 0;
        var answer = StudyGearTrain.Run("", product, trains, swept, rides, UnitOnRoadOptions.Default, () => { if (++ridden % Riders.Length == 0) done(); }, RoadStudies.Cores, stop);
        return new(answer, [.. answer.Variants.Zip([.. trains, .. swept?.Possible ?? []], (v, t) => TrainPoint.Of(v, t, answer, product, choice.Query))]);
    }

    static Ride Kept(RideStore kept, string id) => kept.Read(id) is { } ride
        ? ride with { Name = kept.Find(id)?.Name ?? id }
        : throw new InputException(new InputError(id, 0, "", "a ride that was let go of meanwhile", "one that is kept"));

    static string Example => Path.Combine(AppContext.BaseDirectory, "demo", "rides", "hill-and-dale.csv");

    static (GearTrain? Changed, IReadOnlyList<InputError> Errors) Made(GearForm form, GearTrain drawn)
    {
        if (form.Errors.Count > 0) return (null, form.Errors);
        if (!form.IsChanged) return (null, []);
        try
        {
            var train = new GearTrainVariant { Name = Changed, Stages = form.Changes, Transmission = form.Gearbox.Box }.Of(drawn.Unit, drawn.Plan);
            return (train, [.. TrainObjections.Of(train).Select(why => new InputError("gear train", 0, "", why, "a train that can be cut and put together"))]);
        }
        catch (ArgumentOutOfRangeException e)
        {
            return (null, [new("gear train", 0, "", "teeth that cannot be", "teeth with a root and a tip", e.Message.Split('\n')[0].Split(" (Parameter", StringSplitOptions.None)[0])]);
        }
    }

    /// <summary>Designs a step away: teeth, modules and widths around those of a train, at its own total ratio, in front of the same gearbox.</summary>
    static SweptDesigns Around(GearTrain train)
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

        var swept = new TrainSweep { Designs = DesignsAround, Seed = 1, Ranges = ranges }.Of(train.Unit, train.Plan);
        return swept with { Possible = [.. swept.Possible.Select(t => t with { Transmission = train.Transmission })] };
    }
}

/// <summary>A train beside the one as drawn and designs around it, computed.</summary>
public sealed record ComputedTrain(StudyGearTrain.Answer Answer, IReadOnlyList<TrainPoint> Points);
