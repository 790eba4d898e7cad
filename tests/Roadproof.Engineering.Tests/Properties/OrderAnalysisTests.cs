using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Formats;
using Roadproof.Engineering.LoadTest;
using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Signals;
using Roadproof.Engineering.Tests.Fixtures;

namespace Roadproof.Engineering.Tests.Properties;

/// <summary>From a capture to named lines, through every kind of angle; and what is refused.</summary>
public sealed class OrderAnalysisTests
{
    const string Shaking = CaptureChannel.Vibration;

    // As a 6001-size bearing often has it; from memory, like the demo's.
    static readonly Bearing RotorBearing = new() { Name = "rotor bearing", Shaft = 0, Balls = 8, BallDiameterM = 0.00476, PitchDiameterM = 0.020 };
    static readonly DriveUnit Unit = MidDrive.Unit with { Bearings = [RotorBearing] };

    static readonly RunUp Run = new(25_600, 8, 2000, 2200);
    static readonly float[] Shaken = Run.Signal(0.02, (1, 0.3), (12, 1), (13, 0.2), (42, 0.5), (8.5, 0.1));

    // Textbook kinematics by hand: q = 0.238; outer 8·0.762/2 = 3.048, inner 4.952, cage 0.381, spin 20/9.52·(1 − 0.238²) = 1.98184, strikes 3.96368.
    [Fact]
    public void A_bearing_has_its_textbook_orders()
    {
        Assert.Equal(["cage", "outer ring", "inner ring", "ball spin", "ball strikes"], RotorBearing.DefectsPerTurn().Select(d => d.Part));
        Assert.All(RotorBearing.DefectsPerTurn().Select(d => d.PerTurn).Zip([0.381, 3.048, 4.952, 1.981840, 3.963681]), p => Assert.Equal(p.Second, p.First, 1e-6));

        // Each ball passes a place of the outer ring and one of the inner once a turn against the cage: both together are the balls.
        Assert.Equal(8, 3.048 + 4.952, 12);
        Assert.DoesNotContain(NamedOrders.Of(MidDrive.Unit).All, o => o.Name.Contains("ring", StringComparison.Ordinal));
    }

    [Fact]
    public void Names_that_cannot_be_told_apart_are_all_given()
    {
        var orders = NamedOrders.Of(Unit);

        Assert.Equal("stage-1 mesh", orders.Near(12.001, 0.01)[0].Name);
        Assert.Equal("stage-1 mesh + rotor", Assert.Single(orders.Near(13.0, 0.01)).Name);
        Assert.Contains("stage-1 mesh + intermediate shaft", orders.Near(12 + 12.0 / 83, 0.01).Select(o => o.Name));
        Assert.Equal(["twice electrical", "stage-1 mesh + 2 × rotor"], orders.Near(14, 0.001).Select(o => o.Name)); // seven pole pairs, twelve teeth
        Assert.Contains("rotor bearing outer ring", orders.Near(3.10, 0.001).Select(o => o.Name)); // balls slip by a percent or two
        Assert.Empty(orders.Near(8.5, 0.01));
    }

    public static TheoryData<string> Angles => ["encoder", "coarse encoder", "speed", "tacho"];

    [Theory, MemberData(nameof(Angles))]
    public void Every_kind_of_angle_gives_the_same_lines(string kind)
    {
        var angle = kind switch { "encoder" => Run.Encoder(), "coarse encoder" => Run.Encoder(steps: 256), "speed" => Run.Speed(), _ => Run.Tacho(2) };
        var read = OrderAnalysis.Of(Run.Capture(Shaking, Shaken, angle), new(Shaking) { Angle = angle.Item1, PulsesPerTurn = kind == "tacho" ? 2 : null }, Unit);

        Assert.Equal("rotor", read.Shaft);
        foreach (var (name, order, amplitude) in ((string, double, double)[])[("rotor", 1, 0.3), ("stage-1 mesh", 12, 1), ("stage-1 mesh + rotor", 13, 0.2), ("six times electrical", 42, 0.5)])
        {
            var line = Assert.Single(read.Orders, o => o.Name == name && o.Found);
            Assert.Equal(order, line.Order, 0.1 * read.OrderStep);
            Assert.Equal(amplitude, line.Amplitude, kind == "coarse encoder" ? 0.02 * amplitude : 0.005 * amplitude);
            Assert.Equal("m/s²", line.Unit);
        }

        Assert.Null(Assert.Single(read.Orders, o => o.Found && Math.Abs(o.Order - 8.5) < 0.05).Name);
        Assert.All(read.Orders, o => Assert.InRange(o.Order, 0, read.HighestOrder));
        Assert.Equal(0.4 * 25_600 / (2200 / 60.0), read.HighestOrder, 3.0);
        Assert.Equal(Moments.Of(Shaken).Rms, read.Rms, 1e-3);
        Assert.DoesNotContain(read.Gears, g => g.ToothStandsOut);
    }

