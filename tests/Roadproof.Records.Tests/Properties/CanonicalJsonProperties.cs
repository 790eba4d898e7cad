using System.Globalization;
using System.Text.Json;
using CsCheck;
using Roadproof.Records.Ledger;

namespace Roadproof.Records.Tests.Properties;

public sealed class CanonicalJsonProperties
{
    // Every bit pattern, so that subnormals and the largest numbers come too.
    static readonly Gen<double> Numbers = Gen.Long.Select(BitConverter.Int64BitsToDouble).Where(double.IsFinite);

    [Fact]
    public void A_number_reads_back_as_the_same_number() => Numbers.Sample(x =>
    {
        var text = CanonicalJson.Number(x);
        Assert.Equal(x, double.Parse(text, CultureInfo.InvariantCulture));
        Assert.Equal(text, JsonDocument.Parse(text).RootElement.GetRawText());
    });

    [Fact]
    public void Canonical_form_is_canonical_already_and_says_the_same() =>
        Gen.Dictionary(Gen.String[0, 8].Where(IsWhole), Gen.OneOf(Numbers.Select(x => (object)x), Gen.String.Where(IsWhole).Select(s => (object)s), Gen.Bool.Select(b => (object)b)))[0, 12]
            .Sample(members =>
            {
                var canonical = CanonicalJson.From(members);
                Assert.Equal(canonical, CanonicalJson.Of(canonical));
                var read = JsonDocument.Parse(canonical).RootElement;
                Assert.Equal(members.Count, read.EnumerateObject().Count());
                Assert.True(JsonElement.DeepEquals(JsonSerializer.SerializeToElement(members), read));
                Assert.Equal(members.Keys.Order(StringComparer.Ordinal), read.EnumerateObject().Select(m => m.Name));
            }, iter: 2000);

    static bool IsWhole(string text)
    {
        for (var i = 0; i < text.Length; i++)
        {
            if (char.IsHighSurrogate(text[i]) && i + 1 < text.Length && char.IsLowSurrogate(text[i + 1])) i++;
            else if (char.IsSurrogate(text[i])) return false;
        }

        return true;
    }
}
