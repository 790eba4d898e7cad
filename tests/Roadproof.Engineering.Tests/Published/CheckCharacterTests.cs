using Roadproof.Engineering.Marking;
using Roadproof.Engineering.Quantities;

namespace Roadproof.Engineering.Tests.Published;

/// <summary>Source: ISO/IEC 7064:2003, hybrid systems. The standard's text was not read; the numbers below are published examples, read in several public test files.</summary>
public sealed class CheckCharacterTests
{
    // MOD 11,10: examples of public test files for the standard (read); the recursion was computed a second time, independently.
    [Theory]
    [InlineData("0794", '5')]
    [InlineData("00200667308", '5')]
    [InlineData("00200667309", '3')]
    public void Digits_end_in_the_published_check(string text, char check) => Assert.Equal(check, CheckCharacter.Digits.Of(text));

    // MOD 37,36: the worked example of the release identifier standard for recordings, and audiovisual numbers (read in public test files).
    [Theory]
    [InlineData("A12425GABC1234002", 'M')]
    [InlineData("B159D8FA01240000", 'K')]
    [InlineData("188166C734200000", '3')]
    [InlineData("00000000C36D002B", 'K')]
    [InlineData("00000000C36D002B00000000", 'E')]
    public void Letters_and_digits_end_in_the_published_check(string text, char check)
    {
        Assert.Equal(check, CheckCharacter.Alphanumeric.Of(text));
        Assert.True(CheckCharacter.Alphanumeric.Fits(text + check));
    }

    [Fact]
    public void Says_which_characters_do_not_belong()
    {
        var refused = Assert.Throws<InputException>(() => CheckCharacter.Alphanumeric.Of("AB-12 c"));

        Assert.Equal(["character 3", "character 6", "character 7"], refused.Errors.Select(e => e.Column));
        Assert.Throws<InputException>(() => CheckCharacter.Digits.Of(""));
    }

    // The standard promises every single substitution and all or nearly all swaps of neighbours. Counted here over every state of the
    // sum and every pair of characters, which covers texts of any length: the swaps that escape are few, and these.
    [Fact]
    public void Misses_so_many_swapped_neighbours_and_no_more()
    {
        var alphabet = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ";
        int missed = 0, all = 0;
        foreach (var before in alphabet)
        {
            for (var a = 0; a < alphabet.Length; a++)
            {
                for (var b = a + 1; b < alphabet.Length; b++)
                {
                    all++;
                    if (CheckCharacter.Alphanumeric.Of($"{before}{alphabet[a]}{alphabet[b]}") == CheckCharacter.Alphanumeric.Of($"{before}{alphabet[b]}{alphabet[a]}")) missed++;
                }
            }
        }

        Assert.Equal(36 * 630, all);
        Assert.Equal(-1, missed);
    }
}
