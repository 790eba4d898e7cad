using Roadproof.App.Frame;
using Roadproof.Engineering.Life;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Definitions;
using Roadproof.Records.Rides;

namespace Roadproof.App.Road;

/// <summary>What the kept rides ask of a product's unit with these settings: the page's view and the door for programs.</summary>
public static class AskRoad
{
    /// <param name="LifeKm">Distance until a tenth of such elements have failed; null without damage.</param>
    public sealed record ElementAnswer(string Id, string Name, string Ending, double? LifeKm, double? LifeLowerKm, double? LifeUpperKm, double Confidence, string Origin);

    /// <param name="Rides">Kept; those without a road and those that failed among them.</param>
    /// <param name="WhPerKm">Of the rides with a road; null without any.</param>
    /// <param name="WorkedOut">Of them; until all are, there are no elements.</param>
    /// <param name="FullStarts">Starts from standing at full torque; null until all rides are worked out, as <paramref name="CutOffs"/>.</param>
    public sealed record Answer(
        string Product, string Revision, int Rides, int WorkedOut, int WithoutRoad, int Failed, double DistanceM, double AscentM, double MovingTimeS, double RiderEnergyJ, double MotorEnergyJ, double BatteryEnergyJ,
        double? WhPerKm, double PeakMotorTorqueNm, double? PeakWindingC, double? FullStarts, double? CutOffs, double? TargetKm, IReadOnlyList<ElementAnswer> Elements, string Method, IReadOnlyList<string> Warnings);

    public const string Method = "Road power of Martin et al. 1998, the unit's own losses and temperatures second by second, linear damage sums; docs/methods/road.md, docs/methods/life.md.";

    public static void Map(IEndpointRouteBuilder app) => app.MapGet("/api/v1/road", async (HttpRequest request, bool? wait, RoadSums sums, RideStore rides, OpenLine line) =>
    {
        var products = Products(line);
        if (products.Count == 0) return Problems.Missing("No product of this plant has a load test.", "What a ride asks of a unit is computed from the drive unit of a load test: see docs/guides/definitions.md.");
        var settings = RoadSettings.Read(request.Query, products);
        var sum = sums.Of(RevisionOf(settings, products), settings);
        if (wait == true) await sum.Settled.WaitAsync(request.HttpContext.RequestAborted);
        return Results.Json(Run(settings, products, sum.State, rides.All), Json.Options);
    }).WithSummary("What the kept rides ask of a product's unit: sums and what breaks first");

    /// <summary>Products whose unit a load test describes: the ones that a ride can be taken over.</summary>
    public static IReadOnlyList<RouteRevision> Products(OpenLine line) => [.. line.Standing.Where(r => r.Product.LoadTest is not null)];

    public static RouteRevision RevisionOf(RoadSettings settings, IReadOnlyList<RouteRevision> products) => products.First(p => p.Product.Id == settings.Product);

    public static Answer Run(RoadSettings settings, IReadOnlyList<RouteRevision> products, RoadState state, IReadOnlyList<RideFacts> rides)
    {
        var revision = RevisionOf(settings, products);
        var told = state.Figures.Values.Where(f => f.Failed is null).ToList();
        var (roadless, failed) = (told.Count(f => !f.HasRoad), state.Figures.Count - told.Count);
        var warnings = new List<string> { "A computed life is an estimate with its assumptions beside it, never a permission." };
        if (roadless > 0) warnings.Add($"{Figure.Of(roadless, "ride")} without a road: the work counts, spectrum and life leave {(roadless == 1 ? "it" : "them")} out.");
        if (failed > 0) warnings.Add($"{Figure.Of(failed, "ride")} told no load with these settings; the list says why.");
        if (state.Broken is { } broken) warnings.Add(broken);
        return new(
            settings.Product, revision.Id, state.Total, state.Done, roadless, failed, told.Sum(f => f.DistanceM), rides.Where(r => state.Figures.ContainsKey(r.Id)).Sum(r => r.AscentM ?? 0), told.Where(f => f.HasRoad).Sum(f => f.MovingS),
            told.Sum(f => f.RiderEnergyJ), told.Sum(f => f.MotorEnergyJ), told.Sum(f => f.BatteryEnergyJ),
            told.Sum(f => f.DistanceM) is > 0 and var wayM ? told.Where(f => f.HasRoad).Sum(f => f.BatteryEnergyJ) / 3.6 / wayM : null, told.Select(f => f.PeakMotorNm).DefaultIfEmpty(0).Max(), told.Count == 0 ? null : told.Max(f => f.PeakWindingC), state.Spectrum?.FullStarts, state.Spectrum?.CutOffs,
            revision.Product.Life?.TargetKm, [.. (state.Elements ?? []).Select(Of)], Method, warnings);
    }

    static ElementAnswer Of(ElementLife e) => new(
        e.Id, e.Name, ElementWords.Ends(e.Ending), Km(e.LifeM), Km(e.LifeIntervalM.Lower), Km(e.LifeIntervalM.Upper), e.LifeIntervalM.Confidence, e.Origin);

    static double? Km(double m) => double.IsFinite(m) ? m / 1000 : null;
}

/// <summary>How an element of a unit ends, and what its life says beside the distance that is aimed at.</summary>
public static class ElementWords
{
    public static string Ends(Ending ending) => ending switch
    {
        Ending.ToothRoot => "a tooth breaks",
        Ending.ToothFlank => "a flank pits",
        Ending.ToothWear => "flanks are worn",
        Ending.Bearing => "a bearing pits",
        Ending.Ageing => "it has aged",
        Ending.Bending => "it cracks",
        Ending.Clutch => "the clutch slips",
        _ => throw new ArgumentOutOfRangeException(nameof(ending), ending, "An ending without a word."),
    };

    /// <summary>Beyond, short, or cannot tell: by the whole interval, which may hold the target.</summary>
    public static StateWord? Beside(Interval lifeM, double? targetKm) => targetKm is not { } km ? null
        : lifeM.Lower >= 1000 * km ? new("pass", "beyond it")
        : lifeM.Upper < 1000 * km ? new("fail", "short of it")
        : new("undecided", "cannot tell");

    public static string Km(Interval lifeM)
    {
        var (lower, upper) = (Km(lifeM.Lower), Km(lifeM.Upper));
        return lower == upper ? lower : $"{lower.Replace(" km", "", StringComparison.Ordinal)} to {upper}";
    }

    /// <summary>Two digits: no life is known closer.</summary>
    public static string Km(double m)
    {
        if (!double.IsFinite(m) || m >= 1e10) return "> 10 million km";
        var km = m / 1000;
        if (km < 1) return "< 1 km";
        var step = Math.Pow(10, Math.Max(0, Math.Floor(Math.Log10(km)) - 1));
        return $"{Figure.Count((long)(Math.Round(km / step) * step))} km";
    }
}
