namespace Roadproof.Engineering.Quantities;

/// <summary>One thing wrong with what we were given: the place, what stood there, what belongs there, and a way out if we know one.</summary>
/// <param name="Source">The file, message or field the input came from, as the sender would name it.</param>
/// <param name="Line">Line in the source, counted from 1; 0 where the source has no lines.</param>
/// <param name="Column">The column's name in a table, the key or character position in a text, the field in a message.</param>
/// <param name="Found">What stood there, quoted where it is text.</param>
/// <param name="Expected">What belongs there, with its unit and an example where that helps.</param>
/// <param name="Hint">A way out, as a full sentence, or nothing.</param>
public sealed record InputError(string Source, int Line, string Column, string Found, string Expected, string? Hint = null)
{
    public override string ToString()
    {
        var place = Line > 0 ? $"{Source}:{Line}" : Source;
        // A position joins the line as editors write it (file:12:7); a name stands apart.
        var column = Column.Length == 0 ? "" : Line > 0 && Column.All(char.IsAsciiDigit) ? $"{Column}:" : $" {Column}:";
        var hint = Hint is null ? "" : " " + Hint;
        return $"{place}:{column} found {Found}, expected {Expected}.{hint}";
    }
}

/// <summary>Input that cannot be used, with everything that is wrong with it, so that it is mended in one go.</summary>
public sealed class InputException : Exception
{
    public InputException(IReadOnlyList<InputError> errors)
        : base(string.Join('\n', errors)) => Errors = errors;

    public InputException(InputError error)
        : this([error])
    {
    }

    /// <summary>Every error found, in the order of the source; never empty.</summary>
    public IReadOnlyList<InputError> Errors { get; }
}
