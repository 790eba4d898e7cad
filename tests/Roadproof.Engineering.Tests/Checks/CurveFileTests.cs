using System.Text;
using Roadproof.Engineering.Checks.Tightening;
using Roadproof.Engineering.Formats;
using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Tests.Fixtures;
using static System.FormattableString;

namespace Roadproof.Engineering.Tests.Checks;

/// <summary>Files of curves as stations send them: whose they are, and a group of screws in one.</summary>
public sealed class CurveFileTests
{
    [Theory]
    [InlineData("# item: SH-1\nscrew,angle_deg,torque_nm\n", "SH-1")]
    [InlineData("\uFEFF# driver 7\r\n# item:  SH-1 \r\nscrew,angle_deg,torque_nm\n", "SH-1")]
    [InlineData("screw,angle_deg,torque_nm\n# item: SH-1\n", null)]
    [InlineData("# only this", null)]
    [InlineData("", null)]
    public void A_file_says_of_which_unit_it_is_above_its_header(string text, string? item) => Assert.Equal(item, CurveFile.ItemOf(Encoding.UTF8.GetBytes(text)));

    [Fact]
    public void A_group_gives_each_screw_the_curve_that_it_has_alone()
    {
        var curves = new[] { 3, 1, 2 }.Select(n => (Number: n, Curve: new DrivenScrew { NoiseNm = 0.02, FinalNm = 5 + 0.2 * n, Seed = (ulong)n }.Curve())).ToList();
        var text = "# item: SH-1\nscrew;torque [N·m];angle_deg\n" + string.Join('\n', curves.SelectMany(c => c.Curve.AngleDeg.Zip(c.Curve.TorqueNm, (a, t) => Invariant($"{c.Number};{t:R};{a:R}"))));
        var read = TighteningGroupFile.Read("cover.csv", new MemoryStream(Encoding.UTF8.GetBytes(text)));
        Assert.True(TighteningGroupFile.IsGroup(Encoding.UTF8.GetBytes(text)));
        Assert.Equal([3, 1, 2], read.Select(s => s.Number));
        foreach (var (alone, own) in curves.Zip(read))
        {
            Assert.Equal(alone.Curve.AngleDeg, own.Curve.AngleDeg);
            Assert.Equal(alone.Curve.TorqueNm, own.Curve.TorqueNm);
        }
    }

    [Fact]
    public void Mistakes_are_told_with_the_line_of_the_file_and_the_screw()
    {
        var rows = Enumerable.Range(0, 30).Select(i => Invariant($"1,{i},{0.1 * i}")).Concat(Enumerable.Range(0, 30).Select(i => Invariant($"2,{(i == 20 ? -100 : i)},{0.1 * i}")));
        var errors = Errors("# item: SH-1\nscrew,angle_deg,torque_nm\n" + string.Join('\n', rows));
        Assert.Equal("cover.csv screw 2:53: angle_deg: found -100° after 19°, expected an angle that goes forward. Count the angle through all steps of the driver; loosening is no tightening.", Assert.Single(errors).ToString());
        Assert.Equal("cover.csv:3: screw: found 1.5, expected the number of a screw, from 1.", Assert.Single(Errors("# x\nscrew,angle_deg,torque_nm\n1.5,0,0\n")).ToString());
        Assert.Equal("cover.csv:2: torque_ncm: found 'torque_ncm', expected torque_nm, in N·m. Convert the column before it is sent; units are not guessed.", Assert.Single(Errors("# x\nscrew,angle_deg,torque_ncm\n1,0,0\n")).ToString());
        Assert.Equal("cover.csv:5: found a row of length 2, expected 3 cells as in the header. A row that breaks off at the end of a file was cut short: send it again.", Assert.Single(Errors("# x\nscrew,angle_deg,torque_nm\n1,0,0\n1,1,0.1\n1,2")).ToString());
    }

    static IReadOnlyList<InputError> Errors(string text) => Assert.Throws<InputException>(() => TighteningGroupFile.Read("cover.csv", new MemoryStream(Encoding.UTF8.GetBytes(text)))).Errors;
}
