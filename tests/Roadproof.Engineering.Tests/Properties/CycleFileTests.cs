using System.Text;
using CsCheck;
using Roadproof.Engineering.CycleDesign;
using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Quantities;

namespace Roadproof.Engineering.Tests.Properties;

public sealed class CycleFileTests
{
    static readonly DriveUnit Unit = MidDrive.Unit;

    static IReadOnlyList<CyclePoint> Read(string text) => CycleFile.Read("cycle.csv", new MemoryStream(Encoding.UTF8.GetBytes(text)), Unit);

    static string Refused(string text) => Assert.Throws<InputException>(() => Read(text)).Message;

    [Fact]
    public void Rows_are_points_and_repeats_have_a_pause_between_them()
    {
        var points = Read("torque_nm,speed_rpm,hold_s,times\n40,60,30,\n0,0,10,1\n70,60,2,3\n");
        Assert.Equal(
            [(40, 30), (0, 10), (70, 2), (0, 1), (70, 2), (0, 1), (70, 2)], points.Select(p => (p.TorqueNm, p.HoldS)));
        Assert.Equal(2 * Math.PI, points[0].SpeedRadPerS, 1e-12);
        Assert.Equal(0, points[1].SpeedRadPerS);
    }

    [Fact]
    public void What_is_written_is_read_again() => Gen.Select(Gen.Int[1, 60], Gen.Int[40, 70], Gen.Int[1, 20], Gen.Int[1, 4]).Array[1, 8].Sample(rows =>
    {
        var text = CycleFile.Header + "\n" + string.Join('\n', rows.Select(r => $"{r.Item1},{r.Item2},{r.Item3},{r.Item4}"));
        var points = Read(text);
        var again = Read(CycleFile.Write(points));
        Assert.Equal(points.Select(p => (p.TorqueNm, Math.Round(p.SpeedRadPerS, 9), p.HoldS)), again.Select(p => (p.TorqueNm, Math.Round(p.SpeedRadPerS, 9), p.HoldS)));
    }, seed: "0000KOIbNaN4");

    [Theory]
    [InlineData("", "an empty file")]
    [InlineData("torque_nm,speed_rpm,hold_s\n", "no rows")]
    [InlineData("torque,speed_rpm,hold_s\n40,60,30\n", "torque_nm")]
    [InlineData("torque_nm,speed_rpm,hold_s\nforty,60,30\n", "'forty'")]
    [InlineData("torque_nm,speed_rpm,hold_s\n40,60\n", "a row of length 2")]
    [InlineData("torque_nm,speed_rpm,hold_s\n40,60,0\n", "1 to 7200 s")]
    [InlineData("torque_nm,speed_rpm,hold_s\n40,0,30\n", "torque at standstill")]
    [InlineData("torque_nm,speed_rpm,hold_s\n400,60,30\n", "a point that the unit reaches")]
    [InlineData("torque_nm,speed_rpm,hold_s\n80,900,30\n", "a point that the unit reaches")]
    [InlineData("torque_nm,speed_rpm,hold_s\n0,0,30\n", "no torque in any row")]
    [InlineData("torque_nm,speed_rpm,hold_s\n40,60,7000\n40,60,7000\n", "14000 s in all")]
    [InlineData("torque_nm,speed_rpm,hold_s,times\n40,60,2,0\n", "a whole number of repeats")]
    [InlineData("torque_nm,speed_rpm,hold_s,times\n40,60,2,1000000\n", "at most 5000 points")]
    public void What_is_no_cycle_is_refused_at_its_place(string text, string word) => Assert.Contains(word, Refused(text), StringComparison.Ordinal);

    [Fact]
    public void All_mistakes_are_told_at_once()
    {
        var errors = Assert.Throws<InputException>(() => Read("torque_nm,speed_rpm,hold_s\nx,60,30\n40,y,30\n40,60,\n")).Errors;
        Assert.Equal([(2, "torque_nm"), (3, "speed_rpm"), (4, "hold_s")], errors.Select(e => (e.Line, e.Column)));
    }

    /// <summary>Rest of another length than a pause does not make one pulse of two points.</summary>
    [Fact]
    public void Only_a_pause_of_a_second_joins_points()
    {
        CyclePoint[] points = [new(40, 8, 2), new(0, 0, 5), new(40, 8, 2), new(0, 0, 1), new(40, 8, 2)];
        Assert.Equal([1, 1, 2], CycleFile.Runs(points).Select(r => r.Times));
    }
}
