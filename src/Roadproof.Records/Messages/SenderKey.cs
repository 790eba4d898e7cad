using System.Globalization;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Ledger;

namespace Roadproof.Records.Messages;

/// <summary>The key under which a sender says something: its own, never used before, and none of the line's.</summary>
static class SenderKey
{
    public const int Longest = 120;
    const string Expected = "a key of the sender's own, never used before";

    /// <returns>What is wrong with the key; null where nothing is.</returns>
    public static InputError? Wrong(string source, string? key) => key switch
    {
        _ when string.IsNullOrWhiteSpace(key) => new(source, 0, "key", "nothing", Expected),
        { Length: > Longest } => new(source, 0, "key", string.Create(CultureInfo.InvariantCulture, $"{key.Length} characters"), string.Create(CultureInfo.InvariantCulture, $"at most {Longest} characters")),
        _ when key.Any(char.IsControl) => new(source, 0, "key", "a control character", Expected),
        _ when OwnKeys.IsOne(key) => new(source, 0, "key", $"'{key}'", Expected, $"The line itself uses keys that begin with {string.Join(", ", OwnKeys.Beginnings)} or hold /other-."),
        _ => null,
    };
}
