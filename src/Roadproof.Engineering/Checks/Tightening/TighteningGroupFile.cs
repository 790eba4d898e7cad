using Roadproof.Engineering.Formats;
using Roadproof.Engineering.Quantities;
using static System.FormattableString;

namespace Roadproof.Engineering.Checks.Tightening;

/// <summary>One screw of a group, by its number.</summary>
public sealed record ScrewCurve(int Number, TighteningCurve Curve);

/// <summary>Reads the curves of a whole group from one CSV: <c>screw</c> beside the columns of a <see cref="TighteningCurve"/>, screw after screw in the order of tightening.</summary>
public static class TighteningGroupFile
{
    static readonly CurveColumn Screw = new("screw", "screw", ["1"]);

    /// <summary>The file's header has a column for the screw's number.</summary>
    public static bool IsGroup(ReadOnlySpan<byte> octets) => CurveFile.Titles(octets).Contains(Screw.Name, StringComparer.Ordinal);

    /// <exception cref="InputException">Everything that is wrong with the file.</exception>
    public static IReadOnlyList<ScrewCurve> Read(string source, Stream stream)
    {
        var table = CurveFile.Read(source, stream, [Screw, .. TighteningCurve.Columns]);
        var numbers = table.Columns[Screw.Name];
        if (Array.FindIndex(numbers, n => n is not (>= 1 and <= 1000) || n != Math.Floor(n)) is >= 0 and var wrong)
            throw new InputException(new InputError(source, table.Lines[wrong], Screw.Name, Invariant($"{numbers[wrong]}"), "the number of a screw, from 1"));

        var errors = new List<InputError>();
        var screws = new List<ScrewCurve>();
        for (var (from, to) = (0, 0); from < numbers.Length; from = to)
        {
            while (to < numbers.Length && numbers[to] == numbers[from]) to++;
            var number = (int)numbers[from];
            var (curve, wrongs) = TighteningCurve.Of(Invariant($"{source} screw {number}"), table, from..to);
            errors.AddRange(wrongs);
            screws.Add(new(number, curve));
        }

        return errors.Count == 0 ? screws : throw new InputException(errors);
    }
}
