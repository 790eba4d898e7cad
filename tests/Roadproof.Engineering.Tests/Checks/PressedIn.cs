using Roadproof.Engineering.Checks;
using Roadproof.Engineering.Statistics;

namespace Roadproof.Engineering.Tests.Checks;

/// <summary>Press-ins from equations: free way, entry, a force that grows with the length engaged, a seat, the frame's stiffness, noise and slips.</summary>
sealed record PressedIn
{
    public int Rows { get; init; } = 500;
    public double TouchMm { get; init; } = 2;
    public double SeatMm { get; init; } = 10;
    public double EndMm { get; init; } = 10.1;
    public double EntryN { get; init; } = 150;
    public double NPerMm { get; init; } = 120;
    public double SeatNPerMm { get; init; } = 20_000;
    public double NoiseN { get; init; } = 5;
    public double SlipN { get; init; }
    public ulong Seed { get; init; } = 1;

    public static readonly PressTest Test = new()
    {
        Limits = new Dictionary<string, FeatureWindow>
        {
            [PressVerdict.EntryForce] = new(null, 400, "test"),
            [PressVerdict.PressForce] = new(800, 1400, "test"),
            [PressVerdict.Seat] = new(9.9, 10.1, "test"),
            [PressVerdict.BlockForce] = new(2000, 5000, "test"),
        },
    };

    public PressCurve Curve()
    {
        var noise = new SeededNoise(Seed, "press");
        double[] distance = new double[Rows], force = new double[Rows];
        for (var i = 0; i < Rows; i++)
        {
            var x = EndMm * i / (Rows - 1);
            distance[i] = x / 1e3;
            force[i] = Sound(x) + NoiseN * noise.Normal();
        }

        return new(distance, force);
    }

    double Sound(double x)
    {
        if (x < TouchMm) return 0;
        var engaged = Math.Min(x, SeatMm) - TouchMm;
        var slip = engaged > 2 ? SlipN * (engaged / 0.4 % 1 - 0.5) : 0;
        return EntryN + NPerMm * engaged + slip + SeatNPerMm * Math.Max(0, x - SeatMm);
    }
}
