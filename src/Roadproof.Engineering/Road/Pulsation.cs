namespace Roadproof.Engineering.Road;

/// <summary>How the pull swings over a crank turn: T·(1 + depth·cos 2θ), two pushes a turn.</summary>
/// <remarks>Common practice, no source: 0.75 for a seated rider; a unit's torque follows the push in part, since its reading is smoothed.</remarks>
public sealed record Pulsation
{
    public static readonly Pulsation Default = new();

    /// <summary>Of the rider's torque.</summary>
    public double RiderDepth { get; init; } = 0.75;

    /// <summary>Share of that depth that the motor's torque follows: 0 for an even torque, 1 for every push.</summary>
    public double MotorFollows { get; init; } = 0.4;

    public double MotorDepth => RiderDepth * MotorFollows;

    /// <summary>The square of an effective torque over the square of its mean: 1 + depth²/2.</summary>
    internal double MeanSquareOfMotor => 1 + MotorDepth * MotorDepth / 2;
}
