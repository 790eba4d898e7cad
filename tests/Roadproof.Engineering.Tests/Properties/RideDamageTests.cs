using System.Text;
using CsCheck;
using Roadproof.Engineering.Formats;
using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Road;
using static Roadproof.Engineering.Tests.Formats.RideText;

namespace Roadproof.Engineering.Tests.Properties;

/// <summary>Whatever happens to a file on its way, it is read or refused; it never brings the tool down.</summary>
public sealed class RideDamageTests
{
    static readonly byte[][] Sound =
    [
        Encoding.UTF8.GetBytes(Gpx(Steady(20, 5, 0.02))),
        Encoding.UTF8.GetBytes(Csv(Steady(20, 5, 0.02))),
        Encoding.UTF8.GetBytes(Csv(Steady(20, 5, 0.02), ';').Replace("altitude [m]", "\"altitude [m]\"")),
    ];

    [Fact]
    public void A_damaged_file_is_read_or_refused() =>
        Gen.Select(Gen.Int[0, Sound.Length - 1], Gen.Select(Gen.Int[0, 5000], Gen.Byte).Array[0, 6], Gen.Int[0, 5000]).Sample((which, hits, cut) =>
        {
            var bytes = (byte[])Sound[which].Clone();
            foreach (var (at, value) in hits) bytes[at % bytes.Length] = value;
            try
            {
                var ride = RideFile.Read("damaged", new MemoryStream(bytes, 0, Math.Min(bytes.Length, cut)));
                Assert.True(double.IsFinite(RideSummary.Of(ride).DistanceM));
                RoadLoad.Run(ride, Rider.Default, MidDrive.Unit);
            }
            catch (InputException refused)
            {
                Assert.All(refused.Errors, error => Assert.Equal("damaged", error.Source));
            }
        }, iter: 3000);

    [Theory]
    [InlineData("timestamp,lat,lon,weather,weather\n2026-05-04T08:00:00,50,5,wet,dry\n2026-05-04T08:00:01,50,5.0001,wet,dry\n")]
    [InlineData("timestamp,lat,lon,,\n2026-05-04T08:00:00,50,5,,\n2026-05-04T08:00:01,50,5.0001,,\n")]
    [InlineData("\n\ntimestamp,lat,lon\n\n2026-05-04T08:00:00,50,5\n\n2026-05-04T08:00:01,50,5.0001\n\n")]
    [InlineData("timestamp,lat,lon\r\n2026-05-04T08:00:00,50,5\r\n2026-05-04T08:00:01,50,5.0001")]
    public void A_table_may_have_columns_without_a_meaning_and_empty_lines(string text) => Assert.Equal(2, Read(text).Fixes.Count);

    [Fact]
    public void A_quotation_that_never_ends_is_refused() =>
        Assert.Throws<InputException>(() => Read("timestamp,lat,lon\n\"2026-05-04T08:00:00,50,5\n2026-05-04T08:00:01,50,5.0001\n"));
}
