using Roadproof.Engineering.Statistics;
namespace Roadproof.Plant.Rigs;

/// <summary>What makes one sound unit sound and react a little differently from the next; drawn once per unit. All sizes are invented.</summary>
public sealed record UnitCharacter
{
    public required double StopDelayS { get; init; }
    public required double BrakeDelayS { get; init; }
    public required double WalkReleaseDelayS { get; init; }

    /// <summary>Road speed at which the assistance has gone, m/s.</summary>
    public required double CutOffMps { get; init; }
    public required double WalkMps { get; init; }
    public required double QuiescentA { get; init; }

    /// <summary>Bend of the crank torque sensor, N·m at a quarter of its range; nothing at zero and at half the range.</summary>
    public required double TorqueSensorBendNm { get; init; }

    /// <summary>Torque ripple at the output as shares of the drive torque: 6th electrical, both meshes, wheel eccentricity.</summary>
    public required double Ripple6Share { get; init; }
    public required double RippleMesh1Share { get; init; }
    public required double RippleMesh2Share { get; init; }
    public required double RippleWheelShare { get; init; }

    /// <summary>Cogging that reaches the output while the clutch is closed, N·m.</summary>
    public required double CoggingNm { get; init; }

    /// <summary>Factors on the drawn amplitudes of the shell's vibration, median 1.</summary>
    public required double RotorFactor { get; init; }
    public required double Mesh1Factor { get; init; }
    public required double Mesh2Factor { get; init; }
    public required double WheelSidebandFactor { get; init; }
    public required double PinionSidebandFactor { get; init; }
    public required double ElectricalFactor { get; init; }
    public required double BroadbandFactor { get; init; }

    /// <summary>How much more or less than the drawing says its grease settles.</summary>
    public required double SettlingFactor { get; init; }

    public static UnitCharacter Draw(ulong unitSeed)
    {
        var n = new SeededNoise(unitSeed, "character");
        double About(double median, double spread) => median * Math.Exp(spread * n.NormalWithinThree());
        double Around(double mean, double spread) => mean + spread * n.NormalWithinThree();
        return new()
        {
            StopDelayS = Around(0.12, 0.005),
            BrakeDelayS = Around(0.06, 0.004),
            WalkReleaseDelayS = Around(0.15, 0.01),
            CutOffMps = Around(25, 0.05) / 3.6,
            WalkMps = Around(5.4, 0.1 / 3) / 3.6,
            QuiescentA = Around(0.038, 0.001),
            TorqueSensorBendNm = Around(0, 0.6),
            Ripple6Share = About(0.0085, 0.12),
            RippleMesh1Share = About(0.004, 0.15),
            RippleMesh2Share = About(0.008, 0.15),
            RippleWheelShare = About(0.003, 0.25),
            CoggingNm = About(0.10, 0.15),
            RotorFactor = About(1, 0.20),
            Mesh1Factor = About(1, 0.15),
            Mesh2Factor = About(1, 0.15),
            WheelSidebandFactor = About(1, 0.30),
            PinionSidebandFactor = About(1, 0.30),
            ElectricalFactor = About(1, 0.15),
            BroadbandFactor = About(1, 0.10),
            SettlingFactor = About(1, 0.10),
        };
    }
}
