namespace Roadproof.Engineering.Signals;

/// <summary>Places where an angle that should run on evenly has jumped: an encoder that slipped, or samples that are missing.</summary>
public static class AngleJumps
{
    /// <summary>Samples on either side that are compared with the steady run.</summary>
    public const int Around = 8;

    /// <summary>Smaller jumps drown in an encoder's own steps.</summary>
    const double LeastRad = 0.03;

    /// <param name="angleRad">Unwrapped, at even times, nearly steady speed, shape [n ≥ 16].</param>
    /// <returns>The first sample after each jump and how far it jumped beyond its usual step, rad; jumps nearer than 16 samples count as one.</returns>
    public static List<(int At, double Rad)> In(ReadOnlySpan<double> angleRad)
    {
        var jumps = new List<(int, double)>();
        var usual = UsualStep(angleRad);
        for (var i = Around; i + Around <= angleRad.Length; i++)
        {
            var rad = angleRad[i + Around - 1] - angleRad[i - Around] - (2 * Around - 1) * usual;
            if (Math.Abs(rad) < LeastRad) continue;
            var at = i - Around + 1;
            for (var k = at + 1; k < i + Around; k++)
                if (Math.Abs(angleRad[k] - angleRad[k - 1] - usual) > Math.Abs(angleRad[at] - angleRad[at - 1] - usual)) at = k;
            jumps.Add((at, rad));
            i = at + 2 * Around;
        }

        return jumps;
    }

    // The middle of the steps over the stretches: a jump lies in few of them.
    static double UsualStep(ReadOnlySpan<double> angleRad)
    {
        var steps = new double[angleRad.Length / Around - 1];
        for (var k = 0; k < steps.Length; k++) steps[k] = (angleRad[(k + 1) * Around] - angleRad[k * Around]) / Around;
        Array.Sort(steps);
        return steps[steps.Length / 2];
    }
}
