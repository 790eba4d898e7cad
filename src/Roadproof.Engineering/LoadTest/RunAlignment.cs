namespace Roadproof.Engineering.LoadTest;

/// <summary>Lays one run's time upon another's, load point upon load point: on straight lines between the ends of the steady windows that both have, beyond them at the same rate.</summary>
public sealed class RunAlignment
{
    readonly double[] ownS, otherS;

    /// <param name="own">Windows of the run in whose time is asked, in the order of time.</param>
    /// <param name="other">Windows of the run that is laid upon it.</param>
    public RunAlignment(IReadOnlyList<SteadyPoint> own, IReadOnlyList<SteadyPoint> other)
    {
        var shared = own.Join(other, o => o.Point, o => o.Point, (o, p) => (Own: o, Other: p)).ToList();
        Points = shared.Count;
        ownS = [.. shared.SelectMany(s => (double[])[s.Own.FromS, s.Own.ToS])];
        otherS = [.. shared.SelectMany(s => (double[])[s.Other.FromS, s.Other.ToS])];
    }

    /// <summary>Load points that lie upon each other; with none both runs go from their own start.</summary>
    public int Points { get; }

    /// <summary>The other run's time at a time of this one, s.</summary>
    public double At(double s)
    {
        if (Points == 0) return s;
        var i = Array.FindIndex(ownS, knot => knot > s);
        if (i == 0) return s + otherS[0] - ownS[0];
        if (i < 0) return s + otherS[^1] - ownS[^1];
        return otherS[i - 1] + (s - ownS[i - 1]) / (ownS[i] - ownS[i - 1]) * (otherS[i] - otherS[i - 1]);
    }
}