    [Fact]
    public void The_angle_may_stand_in_another_table_of_another_rate()
    {
        var slow = new RunUp(2000, 8, 2000, 2200);
        var capture = new Capture(CaptureHeader.Unknown,
        [
            new("fast.csv", Run.TimeS, new Dictionary<string, float[]> { [Shaking] = Shaken }),
            new("slow.csv", slow.TimeS, new Dictionary<string, float[]> { [CaptureChannel.MotorAngle] = slow.Encoder().Item2 }),
        ]);
        var read = OrderAnalysis.Of(capture, new(Shaking), null);

        Assert.Equal(1, read.Orders.MaxBy(o => o.Amplitude)!.Amplitude, 0.005);
        Assert.All(read.Orders, o => Assert.Null(o.Name));
        Assert.Empty(read.Gears);
    }

    // A tooth of the first wheel strikes once a wheel turn and rings at 7 kHz.
    [Fact]
    public void A_striking_tooth_shows_in_its_wheel_and_in_the_envelope()
    {
        var run = new RunUp(25_600, 15, 1990, 2010);
        var shaken = run.Signal(0.2, (12, 1), (24, 0.3));
        for (var blow = 0; blow < (int)(run.TurnsAt(15) * 12 / 83); blow++)
        {
            var at = Array.FindIndex(run.TimeS, s => run.TurnsAt(s) * 12 / 83 >= blow + 0.5);
            for (var i = 0; i < 60; i++) shaken[at + i] += (float)(6 * Math.Exp(-i / 15.0) * Math.Sin(2 * Math.PI * 7000 * i / 25_600));
        }

        var read = OrderAnalysis.Of(run.Capture(Shaking, shaken, run.Encoder()), new(Shaking), Unit);

        var wheel = Assert.Single(read.Gears, g => g.ToothStandsOut && g.Stage == 1);
        Assert.Equal("wheel", wheel.Wheel);
        Assert.InRange(wheel.Tooth, 41, 43); // half a turn of 83 teeth

        // The next stage's pinion sits on the same shaft: the blow is once in its turn as well, and that is said.
        Assert.Equal((2, "pinion"), Assert.Single(read.Gears.Where(g => g.ToothStandsOut && g != wheel).Select(g => (g.Stage, g.Wheel))));
        Assert.Contains(read.Warnings, w => w.Contains("sit on one shaft", StringComparison.Ordinal));
        Assert.InRange(7000, read.Envelope!.FromHz, read.Envelope.ToHz);
        Assert.Contains(read.Envelope.Orders, o => o.Found && o.Names.Contains("intermediate shaft") || o.Found && Math.Abs(o.Order / (12.0 / 83) - Math.Round(o.Order / (12.0 / 83))) < 0.1);
    }

    // A bearing's outer ring: ringing at 5 kHz, 3.048 times a turn.
    [Fact]
    public void A_bearing_shows_in_the_envelope()
    {
        var shaken = Run.Signal(0.3, (12, 1));
        for (var blow = 0; blow < (int)(Run.TurnsAt(8) * 3.048) - 1; blow++)
        {
            var at = Array.FindIndex(Run.TimeS, s => Run.TurnsAt(s) * 3.048 >= blow);
            for (var i = 0; i < 60; i++) shaken[at + i] += (float)(1.5 * Math.Exp(-i / 15.0) * Math.Sin(2 * Math.PI * 5000 * i / 25_600));
        }

        var read = OrderAnalysis.Of(Run.Capture(Shaking, shaken, Run.Encoder()), new(Shaking) { Band = (3500, 6500) }, Unit);

        var heard = read.Envelope!.Orders.Where(o => o.Found).MaxBy(o => o.Amplitude)!;
        Assert.Equal("rotor bearing outer ring", heard.Name);

        // The plain spectrum has the ringing, not how often it comes: there the same line stands out far less, if at all.
        var plain = read.Orders.Single(o => o.Names.Contains("rotor bearing outer ring"));
        Assert.True(heard.Amplitude / heard.Floor > 5 * plain.Amplitude / plain.Floor);
    }

