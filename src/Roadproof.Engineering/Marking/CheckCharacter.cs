using Roadproof.Engineering.Quantities;

namespace Roadproof.Engineering.Marking;

/// <summary>The check character at the end of a number: tells a number that was read or typed wrong from one that was issued.</summary>
/// <remarks>
/// Hybrid systems of ISO/IEC 7064:2003: MOD 37,36 for letters and digits, MOD 11,10 for digits. Every single wrong character is found, and every
/// swap of two neighbours but one of 630 pairs at each place, always two that follow one another in the alphabet, Z before 0 (counted in the tests).
/// It proves no origin: anyone can compute it.
/// </remarks>
public sealed class CheckCharacter
{
    /// <summary>MOD 37,36: digits and capital letters, one of them as the check.</summary>
    public static readonly CheckCharacter Alphanumeric = new("MOD 37,36", "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ");

    /// <summary>MOD 11,10: digits, one of them as the check.</summary>
    public static readonly CheckCharacter Digits = new("MOD 11,10", "0123456789");

    readonly string alphabet;

    CheckCharacter(string name, string alphabet) => (Name, this.alphabet) = (name, alphabet);

    /// <summary>The system's name in the standard.</summary>
    public string Name { get; }

    /// <summary>The check character that belongs behind a text.</summary>
    /// <exception cref="InputException">The text is empty or holds a character outside the alphabet; all are listed.</exception>
    public char Of(ReadOnlySpan<char> text)
    {
        RequireInside(text);
        var modulus = alphabet.Length;
        var rest = modulus;
        foreach (var c in text)
        {
            var sum = (rest + alphabet.IndexOf(c, StringComparison.Ordinal)) % modulus;
            rest = (sum == 0 ? modulus : sum) * 2 % (modulus + 1);
        }

        // The check makes the last sum 1 (ISO/IEC 7064, hybrid systems).
        return alphabet[(modulus + 1 - rest) % modulus];
    }

    /// <summary>Whether the last character is the check of those before it.</summary>
    /// <exception cref="InputException">The text is shorter than two characters or holds a character outside the alphabet.</exception>
    public bool Fits(ReadOnlySpan<char> text)
    {
        RequireInside(text);
        return Of(text[..^1]) == text[^1];
    }

    void RequireInside(ReadOnlySpan<char> text)
    {
        List<InputError> errors = [];
        if (text.IsEmpty) errors.Add(new(Name, 0, "", "nothing", $"characters of {alphabet}"));
        for (var i = 0; i < text.Length; i++)
        {
            if (!alphabet.Contains(text[i], StringComparison.Ordinal))
                errors.Add(new(text.ToString(), 0, FormattableString.Invariant($"character {i + 1}"), $"'{text[i]}'", $"one of {alphabet}"));
        }

        if (errors.Count > 0) throw new InputException(errors);
    }
}
