using Roadproof.Records.Definitions;

namespace Roadproof.App.Frame;

/// <summary>The screws that the drawing of a unit shows: as many as the route tightens at that step.</summary>
public sealed record DrawnScrews(int Carrier, int Cover)
{
    public static DrawnScrews Of(RouteRevision route) => new(At(route, DrawingUnit.Layer.Screws), At(route, DrawingUnit.Layer.Cover));

    static int At(RouteRevision route, DrawingUnit.Layer layer) => route.Steps.Where(s => StepPicture.LayerOf(s.Id) == layer).SelectMany(s => s.Screws).Sum(g => g.Count);
}