    // Phase u 10 % low: positive 29/30, negative and zero sequence 1/30 of the amplitude (Fortescue, by hand).
    [Fact]
    public void Unlike_phases_show_as_a_negative_sequence()
    {
        float[] Phase(int k, double amplitude) => Array.ConvertAll(Run.TimeS, s => (float)(amplitude * Math.Cos(2 * Math.PI * (7 * Run.TurnsAt(s) - k / 3.0))));
        var capture = Run.Capture(CaptureChannel.PhaseCurrentU, Phase(0, 9), (CaptureChannel.PhaseCurrentV, Phase(1, 10)), (CaptureChannel.PhaseCurrentW, Phase(2, 10)), Run.Encoder());
        var read = OrderAnalysis.Of(capture, new(CaptureChannel.PhaseCurrentU), Unit);

        Assert.Equal(29.0 / 3, read.Phases!.PositiveA, 1e-3);
        Assert.Equal(1.0 / 3, read.Phases.NegativeA, 1e-3);
        Assert.Equal(1.0 / 3, read.Phases.ZeroA, 1e-3);
        Assert.Equal(1.0 / 29, read.Phases.Unbalance, 1e-3);
        Assert.Equal("pole pairs (electrical)", read.Orders.MaxBy(o => o.Amplitude)!.Name);
    }

    [Fact]
    public void What_cannot_be_read_is_refused_in_words()
    {
        var still = (CaptureChannel.MotorAngle, new float[Shaken.Length]);
        Assert.Contains("--angle: found no channel that says how the shaft turns", Refusal(Run.Capture(Shaking, Shaken), new(Shaking)), StringComparison.Ordinal);
        Assert.Contains("Is it vibration_m_s2?", Refusal(Run.Capture(Shaking, Shaken), new("vibration_m_s")), StringComparison.Ordinal);
        Assert.Contains("motor_angle_rad: found an angle that stands still", Refusal(Run.Capture(Shaking, Shaken, still), new(Shaking)), StringComparison.Ordinal);
        Assert.Contains("expected a channel whose name ends in _rad", Refusal(Run.Capture(Shaking, Shaken, Run.Tacho(2)), new(Shaking) { Angle = "tacho" }), StringComparison.Ordinal);
        Assert.Contains("rows from 0 s to", Refusal(Run.Capture(Shaking, Shaken, Run.Encoder()), new(Shaking) { FromS = 9 }), StringComparison.Ordinal);
        Assert.Contains("--turns-per-block: found 512 in a stretch of", Refusal(Run.Capture(Shaking, Shaken, Run.Encoder()), new(Shaking) { TurnsPerBlock = 512 }), StringComparison.Ordinal);
        Assert.Contains("--band: found 100 to 20000 Hz", Refusal(Run.Capture(Shaking, Shaken, Run.Encoder()), new(Shaking) { Band = (100, 20_000) }), StringComparison.Ordinal);

        var slow = new RunUp(60, 20, 2000, 2200);
        Assert.Contains("samples a second at least for the first order", Refusal(slow.Capture(Shaking, slow.Signal(0.1, (1, 1)), slow.Speed()), new(Shaking)), StringComparison.Ordinal);
        Assert.Contains("less than two and a half angles a turn", Refusal(slow.Capture(Shaking, slow.Signal(0.1, (1, 1)), slow.Encoder()), new(Shaking)), StringComparison.Ordinal);

        var holed = (float[])Shaken.Clone();
        holed[1000] = float.NaN;
        Assert.Contains("no value in row 1001", Refusal(Run.Capture(Shaking, holed, Run.Encoder()), new(Shaking)), StringComparison.Ordinal);
    }

