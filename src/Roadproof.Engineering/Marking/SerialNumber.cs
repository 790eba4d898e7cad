using System.Diagnostics.CodeAnalysis;
using System.Globalization;
using Roadproof.Engineering.Quantities;

namespace Roadproof.Engineering.Marking;

/// <summary>A serial number as it stands on a unit: prefix of plant and product, year (two digits), running number (six digits), check character.</summary>
/// <remarks>Such as <c>AL8525000123K</c>; 11 to 15 characters, no I, O or Q anywhere, also not as the check, because they are misread as 1 and 0.
/// The check is ISO/IEC 7064 MOD 37,36 over all before it.</remarks>
public sealed record SerialNumber
{
    /// <summary>Running numbers of one prefix and year go from 1 to this.</summary>
    public const int LastNumber = 999_999;

    const int YearDigits = 2;
    const int NumberDigits = 6;
    const int BehindPrefix = YearDigits + NumberDigits + 1;
    const string Confused = "IOQ";

    SerialNumber(string prefix, int year, int number, char check) => (Prefix, Year, Number, Check) = (prefix, year, number, check);

    public string Prefix { get; }

    /// <summary>The year's last two digits.</summary>
    public int Year { get; }
    public int Number { get; }
    public char Check { get; }

    public override string ToString() => Body(Prefix, Year, Number) + Check;

    /// <summary>The serial number with its check character.</summary>
    /// <param name="prefix">Two to six capital letters or digits without I, O and Q.</param>
    /// <param name="year">Calendar year, such as 2025, or its last two digits.</param>
    /// <param name="number">1 to <see cref="LastNumber"/>.</param>
    /// <exception cref="InputException">Prefix or number is outside its range.</exception>
    public static SerialNumber Of(string prefix, int year, int number)
    {
        List<InputError> errors = [.. PrefixErrors(prefix, "serial number")];
        if (year < 0) errors.Add(new("serial number", 0, "year", Text(year), "a year such as 2025"));
        if (number is < 1 or > LastNumber)
            errors.Add(new("serial number", 0, "running number", Text(number), $"1 to {Text(LastNumber)}",
                "When a year's numbers are used up, approve a revision with another prefix."));
        if (errors.Count > 0) throw new InputException(errors);
        var check = CheckCharacter.Alphanumeric.Of(Body(prefix, year % 100, number));
        return new(prefix, year % 100, number, check);
    }

    /// <summary>Its check character is no I, O or Q. A number where it is one is passed over, never put on a unit.</summary>
    public bool ReadsClearly => !Confused.Contains(Check, StringComparison.Ordinal);

    /// <summary>Reads a serial number that was scanned or typed; small letters and blanks around it are forgiven.</summary>
    /// <exception cref="InputException">It is no serial number; everything wrong is listed.</exception>
    public static SerialNumber Parse(string text) => Read(text, out var serial) is { Count: > 0 } errors ? throw new InputException(errors) : serial!;

    /// <inheritdoc cref="Parse"/>
    public static bool TryParse(string text, [NotNullWhen(true)] out SerialNumber? serial) => Read(text, out serial).Count == 0;

    static List<InputError> Read(string text, out SerialNumber? serial)
    {
        serial = null;
        var clean = text.Trim().ToUpperInvariant();
        if (clean.Length is < 2 + BehindPrefix or > 6 + BehindPrefix)
            return [new(text, 0, "length", $"{Text(clean.Length)} characters", "11 to 15: prefix, 2 digits of the year, 6 of the number, check character")];

        var prefix = clean[..^BehindPrefix];
        var digits = clean[^BehindPrefix..^1];
        List<InputError> errors = [.. PrefixErrors(prefix, text)];
        for (var i = 0; i < digits.Length; i++)
        {
            if (!char.IsAsciiDigit(digits[i]))
                errors.Add(new(text, 0, $"character {Text(prefix.Length + i + 1)}", $"'{digits[i]}'", "a digit",
                    digits[i] switch { 'O' or 'Q' => "It may be a 0.", 'I' => "It may be a 1.", _ => null }));
        }

        if (errors.Count > 0) return errors;
        var number = int.Parse(digits.AsSpan(YearDigits), CultureInfo.InvariantCulture);
        if (number == 0) return [new(text, 0, "running number", "000000", "000001 or more")];
        var right = Of(prefix, int.Parse(digits.AsSpan(0, YearDigits), CultureInfo.InvariantCulture), number);
        if (right.Check != clean[^1])
            return [new(text, 0, "check character", $"'{clean[^1]}'", $"'{right.Check}'", "One character was read or typed wrong, or two were swapped: scan it again.")];
        serial = right;
        return [];
    }

    static IEnumerable<InputError> PrefixErrors(string prefix, string source)
    {
        if (prefix.Length is < 2 or > 6)
            yield return new(source, 0, "prefix", $"'{prefix}'", "two to six capital letters or digits");
        for (var i = 0; i < prefix.Length; i++)
        {
            if (!(char.IsAsciiLetterUpper(prefix[i]) || char.IsAsciiDigit(prefix[i])) || Confused.Contains(prefix[i], StringComparison.Ordinal))
                yield return new(source, 0, $"character {Text(i + 1)}", $"'{prefix[i]}'", "a capital letter or digit, not I, O or Q");
        }
    }

    static string Body(string prefix, int year, int number) => string.Create(CultureInfo.InvariantCulture, $"{prefix}{year:d2}{number:d6}");

    static string Text(int number) => number.ToString(CultureInfo.InvariantCulture);
}
