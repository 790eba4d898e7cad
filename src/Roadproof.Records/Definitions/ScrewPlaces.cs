namespace Roadproof.Records.Definitions;

/// <summary>Where something stands or how far it reaches, in mm: <c>[x, y]</c>, x to the right and y upwards as one looks at the screws' heads.</summary>
public sealed record PlaceMm
{
    public required IReadOnlyList<double> Mm { get; init; }
}

/// <summary>Where the screws of a group stand: each by itself, on a circle, or around a rectangle.</summary>
public sealed record ScrewPlaces
{
    /// <summary>One place for each screw, by its number.</summary>
    public IReadOnlyList<PlaceMm> At { get; init; } = [];

    /// <summary>Diameter of a circle: screw 1 at the top, the others clockwise at equal angles.</summary>
    public double? CircleMm { get; init; }

    /// <summary>Width and height of a rectangle: screw 1 in the upper left corner, the others clockwise, as many along each side, so that a multiple of four has one in each corner.</summary>
    public PlaceMm? RectangleMm { get; init; }

    /// <summary>Place of each screw in the order of their numbers.</summary>
    public IReadOnlyList<(double X, double Y)> Of(int count) =>
        CircleMm is { } diameter ? [.. Enumerable.Range(0, count).Select(i => (Math.Tau * i / count) switch { var turn => (diameter / 2 * Math.Sin(turn), diameter / 2 * Math.Cos(turn)) })]
        : RectangleMm is { Mm: [var width, var height] } ? [.. Enumerable.Range(0, count).Select(i => Along(width / 2, height / 2, 4.0 * i / count))]
        : [.. At.Select(p => (p.Mm[0], p.Mm[1]))];

    // Clockwise from the upper left corner, one for each side.
    static (double X, double Y) Along(double x, double y, double sides) =>
        (2 * (sides % 1) - 1) switch
        {
            var way => (int)sides switch { 0 => (x * way, y), 1 => (x, -y * way), 2 => (-x * way, -y), _ => (-x, y * way) },
        };
}