    // A start from rest and a stop belong to every run: only the turning part is read.
    [Fact]
    public void Standing_still_before_and_after_is_left_out()
    {
        double Turns(double s) => s < 1 ? 0 : s < 5 ? 30 * (s - 1) : 120;
        var timeS = Enumerable.Range(0, 60_000).Select(i => i / 10_000.0).ToArray();
        var capture = new Capture(CaptureHeader.Unknown, [new("run.csv", timeS, new Dictionary<string, float[]>
        {
            [Shaking] = Array.ConvertAll(timeS, s => (float)Math.Cos(2 * Math.PI * 12 * Turns(s))),
            [CaptureChannel.MotorAngle] = Array.ConvertAll(timeS, s => (float)(2 * Math.PI * (Turns(s) - Math.Floor(Turns(s))))),
        })]);
        var read = OrderAnalysis.Of(capture, new(Shaking), null);

        Assert.Equal(1, read.FromS, 0.05);
        Assert.Equal(5, read.ToS, 0.05);
        Assert.Equal(1, read.Orders.MaxBy(o => o.Amplitude)!.Amplitude, 0.005);
    }

    // A digital tacho's edge is known to a sample: at 30 turns a second and 10 kHz up to 0.1 of an order-100 turn. Lines would be lost to their neighbours without smoothing.
    [Theory]
    [InlineData(1800, 1800, 100, 0.2)]
    [InlineData(1790.3, 1811.7, 100, 0.2)]
    [InlineData(600, 3600, 40, 0.3)]
    public void A_digital_tacho_reads_high_orders(double fromRpm, double toRpm, double order, double amplitude)
    {
        var run = new RunUp(10_000, 20, fromRpm, toRpm);
        var square = Array.ConvertAll(run.TimeS, s => run.TurnsAt(s) % 1 < 0.5 ? 5f : 0f);
        var read = OrderAnalysis.Of(run.Capture(Shaking, run.Signal(0.01, (7, 2), (12.3, 0.5), (order, amplitude)), ("tacho", square)), new(Shaking) { Angle = "tacho", PulsesPerTurn = 1 }, null);

        double At(double o) => read.Orders.Where(l => Math.Abs(l.Order - o) < 0.2).Select(l => l.Amplitude).DefaultIfEmpty(0).Max();
        Assert.Equal(2, At(7), 0.005);
        Assert.Equal(amplitude, At(order), 0.01 * amplitude);
        Assert.DoesNotContain(read.Orders, l => l.Found && l.Amplitude > 0.01 && new[] { 7, 12.3, order }.All(o => Math.Abs(l.Order - o) > 0.3));
        Assert.Contains(read.Warnings, w => w.Contains("edges are known to ±50 µs", StringComparison.Ordinal));
    }

    // The same with a tacho, which says nothing while the shaft stands: turning, standing, turning longer.
    [Fact]
    public void A_tacho_that_rests_is_a_shaft_that_stands()
    {
        double Turns(double s) => s < 1 ? 20 * s : s < 3 ? 20 : 20 + 25 * (s - 3);
        var timeS = Enumerable.Range(0, 70_000).Select(i => i / 10_000.0).ToArray();
        var capture = new Capture(CaptureHeader.Unknown, [new("run.csv", timeS, new Dictionary<string, float[]>
        {
            [Shaking] = Array.ConvertAll(timeS, s => (float)Math.Cos(2 * Math.PI * 12 * Turns(s))),
            ["tacho"] = Array.ConvertAll(timeS, s => Turns(s) * 4 % 1 < 0.5 ? 5f : 0f),
        })]);
        var read = OrderAnalysis.Of(capture, new(Shaking) { Angle = "tacho", PulsesPerTurn = 4 }, null);

        Assert.Equal(3, read.FromS, 0.1);
        Assert.Equal(100, read.Turns, 1.0);
        Assert.Equal(1, read.Orders.MaxBy(o => o.Amplitude)!.Amplitude, 0.02);
        Assert.DoesNotContain(read.Warnings, w => w.Contains("missing", StringComparison.Ordinal));
    }

    static string Refusal(Capture capture, OrderRequest request) => Assert.Throws<InputException>(() => OrderAnalysis.Of(capture, request, Unit)).Message;
}
