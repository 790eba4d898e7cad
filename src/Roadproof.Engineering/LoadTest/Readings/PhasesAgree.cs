using System.Numerics;
using Roadproof.Engineering.Formats;
using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Signals;
using static System.FormattableString;

namespace Roadproof.Engineering.LoadTest;

/// <summary>Whether phase currents, phase voltages and rotor angle belong together and to this product.</summary>
/// <remarks>
/// Without a star point the three currents add up to nothing: whichever sensor best explains the rest by its own gain is the wrong one (dead 0, turned round −1). Seen from the rotor the currents
/// stand still, along q, because the controller keeps them there: two swapped phases turn the wrong way at twice the speed, phases one place on stand 120° off, another number of pole pairs does not
/// stand at all. Looked at in the fast window with the most current. Source: symmetrical components and Park's transformation (textbook).
/// </remarks>
static class PhasesAgree
{
    const double LeastCurrentA = 1;
    const double SumTolerance = 0.15;
    const double GainTolerance = 0.1;
    const double Coherent = 0.7;

    /// <summary>From where the controller keeps the current (q), and from where the machine's own voltages can lie under load.</summary>
    const double FarthestCurrentDeg = 45, FarthestVoltageDeg = 80;
    const int MostPolePairs = 40;

    static readonly string[] Currents = [CaptureChannel.PhaseCurrentU, CaptureChannel.PhaseCurrentV, CaptureChannel.PhaseCurrentW];
    static readonly string[] Voltages = [CaptureChannel.PhaseVoltageU, CaptureChannel.PhaseVoltageV, CaptureChannel.PhaseVoltageW];

    public static void Find(RunChannels channels, LoadTestPlan plan, List<InputError> errors)
    {
        Angle(channels, errors);
        var before = errors.Count;
        if (channels.FastWindows.Where(w => w.Count > 1).Select(w => (w.From, w.To)).MaxBy(rows => Size(channels, Currents, rows)) is not { To: > 0 } loudest || Size(channels, Currents, loudest) < LeastCurrentA) return;
        OddOneOut(channels, Currents, loudest, "the other two currents", errors);
        if (channels.HasPhaseVoltages) OddOneOut(channels, Voltages, loudest, "the other two voltages", errors);

        // Where one phase is wrong the three cannot be seen from the rotor.
        if (errors.Count > before) return;
        var current = Seen(channels, Currents, loudest, plan.Unit.Motor.PolePairs);
        var voltage = channels.HasPhaseVoltages ? Seen(channels, Voltages, loudest, plan.Unit.Motor.PolePairs) : (FromRotor?)null;
        if (current.Turns == Sequence.Neither) OtherPolePairs(channels, loudest, plan, errors);
        else if (current.Turns == Sequence.Backward && voltage is null or { Turns: Sequence.Backward })
            errors.Add(Wrong(channels, CaptureChannel.MotorAngle, "phases that follow each other the other way round than the rotor turns", "u, v, w in the order of the rotor's turning",
                voltage is null ? "Two phases are swapped, or the angle counts backwards." : "The angle counts backwards, or two phases are swapped in currents and voltages alike."));
        else
        {
            Order(channels, Currents, current, FarthestCurrentDeg, errors);
            if (voltage is { } v) Order(channels, Voltages, v, FarthestVoltageDeg, errors);
        }
    }

    static void Order(RunChannels channels, string[] three, FromRotor seen, double farthestDeg, List<InputError> errors)
    {
        if (seen.Turns == Sequence.Backward)
            errors.Add(Wrong(channels, three[0], "three phases that follow each other the other way round than the rotor turns", "u, v, w in the order of the rotor's turning", $"Two of {string.Join(", ", three)} are swapped."));
        else if (seen.Turns == Sequence.Forward && Math.Abs(seen.FromQDeg) > farthestDeg)
        {
            errors.Add(Wrong(channels, three[0], Invariant($"phases that stand {seen.FromQDeg:0}° from where the rotor drives"), "phases that drive the rotor forward",
                Math.Abs(seen.FromQDeg) > 150 ? $"The signs of {string.Join(", ", three)} are turned round." : $"{string.Join(", ", three)} are one place on: u stands where v or w belongs."));
        }
    }

