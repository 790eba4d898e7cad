namespace Roadproof.Engineering.Signals;

/// <summary>A shaft's angle over rows of samples, unwrapped: radians that only rise.</summary>
public sealed class AngleTrack
{
    readonly double[] timeS;

    AngleTrack(double[] timeS, double[] angleRad) => (this.timeS, AngleRad) = (timeS, angleRad);

    /// <summary>Shape [n].</summary>
    public double[] AngleRad { get; }
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
