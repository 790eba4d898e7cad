namespace Roadproof.Engineering.Signals;

/// <summary>A shaft's angle over rows of samples, unwrapped: radians that only rise.</summary>
public sealed class AngleTrack
{
    readonly double[] timeS;

    AngleTrack(double[] timeS, double[] angleRad) => (this.timeS, AngleRad) = (timeS, angleRad);

    /// <summary>Shape [n].</summary>
    public double[] AngleRad { get; }

    /// <summary>Time of the first row; before it and after the last one the angle is a guess.</summary>
    public double FromS => timeS[0];
    public double ToS => timeS[^1];
    public double Turns => (AngleRad[^1] - AngleRad[0]) / (2 * Math.PI);

    /// <summary>Mean speed between the first and the last row, rad/s.</summary>
    public double SpeedRadPerS => (AngleRad[^1] - AngleRad[0]) / (timeS[^1] - timeS[0]);

    /// <summary>From an angle that wraps at a whole turn.</summary>
    /// <param name="wrappedRad">Shape [n]; at least two samples a turn are needed, else turns are lost.</param>
    public static AngleTrack FromWrapped(ReadOnlySpan<double> timeS, ReadOnlySpan<float> wrappedRad)
    {
        var angle = new double[wrappedRad.Length];
        var turns = 0;
        for (var i = 0; i < angle.Length; i++)
        {
            if (i > 0)
            {
                var step = wrappedRad[i] - wrappedRad[i - 1];
                if (step < -Math.PI) turns++;
                else if (step > Math.PI) turns--;
            }

            angle[i] = wrappedRad[i] + turns * 2 * Math.PI;
        }

        return new(timeS.ToArray(), angle);
    }

    /// <summary>From a speed: the angle by the trapezium rule, 0 in the first row.</summary>
    public static AngleTrack FromSpeed(ReadOnlySpan<double> timeS, ReadOnlySpan<float> speedRadPerS)
    {
        var angle = new double[speedRadPerS.Length];
        for (var i = 1; i < angle.Length; i++) angle[i] = angle[i - 1] + (timeS[i] - timeS[i - 1]) * ((double)speedRadPerS[i] + speedRadPerS[i - 1]) / 2;
        return new(timeS.ToArray(), angle);
    }

    /// <summary>From a tacho's pulses: a smooth curve of time over angle through them, in rows of at most a sixty-fourth of a turn; angle 0 at the first pulse.</summary>
    /// <remarks>Between pulses the speed is what a natural spline makes of it: one pulse a turn knows nothing of what happens within a turn.</remarks>
    public static AngleTrack FromPulses(PulseTrain pulses, int pulsesPerTurn)
    {
        var spline = NaturalSpline.Through(pulses.Number, pulses.TimeS);
        var perPulse = Math.Max(4, (64 + pulsesPerTurn - 1) / pulsesPerTurn);
        var rowS = new double[(int)pulses.Number[^1] * perPulse + 1];
        spline.Read(0, 1.0 / perPulse, rowS);
        var angleRad = new double[rowS.Length];
        for (var i = 0; i < angleRad.Length; i++) angleRad[i] = 2 * Math.PI * i / perPulse / pulsesPerTurn;
        return new(rowS, angleRad);
    }

    /// <summary>The same shaft with its angle counted by another one that turns <paramref name="turns"/> times as fast.</summary>
    public AngleTrack OfShaft(double turns) => new(timeS, Array.ConvertAll(AngleRad, a => a * turns));

    /// <summary>The angle at other times within the track, on straight lines between rows; outside it runs on at the nearest speed.</summary>
    /// <param name="otherS">Rising, shape [m].</param>
    public double[] At(ReadOnlySpan<double> otherS)
    {
        var angle = new double[otherS.Length];
        var row = 0;
        for (var i = 0; i < otherS.Length; i++)
        {
            while (row < timeS.Length - 2 && timeS[row + 1] <= otherS[i]) row++;
            var share = (otherS[i] - timeS[row]) / (timeS[row + 1] - timeS[row]);
            angle[i] = AngleRad[row] + share * (AngleRad[row + 1] - AngleRad[row]);
        }

        return angle;
    }
}
