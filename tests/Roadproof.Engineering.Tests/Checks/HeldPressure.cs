using Roadproof.Engineering.Checks;
using Roadproof.Engineering.Statistics;

namespace Roadproof.Engineering.Tests.Checks;

/// <summary>Pressure holds from equations: gas lost through a leak, a wall that cools, heat of filling that dies away, noise.</summary>
sealed record HeldPressure
{
    public double Cm3PerMin { get; init; }

    /// <summary>Change of the wall's temperature, K/s.</summary>
    public double WallKPerS { get; init; }

    /// <summary>Gas above the wall at the start, K, gone with this time constant, s.</summary>
    public double FillK { get; init; }
    public double FillS { get; init; } = 4;
    public double NoisePa { get; init; } = 2;
    public double WallNoiseK { get; init; } = 0.02;
    public double ForS { get; init; } = 30;
    public double VolumeM3 { get; init; } = 6e-4;
    public double StartPa { get; init; } = 121_325;
    public bool Thermometer { get; init; } = true;
    public ulong Seed { get; init; } = 1;

    public static readonly LeakTest Test = new() { VolumeM3 = 6e-4, TestPressurePa = 20_000, Limit = new(null, 5, "test") };

    public LeakCurve Curve()
    {
        var noise = new SeededNoise(Seed, "leak");
        var n = (int)(10 * ForS) + 1;
        double[] time = new double[n], pressure = new double[n], part = new double[n], room = new double[n];
        var start = Wall(0) + FillK;
        for (var i = 0; i < n; i++)
        {
            var t = time[i] = 0.1 * i;
            // p·V = n·R·T, the gas lost counted as volume at 101 325 Pa and 20 °C.
            var lost = Cm3PerMin / 60e6 * t * 101_325 / 293.15;
            var gas = Wall(t) + FillK * Math.Exp(-t / FillS);
            pressure[i] = (StartPa * VolumeM3 / start - lost) * gas / VolumeM3 + NoisePa * noise.Normal();
            part[i] = Wall(t) - 273.15 + WallNoiseK * noise.Normal();
            room[i] = 22;
        }

        return new(time, pressure, Thermometer ? part : null, room);
    }

    double Wall(double t) => 295.15 + WallKPerS * t;
}
