using Roadproof.Engineering.Quantities;

namespace Roadproof.Engineering.LoadTest;

/// <summary>The programme of a load test: steady load points, then the block of function tests.</summary>
public sealed record LoadCycle
{
    public required string Id { get; init; }

    /// <summary>In the order in which they run, back to back.</summary>
    public required IReadOnlyList<LoadPoint> Points { get; init; }

    /// <summary>Function tests after the last point, in the order in which they run.</summary>
    public required IReadOnlyList<FunctionTest> Functions { get; init; }

    /// <summary>Mean crank torque that the rig's crank drive gives while a load point has torque, N·m, and its pulsation share (about 0.75: common practice, no source); 0 for a unit without a crank.</summary>
    public double CrankTorqueNm { get; init; }
    public double CrankPulsationShare { get; init; }
    public double PointsDurationS => Points.Sum(p => p.HoldS);
    public double DurationS => PointsDurationS + Functions.Sum(f => f.HoldS);
}

/// <summary>One steady piece of a load cycle.</summary>
public sealed record LoadPoint
{
    /// <summary>What speed and torque need to settle after a change of load point, s.</summary>
    public const double SettlingS = 1.5;

    public required string Id { get; init; }

    /// <summary>Drive torque asked for at the output, without the rider's share, N·m.</summary>
    public required double TorqueNm { get; init; }

    /// <summary>Output speed; 0 at rest.</summary>
    public required double OutputRpm { get; init; }
    public required double HoldS { get; init; }

    /// <summary>The window with fast channels, seconds after the point's start and long; 0 long where nothing fast is recorded.</summary>
    public required double WindowFromS { get; init; }
    public required double WindowForS { get; init; }

    /// <summary>How many of the output's turns in a steady piece means are taken over: whole ones, for pedalling pulls twice a turn and averages out; half a one, or all there is, where there are no more.</summary>
    public static double WholeTurns(double turns)
    {
        var halves = Math.Floor(2 * turns + 0.02);
        return halves >= 2 ? Math.Floor(halves / 2) : halves > 0 ? halves / 2 : turns;
    }

    public double SpeedRadPerS => OutputRpm * ReferenceConditions.RadPerSPerRpm;
}

/// <summary>One function test of the block after the load points; times are seconds after the test's own start.</summary>
/// <remarks>Each holds the torque of the continuous rating at its start; what happens then is told by <see cref="Kind"/>.</remarks>
public sealed record FunctionTest
{
    public required FunctionTestKind Kind { get; init; }
    public required double HoldS { get; init; }

    /// <summary>When the event is given (pedalling stops, the brake is pulled, the request rises …), s.</summary>
    public required double EventAtS { get; init; }

    /// <summary>Output speed that the test is held at; null for the rated one.</summary>
    public double? OutputRpm { get; init; }
}

/// <summary>The function tests a rig knows.</summary>
public enum FunctionTestKind
{
    /// <summary>Pedalling stops: the drive torque must be gone in time.</summary>
    StopPedalling,

    /// <summary>The brake switch closes: the drive torque must be gone in time.</summary>
    Brake,

    /// <summary>The wheel speed rises slowly past the assistance limit: the torque must be gone at the limit.</summary>
    CutOff,

    /// <summary>Walk assistance is held, then released.</summary>
    WalkAssist,

    /// <summary>More is asked than the phase and bus limits allow: the current must stay at its limit.</summary>
    CurrentLimit,

    /// <summary>At rest and switched on, nothing asked: the quiescent current.</summary>
    Quiescent,

    /// <summary>At rest with a foot on the pedal: the brake is let go, or the supply returns, and nobody pedals: nothing may start.</summary>
    SelfStart,
}
