namespace Roadproof.Engineering.Drive;

/// <summary>A rolling bearing of a unit, as far as its kinematics go: the inner ring turns with a shaft, the outer one stands in the shell.</summary>
public sealed record Bearing
{
    public required string Name { get; init; }

    /// <summary>The shaft it carries: 0 is the rotor, k what stage k drives, the last the output.</summary>
    public required int Shaft { get; init; }
    public required int Balls { get; init; }
    public required double BallDiameterM { get; init; }

    /// <summary>Diameter of the circle that the balls' centres run on.</summary>
    public required double PitchDiameterM { get; init; }

    /// <summary>Angle between the line of contact and the plane of the balls; 0 for a deep-groove bearing without thrust.</summary>
    public double ContactDeg { get; init; }

    /// <summary>What a defect repeats by, events per turn of the shaft, pure rolling: real balls slip, by a percent or two.</summary>
    /// <remarks>
    /// With q = ball/pitch·cos(contact): cage (1 − q)/2; outer ring, each ball once a cage turn: balls·(1 − q)/2; inner ring: balls·(1 + q)/2; ball about its own axis
    /// pitch/(2·ball)·(1 − q²), and a defect of it strikes both rings, so twice as often. Textbook kinematics.
    /// </remarks>
    public IEnumerable<(string Part, double PerTurn)> DefectsPerTurn()
    {
        var q = BallDiameterM / PitchDiameterM * Math.Cos(ContactDeg * Math.PI / 180);
        var spin = PitchDiameterM / (2 * BallDiameterM) * (1 - q * q);
        yield return ("cage", (1 - q) / 2);
        yield return ("outer ring", Balls * (1 - q) / 2);
        yield return ("inner ring", Balls * (1 + q) / 2);
        yield return ("ball spin", spin);
        yield return ("ball strikes", 2 * spin);
    }
}
