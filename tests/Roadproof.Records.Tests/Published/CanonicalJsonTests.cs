using System.Globalization;
using System.Security.Cryptography;
using System.Text;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Ledger;

namespace Roadproof.Records.Tests.Published;

/// <summary>Sources: RFC 8785 (JCS), reference test data and appendix B; status read (see data/README.md).</summary>
public sealed class CanonicalJsonTests
{
    static readonly string Data = Path.Combine(AppContext.BaseDirectory, "Published", "data", "jcs");

    [Theory]
    [InlineData("arrays", "099601b171cafed97c333f8878d68e7f8c8f795412adb34b2fdcf0e7c7beac42")]
    [InlineData("structures", "605f65004ec2db7692522a0852c22f1c989e036d547e88963d1a3143cf3195d5")]
    [InlineData("unicode", "0d99aad92a125196ff887876643fd3206786a84ddce2cee52ba4ad256d2381d3")]
    [InlineData("values", "2d5e01a318d0f0879ab568c4be289c8b1f64ef8921a53c6277d5e069978baacb")]
    public void Writes_the_reference_documents_octet_by_octet(string name, string sha256)
    {
        var canonical = Encoding.UTF8.GetBytes(CanonicalJson.Of(File.ReadAllText(Path.Combine(Data, name + ".in.json"))));

        Assert.Equal(File.ReadAllBytes(Path.Combine(Data, name + ".out.json")), canonical);
        Assert.Equal(sha256, Convert.ToHexStringLower(SHA256.HashData(canonical)));
    }

    public static TheoryData<string, string> Numbers()
    {
        var rows = new TheoryData<string, string>();
        foreach (var cells in File.ReadLines(Path.Combine(Data, "numbers.csv")).Skip(1).Select(l => l.Split(','))) rows.Add(cells[0], cells[1]);
        return rows;
    }

    [Theory]
    [MemberData(nameof(Numbers))]
    public void Writes_the_numbers_of_appendix_B(string bits, string text) => Assert.Equal(
        text, CanonicalJson.Number(BitConverter.Int64BitsToDouble(long.Parse(bits, NumberStyles.HexNumber, CultureInfo.InvariantCulture))));

    // RFC 8785, 3.2.2.3: NaN and infinity are errors.
    [Theory]
    [InlineData(double.NaN), InlineData(double.PositiveInfinity), InlineData(double.NegativeInfinity)]
    public void Refuses_what_is_no_number(double value) => Assert.Throws<InputException>(() => CanonicalJson.Number(value));

    [Theory]
    [InlineData("""{"a":1,"a":2}""")]
    [InlineData("""{"a":"\ud800"}""")]
    [InlineData("""{"a":1e999}""")]
    [InlineData("""{"a":1""")]
    [InlineData("")]
    public void Refuses_what_two_readers_could_read_in_two_ways(string json) =>
        Assert.StartsWith("body of a record:", Assert.Throws<InputException>(() => CanonicalJson.Of(json)).Message);
}
