using Roadproof.App.Frame;
using Roadproof.Engineering.CycleDesign;

namespace Roadproof.App.Drive;

/// <summary>A design in the picture of all: how long it lasts, what it weighs, what it loses.</summary>
/// <param name="Kind">drawn, changed or around.</param>
/// <param name="LifeM">Of teeth, bearings and clutch; null where the rides use up none of them.</param>
/// <param name="Href">The page with this train in its form.</param>
public sealed record TrainPoint(string Name, string Kind, string Train, double MassKg, double? LifeM, double Efficiency, bool OnFront, bool Reaches, string Href)
{
    internal static TrainPoint Of(StudyGearTrain.VariantAnswer v, GearTrain train, StudyGearTrain.Answer all, string product, string ridesQuery) => new(
        v.Name, v.Swept ? "around" : v.Name == Roadproof.Records.Definitions.GearStudy.BaseName ? "drawn" : "changed", v.Train, v.MassKg, v.TrainLifeM, v.Efficiency,
        all.Pareto.Contains(v.Name), v.ReachesRatedPoint, $"/gear-train?{GearForm.QueryOf(product, train)}{ridesQuery}");

    /// <summary>In one sentence.</summary>
    public string Said => $"{Name}{(OnFront ? ", on the front" : "")}{(Reaches ? "" : ", does not reach its rated points")}: {Km(LifeM)} km, {Figure.Of(1000 * MassKg, 0)} g, {Figure.Of(100 * Efficiency, 1)} %; {Train}";

    public static string Km(double? m) => m is not { } known ? "no end of" : known < 1e9 ? Figure.Count((long)Rounded(known / 1000)) : "over a million";

    /// <summary>Three digits: what strengths and slopes leave is no more.</summary>
    static double Rounded(double km)
    {
        if (km < 100) return Math.Round(km);
        var place = Math.Pow(10, Math.Floor(Math.Log10(km)) - 2);
        return Math.Round(km / place) * place;
    }
}
