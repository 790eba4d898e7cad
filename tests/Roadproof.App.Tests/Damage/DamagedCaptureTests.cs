using Roadproof.App.Tests.Commands;
using Roadproof.Engineering.Formats;
using Roadproof.Engineering.Quantities;

namespace Roadproof.App.Tests.Damage;

/// <summary>A run whose files are damaged is refused with a reason that names file, channel and place, or held; it never passes and never brings the program down.</summary>
public sealed class DamagedCaptureTests
{
    [Theory]
    [InlineData(0), InlineData(1), InlineData(2)]
    public async Task An_empty_file_is_named(int which)
    {
        using var place = new Folder();
        var files = RecordedRun.Sound.WriteTo(place);
        File.WriteAllBytes(files[which], []);
        (await RecordedRun.Judge(files)).IsWrong($"{files[which]}: found an empty file, expected a capture in Parquet or CSV");
    }

    // Wherever a transfer breaks off: within the magic word, the pages, the footer, before the last octet.
    [Theory]
    [InlineData(3), InlineData(11), InlineData(40), InlineData(5_000), InlineData(-9_000), InlineData(-300), InlineData(-9), InlineData(-8), InlineData(-1)]
    public async Task A_file_cut_short_is_named(int octets)
    {
        using var place = new Folder();
        var files = RecordedRun.Sound.WriteTo(place);
        foreach (var file in files)
        {
            var whole = await File.ReadAllBytesAsync(file);
            await File.WriteAllBytesAsync(file, octets > 0 ? whole[..octets] : whole[..^-octets]);
        }

        (await RecordedRun.Judge(files)).IsWrong([.. files.Select(f => $"{f}: ")]);
    }

    // What a bad disk does. Two of these once kept the reader busy for ever: a closing part that does not end, and a number of rows in the hundred millions.
    [Fact]
    public void A_turned_octet_never_brings_the_program_down()
    {
        var whole = RecordedRun.Octets(RecordedRun.Sound.Slow, "SH-0000001");
        var closingPart = BitConverter.ToInt32(whole, whole.Length - 8);
        var chance = new Random(7);
        for (var i = 0; i < 600; i++)
        {
            var damaged = (byte[])whole.Clone();
            var at = i switch { < 10 => whole.Length - 9, < 100 => chance.Next(whole.Length), _ => whole.Length - 1 - chance.Next(closingPart + 12) };
            damaged[at] ^= (byte)(1 + chance.Next(255));
            using var stream = new MemoryStream(damaged);
            var thrown = Record.Exception(() => CaptureFile.Read([("slow.parquet", stream)]));
            Assert.True(thrown is null or InputException, $"octet {at}: {thrown}");
        }
    }

    [Fact]
    public async Task Other_names_of_channels_are_said_with_what_is_missing()
    {
        using var place = new Folder();
        var run = RecordedRun.Sound.With(t => t.Renamed("bus_current_a", "bus_amps"), t => t.Renamed("phase_current_u_a", "iu"));
        var said = await RecordedRun.Judge(run.WriteTo(place));
        said.IsWrong("bus_current_a", "phase_current_u_a");
    }

    [Fact]
    public async Task A_capture_without_time_is_named()
    {
        using var place = new Folder();
        var file = place.Write("slow.csv", "seconds,bus_voltage_v\n0,48\n0.005,48\n");
        (await RecordedRun.Judge(file)).IsWrong($"{file}: found no column time_s");
    }

    [Fact]
    public async Task Time_that_goes_back_or_stands_still_is_placed()
    {
        using var place = new Folder();
        var files = RecordedRun.Sound.With(t => t.Time(s => s[400] = s[398]), vibration: t => t.Time(s => s[1000] = s[999])).WriteTo(place);
        (await RecordedRun.Judge(files)).IsWrong($"{files[0]}: time_s: found ", "in row 401 after", $"{files[2]}: time_s: found ", "twice, in rows 1000 and 1001");
    }

