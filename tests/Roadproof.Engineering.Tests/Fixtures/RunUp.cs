using Roadproof.Engineering.Formats;

namespace Roadproof.Engineering.Tests.Fixtures;

/// <summary>A shaft that runs up evenly, and signals tied to its turns.</summary>
sealed class RunUp(double rateHz, double seconds, double fromRpm, double toRpm)
{
    public double[] TimeS { get; } = [.. Enumerable.Range(0, (int)(rateHz * seconds)).Select(i => i / rateHz)];

    public double RateHz => rateHz;

    public double TurnsAt(double s) => fromRpm / 60 * s + (toRpm - fromRpm) / 60 / (2 * seconds) * s * s;

    public double[] AngleRad => Array.ConvertAll(TimeS, s => 2 * Math.PI * TurnsAt(s));

    /// <summary>Sum of cosines at orders, and noise.</summary>
    public float[] Signal(double noise, params (double Order, double Amplitude)[] lines)
    {
        var random = new Random(17);
        return Array.ConvertAll(TimeS, s => (float)(lines.Sum(l => l.Amplitude * Math.Cos(2 * Math.PI * l.Order * TurnsAt(s) + l.Order)) + noise * Normal(random)));
    }

    public Capture Capture(string channel, float[] samples, params (string Name, float[] Samples)[] others) =>
        new(CaptureHeader.Unknown, [new("run.csv", TimeS, others.Append((channel, samples)).ToDictionary(o => o.Item1, o => o.Item2))]);

    /// <summary>The rotor's angle as an encoder says it.</summary>
    public (string, float[]) Encoder(int steps = 0)
    {
        return (CaptureChannel.MotorAngle, Array.ConvertAll(TimeS, s => (float)(2 * Math.PI * Share(TurnsAt(s)))));

        double Share(double turns) => steps == 0 ? turns - Math.Floor(turns) : Math.Floor((turns - Math.Floor(turns)) * steps) / steps;
    }

    public (string, float[]) Speed() => (CaptureChannel.MotorSpeed, Array.ConvertAll(TimeS, s => (float)(2 * Math.PI * (fromRpm / 60 + (toRpm - fromRpm) / 60 / seconds * s))));

    /// <summary>A sine that swings so often a turn.</summary>
    public (string, float[]) Tacho(int perTurn) => ("tacho", Array.ConvertAll(TimeS, s => (float)(2.5 + 2.5 * Math.Sin(2 * Math.PI * perTurn * TurnsAt(s)))));

    public static double Normal(Random random) => Math.Sqrt(-2 * Math.Log(1 - random.NextDouble())) * Math.Cos(2 * Math.PI * random.NextDouble());
}
