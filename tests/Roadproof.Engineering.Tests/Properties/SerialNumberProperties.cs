using CsCheck;
using Roadproof.Engineering.Marking;
using Roadproof.Engineering.Quantities;

namespace Roadproof.Engineering.Tests.Properties;

public sealed class SerialNumberProperties
{
    const string Clear = "0123456789ABCDEFGHJKLMNPRSTUVWXYZ";
    const string All = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ";

    static readonly Gen<SerialNumber> Serials = Gen.Select(
        Gen.String[Gen.Char[Clear], 2, 6], Gen.Int[2000, 2099], Gen.Int[1, SerialNumber.LastNumber], SerialNumber.Of);

    [Fact]
    public void Reads_back_what_it_wrote() => Serials.Sample(s =>
    {
        Assert.Equal(s, SerialNumber.Parse(s.ToString()));
        Assert.Equal(s, SerialNumber.Parse($" {s.ToString().ToLowerInvariant()}\n"));
        Assert.InRange(s.ToString().Length, 11, 15);
    });

    // ISO/IEC 7064: all single substitution errors are detected.
    [Fact]
    public void Finds_every_single_wrong_character() => Serials.Sample(s =>
    {
        var text = s.ToString();
        for (var i = 0; i < text.Length; i++)
        {
            foreach (var wrong in All.Where(c => c != text[i]))
                Assert.False(SerialNumber.TryParse(text[..i] + wrong + text[(i + 1)..], out _), $"{text} with {wrong} at {i + 1}");
        }
    }, iter: 50);

    [Theory]
    [InlineData("AL8525000", "AL8525000: length: found 9 characters, expected 11 to 15")]
    [InlineData("AL85250O0123K", "AL85250O0123K: character 8: found 'O', expected a digit. It may be a 0.")]
    [InlineData("AI8525000123K", "AI8525000123K: character 2: found 'I', expected a capital letter or digit, not I, O or Q.")]
    [InlineData("AL8525000000K", "AL8525000000K: running number: found 000000, expected 000001 or more.")]
    public void Says_what_is_wrong(string text, string start)
    {
        Assert.StartsWith(start, Assert.Throws<InputException>(() => SerialNumber.Parse(text)).Message);
    }

    [Fact]
    public void Names_the_check_character_that_belongs()
    {
        var right = SerialNumber.Of("AL85", 2025, 123).ToString();
        var wrong = right[..^1] + (right[^1] == '7' ? '8' : '7');

        Assert.StartsWith($"{wrong}: check character: found '{wrong[^1]}', expected '{right[^1]}'.", Assert.Throws<InputException>(() => SerialNumber.Parse(wrong)).Message);
    }

    [Fact]
    public void Lists_everything_that_a_number_cannot_be() =>
        Assert.Equal(["prefix", "character 1", "running number"], Assert.Throws<InputException>(() => SerialNumber.Of("q", 2025, 0)).Errors.Select(e => e.Column));
}
