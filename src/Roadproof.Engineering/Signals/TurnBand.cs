namespace Roadproof.Engineering.Signals;

/// <summary>What a signal does over one turn of a shaft, and how its turns differ: the mean of all turns, their scatter and their edges at each angle.</summary>
/// <param name="Turns">Whole turns that were laid over each other.</param>
/// <param name="Mean">Shape [parts]; place p stands at the angle p/parts of a turn.</param>
/// <param name="StandardDeviation">Of single turns about the mean (n − 1); same shape.</param>
/// <param name="Minimum">Least of the turns; same shape.</param>
/// <param name="Maximum">Greatest of the turns; same shape.</param>
/// <remarks>
/// What belongs to the shaft is the same in every turn and stays in the mean; what does not makes the band. A line of amplitude A beside the shaft's orders leaves the
/// mean as 1/turns and scatters by A/√2. The standard uncertainty of the mean is the scatter over √turns. Synchronous averaging; ISO 13373-2:2016 names it (from memory).
/// </remarks>
public sealed record TurnBand(int Turns, double[] Mean, double[] StandardDeviation, double[] Minimum, double[] Maximum)
{
    /// <summary>Two turns make a difference; fewer make no band.</summary>
    public const int Fewest = 2;

    /// <param name="signal">Evenly sampled in time, shape [n].</param>
    /// <param name="angleRad">Of the shaft, unwrapped and strictly rising, shape [n].</param>
    /// <param name="parts">Places in a turn; orders above 0.4 of it are filtered out, see <see cref="AngleResampling"/>.</param>
    /// <returns>Null where the signal holds fewer than <see cref="Fewest"/> whole turns.</returns>
    public static TurnBand? Of(ReadOnlySpan<float> signal, ReadOnlySpan<double> angleRad, int parts)
    {
        var resampled = AngleResampling.ToTurns(signal, angleRad, parts);
        var turns = resampled.Length / parts;
        if (turns < Fewest) return null;

        // The first resampled place is the first whole step at or after the first sample: wherever that is in the turn.
        var first = (long)Math.Ceiling(angleRad[0] / (2 * Math.PI / parts));
        double[] mean = new double[parts], squares = new double[parts], least = new double[parts], most = new double[parts];
        Array.Fill(least, double.PositiveInfinity);
        Array.Fill(most, double.NegativeInfinity);
        for (var turn = 0; turn < turns; turn++)
        {
            for (var k = 0; k < parts; k++)
            {
                var place = (int)(((first + k) % parts + parts) % parts);
                var value = resampled[turn * parts + k];
                var off = value - mean[place];
                mean[place] += off / (turn + 1);
                squares[place] += off * (value - mean[place]);
                (least[place], most[place]) = (Math.Min(least[place], value), Math.Max(most[place], value));
            }
        }

        return new(turns, mean, Array.ConvertAll(squares, s => Math.Sqrt(s / (turns - 1))), least, most);
    }
}
