using Roadproof.Engineering.Statistics;

namespace Roadproof.Plant.Riders;

/// <summary>What a ride leads over.</summary>
public enum Terrain
{
    City,
    Hills,
    Mountain,
}

/// <summary>A road that nobody built: a smooth height and a smooth direction along its way, from a seed.</summary>
/// <remarks>Sums of sines, so that slope and height are of one piece. Its places lie around the spot of the ocean that is farthest from any land.</remarks>
sealed class InventedRoad
{
    const double OceanLatitudeDeg = -48.88;
    const double OceanLongitudeDeg = -123.39;
    const double MetresPerDegree = 111_200;

    readonly (double HeightM, double LengthM, double Phase)[] waves;
    readonly (double TurnRad, double LengthM, double Phase)[] bends;
    readonly double headingRad, startLatitudeDeg, startLongitudeDeg, startM, passM, passLengthM;

    public InventedRoad(Terrain terrain, SeededNoise noise)
    {
        ReadOnlySpan<(double HeightM, double LengthM)> shape = terrain switch
        {
            Terrain.City => [(3.5, 2900), (1.6, 830), (0.5, 260)],
            Terrain.Hills => [(26, 3600), (9, 1250), (2.5, 420)],
            _ => [(6, 1900), (1.5, 640)],
        };
        waves = new (double, double, double)[shape.Length];
        for (var i = 0; i < shape.Length; i++) waves[i] = (shape[i].HeightM * Within(0.75, 1.25), shape[i].LengthM * Within(0.85, 1.15), Within(0, 2 * Math.PI));
        bends = [.. new[] { 6100.0, 1900, 530, 170 }.Select(lengthM => (Within(0.2, 0.7), lengthM * Within(0.8, 1.2), Within(0, 2 * Math.PI)))];
        (headingRad, startM) = (Within(0, 2 * Math.PI), Within(150, 320));
        (startLatitudeDeg, startLongitudeDeg) = (OceanLatitudeDeg + Within(-0.5, 0.5), OceanLongitudeDeg + Within(-0.5, 0.5));
        // A pass: up, over and down again.
        (passM, passLengthM) = terrain == Terrain.Mountain ? (Within(330, 460), Within(13_000, 16_000)) : (0, 1);

        double Within(double from, double to) => from + (to - from) * noise.Share();
    }

    public double HeightM(double alongM) => startM + passM * (1 - Math.Cos(2 * Math.PI * alongM / passLengthM)) / 2 + waves.Sum(w => w.HeightM * Math.Sin(2 * Math.PI * alongM / w.LengthM + w.Phase));

    /// <summary>Rise over run.</summary>
    public double Gradient(double alongM) =>
        passM * Math.PI / passLengthM * Math.Sin(2 * Math.PI * alongM / passLengthM) + waves.Sum(w => 2 * Math.PI * w.HeightM / w.LengthM * Math.Cos(2 * Math.PI * alongM / w.LengthM + w.Phase));

    /// <summary>Clockwise from north.</summary>
    public double HeadingRad(double alongM) => headingRad + bends.Sum(b => b.TurnRad * Math.Sin(2 * Math.PI * alongM / b.LengthM + b.Phase));

    /// <summary>Degrees of a place so many metres east and north of the start.</summary>
    public (double LatitudeDeg, double LongitudeDeg) Place(double eastM, double northM) =>
        (startLatitudeDeg + northM / MetresPerDegree, startLongitudeDeg + eastM / (MetresPerDegree * Math.Cos(startLatitudeDeg * Math.PI / 180)));
}
