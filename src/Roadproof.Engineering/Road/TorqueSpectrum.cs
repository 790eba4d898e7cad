namespace Roadproof.Engineering.Road;

/// <summary>One class of torque: how long the motor pulled so, and how many turns the chainring made meanwhile.</summary>
/// <param name="LowerNm">From here, included.</param>
/// <param name="UpperNm">To here, not included.</param>
/// <param name="TimeS">How long the torque stood in the class.</param>
/// <param name="Revolutions">Turns of the chainring in that time.</param>
public readonly record struct TorqueClass(double LowerNm, double UpperNm, double TimeS, double Revolutions)
{
    /// <summary>The middle of the class: the torque that stands for it.</summary>
    public double TorqueNm => (LowerNm + UpperNm) / 2;
}

/// <summary>Time and turns at each level of torque: what gears and bearings feel.</summary>
public static class TorqueSpectrum
{
    /// <summary>Counts seconds into classes; seconds without torque are not counted.</summary>
    /// <param name="torqueNm">One value per second, shape [n].</param>
    /// <param name="cadenceRadPerS">Chainring speed, shape [n].</param>
    /// <param name="classNm">Width of a class.</param>
    /// <returns>Every class from 0 N·m to the highest one that holds time.</returns>
    public static IReadOnlyList<TorqueClass> Of(ReadOnlySpan<double> torqueNm, ReadOnlySpan<double> cadenceRadPerS, double classNm)
    {
        var (seconds, turns, top) = (new double[32], new double[32], -1);
        for (var i = 0; i < torqueNm.Length; i++)
        {
            if (!(torqueNm[i] > 0)) continue;
            var index = (int)(torqueNm[i] / classNm);
            if (index >= seconds.Length)
            {
                Array.Resize(ref seconds, 2 * index);
                Array.Resize(ref turns, 2 * index);
            }

            top = Math.Max(top, index);
            seconds[index]++;
            turns[index] += cadenceRadPerS[i] / (2 * Math.PI);
        }

        var classes = new TorqueClass[top + 1];
        for (var i = 0; i <= top; i++) classes[i] = new(i * classNm, (i + 1) * classNm, seconds[i], turns[i]);
        return classes;
    }

    /// <summary>Several spectra of the same class width as one.</summary>
    public static IReadOnlyList<TorqueClass> Together(IEnumerable<IReadOnlyList<TorqueClass>> spectra) =>
    [
        .. spectra.SelectMany(spectrum => spectrum)
            .GroupBy(held => (held.LowerNm, held.UpperNm))
            .OrderBy(group => group.Key.LowerNm)
            .Select(group => new TorqueClass(group.Key.LowerNm, group.Key.UpperNm, group.Sum(held => held.TimeS), group.Sum(held => held.Revolutions))),
    ];
}
