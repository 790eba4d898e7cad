using System.CommandLine;
using Roadproof.Engineering.Quantities;

namespace Roadproof.App.Checks;

/// <summary>Numbers behind an option that have to be possible.</summary>
static class Options
{
    /// <exception cref="InputException">0 or below.</exception>
    public static double Above0(ParseResult input, Option<double> option) => Above0(input.GetValue(option), option);

    /// <summary>Null where it was not given.</summary>
    public static double? Above0(ParseResult input, Option<double?> option) => input.GetValue(option) is { } value ? Above0(value, option) : null;

    /// <exception cref="InputException">Below 0.</exception>
    public static double Least0(ParseResult input, Option<double> option) => Least0(input.GetValue(option), option);

    public static double? Least0(ParseResult input, Option<double?> option) => input.GetValue(option) is { } value ? Least0(value, option) : null;

    static double Above0(double value, Option option) => value > 0 && double.IsFinite(value) ? value : throw Wrong(value, option, "a number above 0");

    static double Least0(double value, Option option) => value >= 0 && double.IsFinite(value) ? value : throw Wrong(value, option, "a number of 0 or more");

    static InputException Wrong(double value, Option option, string expected) => new(new InputError(option.Name, 0, "", Invariant($"{value}"), expected));
}
