namespace Roadproof.App.Road;

/// <summary>Where the numbers of an axis stand.</summary>
public static class RideAxis
{
    /// <summary>Between four and eight round numbers, clear of both ends.</summary>
    public static IEnumerable<double> Ticks(double from, double to)
    {
        if (!(to > from)) yield break;
        var step = Math.Pow(10, Math.Floor(Math.Log10((to - from) / 2)));
        step *= (to - from) / step > 16 ? 5 : (to - from) / step > 8 ? 2 : 1;
        for (var k = Math.Ceiling(from / step + 0.25); k * step <= to - 0.25 * step; k++) yield return Math.Round(k * step, 6);
    }
}
