using Roadproof.Engineering.Drive;

namespace Roadproof.Engineering.Tests.Published;

/// <summary>
/// How large faults are in the readings of the invented mid-drive unit, against the printed table of another implementation (read, run again).
/// Every change to the printed digit: half of the last one.
/// </summary>
public sealed class DriveDefectTests
{
    // no-load ΔW and %, rated phase current %, rated bus power %, rated efficiency points, 85 N·m phase current %, bus power %.
    public static TheoryData<string, Deviation, double[]> Printed => new()
    {
        { "flux −3 %", new() { FluxFactor = 0.97 }, [-0.40, -2.3, 3.0, 0.27, -0.22, 3.2, 1.00] },
        { "one of 14 magnets missing", new() { FluxFactor = 13.0 / 14 }, [-0.93, -5.4, 7.4, 0.70, -0.58, 8.1, 2.58] },
        { "flux −5 %", new() { FluxFactor = 0.95 }, [-0.66, -3.8, 5.1, 0.47, -0.38, 5.5, 1.74] },
        { "one turn too many, 19 for 18", new() { FluxFactor = 19.0 / 18, ResistanceFactor = 19.0 / 18 }, [0.77, 4.5, -5.1, -0.13, 0.11, -5.5, -0.90] },
        { "10 mΩ in every crimp", new() { AddedResistanceOhm = 0.010 }, [0.01, 0.0, 0.0, 0.80, -0.65, 0.0, 2.10] },
        { "rotor angle 5° wrong", new() { RotorOffsetRad = 5 * Math.PI / 180 }, [0.00, 0.0, 0.4, 0.05, -0.04, 0.4, 0.13] },
        { "rotor angle 10° wrong", new() { RotorOffsetRad = -10 * Math.PI / 180 }, [0.00, 0.0, 1.6, 0.20, -0.17, 1.6, 0.53] },
        { "rotor angle 20° wrong", new() { RotorOffsetRad = 20 * Math.PI / 180 }, [0.02, 0.1, 6.5, 0.86, -0.70, 6.9, 2.25] },
        { "bearing over-pressed", new() { AddedMotorDragNm = 0.010 }, [2.89, 16.9, 1.0, 1.07, -0.87, 0.4, 0.46] },
        { "rub", new() { AddedMotorDragNm = 0.030 }, [8.69, 50.7, 3.1, 3.21, -2.56, 1.3, 1.38] },
        { "grease missing", new() { GearDragFactor = 0.6, MeshFactor = 0.985 }, [-1.88, -11.0, 0.8, 0.83, -0.67, 1.3, 1.46] },
        { "grease too stiff", new() { GearDragFactor = 1.8 }, [3.76, 21.9, 1.3, 1.39, -1.13, 0.5, 0.59] },
        { "burr on a gear", new() { MeshFactor = 0.99 }, [0.00, 0.0, 1.0, 1.01, -0.82, 1.1, 1.16] },
    };

    [Theory]
    [MemberData(nameof(Printed))]
    public void A_fault_moves_the_readings_as_printed(string fault, Deviation deviation, double[] printed)
    {
        var (noLoad, rated, full) = Readings(Deviation.None);
        var (noLoadNow, ratedNow, fullNow) = Readings(deviation);
        double[] computed =
        [
            noLoadNow.BusPowerW - noLoad.BusPowerW, Percent(noLoadNow.BusPowerW, noLoad.BusPowerW),
            Percent(ratedNow.PhaseCurrentPeakA, rated.PhaseCurrentPeakA), Percent(ratedNow.BusPowerW, rated.BusPowerW),
            100 * (ratedNow.Efficiency - rated.Efficiency),
            Percent(fullNow.PhaseCurrentPeakA, full.PhaseCurrentPeakA), Percent(fullNow.BusPowerW, full.BusPowerW),
        ];
        double[] halfDigit = [0.005, 0.05, 0.05, 0.005, 0.005, 0.05, 0.005];

        for (var i = 0; i < printed.Length; i++)
            Assert.True(Math.Abs(computed[i] - printed[i]) <= halfDigit[i] * 1.02, $"{fault}, reading {i}: printed {printed[i]}, computed {computed[i]:F4}");
    }

    static (OperatingPoint NoLoad, OperatingPoint Rated, OperatingPoint Full) Readings(Deviation deviation) => (
        DrivePointTests.NoLoad(MidDrive.Unit, 75, deviation),
        DrivePointTests.Hot(MidDrive.Unit, 31.8, 75, deviation),
        DrivePointTests.Hot(MidDrive.Unit, 85, 70, deviation));

    static double Percent(double now, double before) => 100 * (now / before - 1);
}