    /// <summary>One of three that should add up to nothing, read with a gain of its own.</summary>
    static void OddOneOut(RunChannels channels, string[] three, (int From, int To) rows, string others, List<InputError> errors)
    {
        ReadOnlySpan<float> a = channels.FastRows(three[0], rows), b = channels.FastRows(three[1], rows), c = channels.FastRows(three[2], rows);
        double common = 0, sumSquare = 0, square = 0;
        for (var i = 0; i < a.Length; i++) common += (a[i] + b[i] + c[i]) / (double)a.Length;
        for (var i = 0; i < a.Length; i++)
        {
            var sum = a[i] + b[i] + c[i] - common; // a steady offset is the gauge's zero, not a wrong phase
            sumSquare += sum * sum;
            square += (double)a[i] * a[i] + (double)b[i] * b[i] + (double)c[i] * c[i];
        }

        if (sumSquare < SumTolerance * SumTolerance * square / 3) return;
        var best = (Channel: "", Gain: 1.0, Left: double.PositiveInfinity);
        for (var k = 0; k < 3; k++)
        {
            ReadOnlySpan<float> own = channels.FastRows(three[k], rows), one = channels.FastRows(three[(k + 1) % 3], rows), other = channels.FastRows(three[(k + 2) % 3], rows);
            double product = 0, truth = 0, left = 0;
            for (var i = 0; i < own.Length; i++)
            {
                double mustBe = -one[i] - other[i];
                product += own[i] * mustBe;
                truth += mustBe * mustBe;
                left += (double)own[i] * own[i];
            }

            var gain = product / truth;
            left -= gain * product;
            if (left / truth < best.Left) best = (three[k], gain, left / truth);
        }

        if (Math.Abs(best.Gain - 1) < GainTolerance || best.Left > 0.05)
        {
            errors.Add(Wrong(channels, three[0], Invariant($"three phases whose sum is {Math.Sqrt(3 * sumSquare / square):0.##} of one of them"), "phases that add up to nothing", "A sensor is disturbed, or the three are not of one moment."));
            return;
        }

        errors.Add(Wrong(channels, best.Channel, Math.Abs(best.Gain) < GainTolerance ? $"nothing, where {others} ask for a current or voltage of their size" : Invariant($"{best.Gain:0.##} times what {others} ask for"), "phases that add up to nothing",
            Math.Abs(best.Gain) < GainTolerance ? "The sensor is dead." : best.Gain < 0 ? "Its sign is turned round." : "Its scale is wrong."));
    }

    static void OtherPolePairs(RunChannels channels, (int From, int To) rows, LoadTestPlan plan, List<InputError> errors)
    {
        var own = plan.Unit.Motor.PolePairs;
        var other = Enumerable.Range(1, MostPolePairs).FirstOrDefault(p => p != own && Seen(channels, Currents, rows, p).Turns == Sequence.Forward);
        errors.Add(Wrong(channels, CaptureChannel.MotorAngle, other > 0 ? Invariant($"currents that turn {other} times in a turn of the rotor") : "currents that do not turn with the rotor",
            Invariant($"{own} times: the product has {own} pole pairs"), other > 0 ? "Another product is in the rig, or the angle is that of another shaft." : "The encoder slips, or the angle is not that of the rotor."));
    }

    enum Sequence { Neither, Forward, Backward }

    readonly record struct FromRotor(Sequence Turns, double FromQDeg);

    static FromRotor Seen(RunChannels channels, string[] three, (int From, int To) rows, int polePairs)
    {
        ReadOnlySpan<float> u = channels.FastRows(three[0], rows), v = channels.FastRows(three[1], rows), w = channels.FastRows(three[2], rows);
        var angleRad = channels.FastRows(CaptureChannel.MotorAngle, rows);
        Complex forward = 0, backward = 0;
        var square = 0.0;
        for (var i = 0; i < u.Length; i++)
        {
            var x = new Complex((2.0 * u[i] - v[i] - w[i]) / 3, (v[i] - (double)w[i]) / Math.Sqrt(3));
            var (sin, cos) = Math.SinCos(polePairs * (double)angleRad[i]);
            forward += x * new Complex(cos, -sin);
            backward += x * new Complex(cos, sin);
            square += x.Real * x.Real + x.Imaginary * x.Imaginary;
        }

        var size = Math.Sqrt(square * u.Length);
        var turns = forward.Magnitude > Coherent * size ? Sequence.Forward : backward.Magnitude > Coherent * size ? Sequence.Backward : Sequence.Neither;
        return new(turns, Math.Atan2(-forward.Real, forward.Imaginary) * 180 / Math.PI);
    }

    /// <summary>The reported angle runs on: no piece of a turn is missing in it.</summary>
    static void Angle(RunChannels channels, List<InputError> errors)
    {
        var jumps = channels.FastWindows.Where(w => w.Count > 2 * AngleJumps.Around).SelectMany(w =>
        {
            var times = channels.Fast.TimeS.AsSpan(w.From, w.Count);
            return AngleJumps.In(AngleTrack.FromWrapped(times, channels.FastRows(CaptureChannel.MotorAngle, (w.From, w.To))).AngleRad).Select(j => (AtS: channels.Fast.TimeS[w.From + j.At], j.Rad)).ToArray();
        }).ToList();
        if (jumps.Count == 0) return;
        errors.Add(Wrong(channels, CaptureChannel.MotorAngle, Invariant($"{jumps.Count} {(jumps.Count == 1 ? "jump" : "jumps")}, the first by {jumps[0].Rad:0.##} rad at {jumps[0].AtS:0.####} s"), "an angle that runs on with the rotor",
            "The encoder or its coupling slips, or the recorder dropped samples there."));
    }

    static double Size(RunChannels channels, string[] three, (int From, int To) rows) =>
        Math.Sqrt(three.Sum(channel => Math.Pow(Moments.Of(channels.FastRows(channel, rows)).StandardDeviation, 2)) / 3);

    static InputError Wrong(RunChannels channels, string channel, string found, string expected, string hint) => new(channels.Fast.Source, 0, channel, found, expected, hint);
}