    [Theory]
    [InlineData("bus_current_a", 0), InlineData("output_torque_nm", 0), InlineData("winding_c", 0), InlineData("phase_current_v_a", 1), InlineData("motor_angle_rad", 1), InlineData("vibration_m_s2", 2)]
    public async Task A_channel_of_missing_samples_is_refused_or_held(string channel, int which)
    {
        using var place = new Folder();
        CaptureTable Empty(CaptureTable t) => t.Channel(channel, x => [.. x.Select(_ => float.NaN)]);
        var said = await RecordedRun.Judge(RecordedRun.Sound.With(which == 0 ? Empty : null, which == 1 ? Empty : null, which == 2 ? Empty : null).WriteTo(place));
        IsRefusedOrHeld(said, channel);
    }

    [Theory]
    [InlineData("bus_current_a", 0), InlineData("output_torque_nm", 0), InlineData("motor_speed_rad_s", 0), InlineData("phase_current_u_a", 1), InlineData("motor_angle_rad", 1), InlineData("vibration_m_s2", 2)]
    public async Task A_sensor_that_stands_still_is_refused_or_held(string channel, int which)
    {
        using var place = new Folder();
        CaptureTable Dead(CaptureTable t) => t.Channel(channel, x => [.. x.Select(_ => x[1000])]);
        var said = await RecordedRun.Judge(RecordedRun.Sound.With(which == 0 ? Dead : null, which == 1 ? Dead : null, which == 2 ? Dead : null).WriteTo(place));
        IsRefusedOrHeld(said, channel);
    }

    [Fact]
    public async Task A_rig_that_never_turned_although_the_unit_took_power_is_named()
    {
        using var place = new Folder();
        var run = RecordedRun.Sound.With(t => t.Channel("motor_speed_rad_s", Still).Channel("output_speed_rad_s", Still).Channel("output_torque_nm", Still));
        (await RecordedRun.Judge(run.WriteTo(place))).IsWrong("motor_speed_rad_s: found", "One of the two speed sensors is dead or scaled wrongly.");
    }

    [Fact]
    public async Task A_run_that_ended_too_early_is_refused_or_held()
    {
        using var place = new Folder();
        var run = RecordedRun.Sound.With(t => t.Until(50), t => t.Until(50), t => t.Until(50));
        IsRefusedOrHeld(await RecordedRun.Judge(run.WriteTo(place)), "");
    }

    [Fact]
    public async Task Files_of_two_units_are_no_run()
    {
        using var place = new Folder();
        var files = RecordedRun.Sound.WriteTo(place);
        await File.WriteAllBytesAsync(files[1], RecordedRun.Octets(RecordedRun.Sound.Fast, "SH-0000002"));
        (await RecordedRun.Judge(files)).IsWrong($"{files[1]}: item: found 'SH-0000002', expected 'SH-0000001'");
    }

    [Fact]
    public async Task Files_that_are_not_there_are_all_named()
    {
        (await RecordedRun.Judge("/no/such/slow.parquet", "/no/such/fast.parquet")).IsWrong("/no/such/slow.parquet: found no such file", "/no/such/fast.parquet: found no such file");
    }

    [Fact]
    public async Task A_file_left_out_is_refused_or_held()
    {
        using var place = new Folder();
        var files = RecordedRun.Sound.WriteTo(place);
        IsRefusedOrHeld(await RecordedRun.Judge(files[0]), "");
        IsRefusedOrHeld(await RecordedRun.Judge(files[1], files[2]), "");
    }

    static float[] Still(float[] samples) => [.. samples.Select((_, i) => i % 2 == 0 ? 0.001f : -0.001f)];

    static void IsRefusedOrHeld(Typed said, string named)
    {
        if (said.Exit == 2)
        {
            said.IsWrong(named);
            return;
        }

        Assert.Equal((4, "hold"), (said.Exit, said.Json.GetProperty("verdict").GetString()));
    }
}
