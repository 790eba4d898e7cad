using System.Text;
using Roadproof.Engineering.Checks.Tightening;
using Roadproof.Engineering.Quantities;

namespace Roadproof.Engineering.Tests.Formats;

/// <summary>Torque-angle curves as files: what is wrong is placed by line and column, and told all at once.</summary>
public sealed class TighteningCurveTests
{
    static readonly string Rows = string.Join('\n', Enumerable.Range(0, 30).Select(i => FormattableString.Invariant($"{i * 0.01},{i},{0.1 * i}")));

    [Fact]
    public void Names_with_units_in_brackets_semicolons_and_decimal_commas_are_read()
    {
        var german = "Zeit;angle [°];torque [N·m]\n" + string.Join('\n', Enumerable.Range(0, 25).Select(i => FormattableString.Invariant($"x;{i};0,{i:00}")));
        var curve = Read(german);
        Assert.Equal((25, 24.0, 0.24), (curve.AngleDeg.Length, curve.AngleDeg[^1], curve.TorqueNm[^1]));
        Assert.Null(curve.TimeS);
        Assert.Equal(30, Read("time_s,angle_deg,torque_nm\n" + Rows + "\n\n").TorqueNm.Length);
    }

    [Theory]
    [InlineData("", "an empty file")]
    [InlineData("time_s,angle_deg,torque_nm\n", "no rows")]
    [InlineData("time_s,angle_deg,torque_nm\n0,0,0\n0.1,1,1\n", "2 samples")]
    [InlineData("time_s,angle_deg\n0,0\n", "curve.csv:1: found no column torque_nm")]
    [InlineData("time_s,angle_deg,torque [lbf·in]\n0,0,0\n", "curve.csv:1: torque [lbf·in]: found unit [lbf·in], expected torque in N·m")]
    [InlineData("time_s,angle_rad,torque_nm\n0,0,0\n", "curve.csv:1: angle_rad: found 'angle_rad', expected angle_deg")]
    [InlineData("angle_deg,angle_deg,torque_nm\n0,0,0\n", "curve.csv:1: angle_deg: found the column twice")]
    [InlineData("time_s,angle_deg,torque_nm\n0,0,NaN\n0,1,x\n0,2,\n0,3\n", "curve.csv:2: torque_nm: found 'NaN'", "curve.csv:3: torque_nm: found 'x'", "curve.csv:4: torque_nm: found an empty cell", "curve.csv:5: found a row of length 2, expected 3 cells")]
    [InlineData("time_s,angle_deg,torque_nm\n@\n0.1,31,3\n", "curve.csv:32: time_s: found 0.1 s after 0.29 s")]
    [InlineData("time_s,angle_deg,torque_nm\n@\n0.3,-100,3\n", "curve.csv:32: angle_deg: found -100° after 29°")]
    public void What_is_wrong_is_placed(string text, params string[] sentences)
    {
        var said = Assert.Throws<InputException>(() => Read(text.Replace("@", Rows, StringComparison.Ordinal))).Message;
        Assert.All(sentences, s => Assert.Contains(s, said, StringComparison.Ordinal));
    }

    [Fact]
    public void A_channel_that_stands_still_is_dead()
    {
        Assert.Contains("an encoder that stands still is dead", Failure(i => 5, i => 0.1 * i), StringComparison.Ordinal);
        Assert.Contains("gauge that shows one value throughout is dead", Failure(i => i, i => 0.7), StringComparison.Ordinal);
        Assert.Contains("found no torque above 0", Failure(i => i, i => -0.1 * i), StringComparison.Ordinal);

        static string Failure(Func<int, double> angle, Func<int, double> torque) => Assert.Throws<InputException>(() =>
            Read("angle_deg,torque_nm\n" + string.Join('\n', Enumerable.Range(0, 30).Select(i => FormattableString.Invariant($"{angle(i)},{torque(i)}"))))).Message;
    }

    static TighteningCurve Read(string text) => TighteningCurve.Read("curve.csv", new MemoryStream(Encoding.UTF8.GetBytes(text)));
}
