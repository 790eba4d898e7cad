using Roadproof.Engineering.Signals;

namespace Roadproof.Engineering.Checks;

/// <summary>Insulation resistance at one temperature, and how it grows while the voltage stands.</summary>
/// <remarks>Source: IEEE Std 43 (from memory). Method and cautions: <c>docs/methods/winding.md</c>.</remarks>
public static class Insulation
{
    /// <summary>Temperature that insulation resistances are compared at, °C.</summary>
    public const double ReferenceC = 40;

    /// <summary>Above this after a minute the index says nothing: the current is the meter's own. Ω.</summary>
    public const double IndexUpToOhm = 5e9;

    /// <summary>Insulation resistance halves every ten kelvins; how far that rule is off, as a share of its exponent (common practice, no source).</summary>
    const double KPerHalving = 10, RuleShare = 0.3;

    /// <summary>At 40 °C: R·2^((ϑ − 40)/10).</summary>
    public static Reading At40(double ohm, double windingC, double meterShare, double temperatureK)
    {
        var halvings = (windingC - ReferenceC) / KPerHalving;
        var value = ohm * Math.Pow(2, halvings);
        var share = double.Hypot(meterShare, Math.Log(2) * double.Hypot(RuleShare * halvings, temperatureK / KPerHalving));
        return new(value, value * share);
    }

    /// <summary>R after the later over R after the earlier time; none where the record does not reach, or the insulation is too good for the ratio to mean anything.</summary>
    public static Reading Ratio(ReadOnlySpan<double> timeS, ReadOnlySpan<double> ohm, double laterS, double earlierS, double ratioShare)
    {
        var (later, earlier) = (At(timeS, ohm, laterS), At(timeS, ohm, earlierS));
        if (!(earlier <= IndexUpToOhm)) return Reading.None;
        return new(later / earlier, later / earlier * ratioShare);
    }

    /// <summary>Straight between the rows beside it; NaN outside the record.</summary>
    public static double At(ReadOnlySpan<double> timeS, ReadOnlySpan<double> values, double s)
    {
        var found = timeS.BinarySearch(s);
        if (found >= 0) return values[found];
        var next = ~found;
        if (next == 0 || next == timeS.Length) return double.NaN;
        var share = (s - timeS[next - 1]) / (timeS[next] - timeS[next - 1]);
        return values[next - 1] + share * (values[next] - values[next - 1]);
    }
}
