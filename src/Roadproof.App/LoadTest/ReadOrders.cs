using System.CommandLine;
using Roadproof.App.Definitions;
using Roadproof.App.Frame;
using Roadproof.Engineering.Drive;
using Roadproof.Engineering.LoadTest;
using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Signals;
using Spectre.Console;

namespace Roadproof.App.LoadTest;

/// <summary>Reads a channel of a capture over a shaft's angle: which lines stand in it, what of the product they belong to, and whether a tooth or a bearing strikes.</summary>
public static class ReadOrders
{
    public sealed record Answer(
        string Channel, string AngleChannel, string Shaft, double FromS, double ToS, double RateHz, double Turns, double LowestSpeedRadPerS, double HighestSpeedRadPerS, double HighestOrder, double OrderStep, int Blocks,
        string Window, IReadOnlyList<OrderReading> Orders, double Rms, double Kurtosis, double Crest, IReadOnlyList<OrderBand> Bands, EnvelopeReading? Envelope, IReadOnlyList<WheelReading> Gears, SequenceReading? Phases,
        string Method, IReadOnlyList<string> Warnings);

    const int LinesShown = 25;

    public static Command Command()
    {
        Argument<string[]> files = new("file") { Arity = ArgumentArity.OneOrMore, Description = "Capture files of one run (Parquet, CSV); the angle may stand in another one than the channel." };
        Option<string> channel = new("--channel") { Required = true, Description = "The channel to read." };
        Option<string?> product = new("--product") { Description = "Product id, as its definition file names it: lines get names, wheels are averaged." };
        Option<string?> angle = new("--angle") { Description = "Channel that says how the shaft turns: an angle (…_rad), a speed (…_rad_s, …_rpm) or a tacho; the rotor's or output's own if left out." };
        Option<int?> pulses = new("--pulses-per-turn") { Description = "The angle channel is a tacho with so many pulses a turn." };
        Option<double?> from = new("--from-s") { Description = "Read from this time on." };
        Option<double?> to = new("--to-s") { Description = "Read up to this time." };
        Option<int?> turns = new("--turns-per-block") { Description = "Turns in a block of the spectrum, a power of two: more part lines that lie near, fewer average more." };
        Option<string> window = new("--window") { DefaultValueFactory = _ => Window.Hann.Name, Description = "hann, flat-top (amplitudes right between bins), blackman-harris (small beside large) or rectangular." };
        Option<string?> band = new("--band") { Description = "Band of the envelope in Hz, such as 2000..6000; the one with the sharpest blows if left out." };
        return CommandLine.Verb("orders", "Reads a channel over the angle: lines and their names, bands, envelope, wheels.", "loadtest orders fast.parquet vibration.parquet --channel vibration_m_s2 --product af-85",
            [files, channel, product, angle, pulses, from, to, turns, window, band], (input, face, _) =>
            {
                var unit = input.GetValue(product) is { } id ? FindProduct.LoadTest(input.GetValue(CommandLine.DefinitionsOption)!, id).Unit : null;
                var a = Run(input.GetValue(files)!, Request(input), unit);
                return Task.FromResult(face.Say(a, console => Print(console, a)));
            });

        OrderRequest Request(ParseResult input) => input.GetValue(from) is { } start && input.GetValue(to) is { } end && start >= end
            ? throw Usage("--to-s", Number(end), $"a time after --from-s, {Number(start)}")
            : new(input.GetValue(channel)!)
        {
            Angle = input.GetValue(angle), PulsesPerTurn = Pulses(input.GetValue(pulses), input.GetValue(angle)), FromS = input.GetValue(from), ToS = input.GetValue(to),
            TurnsPerBlock = TurnsPerBlock(input.GetValue(turns)), Window = WindowOf(input.GetValue(window)!), Band = BandOf(input.GetValue(band)),
        };
    }

    /// <exception cref="InputException">The files are no capture, or the channel cannot be read over an angle.</exception>
    public static Answer Run(IReadOnlyList<string> files, OrderRequest request, DriveUnit? unit)
    {
        var r = OrderAnalysis.Of(CaptureFiles.Read(files), request, unit);
        return new(r.Channel, r.AngleChannel, r.Shaft, r.FromS, r.ToS, r.RateHz, r.Turns, r.LowestSpeedRadPerS, r.HighestSpeedRadPerS, r.HighestOrder, r.OrderStep, r.Blocks, r.Window, r.Orders, r.Rms, r.Kurtosis, r.Crest,
            r.Bands, r.Envelope, r.Gears, r.Phases, "Anti-aliased resampling over the angle, averaged spectrum of half-overlapped blocks, lines against the noise beside them; docs/methods/orders.md. Readings, not limits.", r.Warnings);
    }

    static int? Pulses(int? pulses, string? angle) => pulses switch
    {
        null => null,
        < 1 or > 100_000 => throw Usage("--pulses-per-turn", pulses.Value.ToString(CultureInfo.InvariantCulture), "1 to 100000 pulses a turn"),
        _ when angle is null => throw Usage("--pulses-per-turn", "no --angle beside it", "the tacho's channel by --angle"),
        _ => pulses,
    };

    static int? TurnsPerBlock(int? turns) => turns is { } n && (n < 1 || n > 1 << 16 || (n & (n - 1)) != 0)
        ? throw Usage("--turns-per-block", n.ToString(CultureInfo.InvariantCulture), "a power of two: 1, 2, 4 … 65536")
        : turns;

    static Window WindowOf(string name) => Window.All.FirstOrDefault(w => w.Name.Replace(' ', '-') == name)
        ?? throw Usage("--window", $"'{name}'", $"one of {string.Join(", ", Window.All.Select(w => w.Name.Replace(' ', '-')))}");

    static (double, double)? BandOf(string? text)
    {
        if (text is null) return null;
        var parts = text.Split("..");
        return parts.Length == 2 && double.TryParse(parts[0], CultureInfo.InvariantCulture, out var from) && double.TryParse(parts[1], CultureInfo.InvariantCulture, out var to)
            ? (from, to)
            : throw Usage("--band", $"'{text}'", "two frequencies in Hz such as 2000..6000");
    }

    static InputException Usage(string option, string found, string expected) => new(new InputError(option, 0, "", found, expected));

    static void Print(IAnsiConsole console, Answer a)
    {
        console.WriteLine($"{a.Channel} over the turns of the {a.Shaft}, {Number(a.FromS)} to {Number(a.ToS)} s: {Number(a.Turns)} turns at {Number(a.LowestSpeedRadPerS)} to {Number(a.HighestSpeedRadPerS)} rad/s; rms {Number(a.Rms)}, kurtosis {Number(a.Kurtosis)}, crest {Number(a.Crest)}.");
        console.WriteLine($"Orders up to {Number(a.HighestOrder)}, {Number(a.OrderStep)} apart, {Number(a.Blocks)} blocks, {a.Window} window.");
        console.Write(Lines(a.Orders));

        var bands = Tables.Of(">from order", ">to", ">rms");
        foreach (var b in a.Bands) bands.Row(Number(b.FromOrder), Number(b.ToOrder), Number(b.Rms));
        console.Write(bands);

        if (a.Envelope is { } e)
        {
            console.WriteLine($"Envelope of {Number(e.FromHz)} to {Number(e.ToHz)} Hz, kurtosis {Number(e.Kurtosis)} (2 is noise):");
            console.Write(Lines(e.Orders));
        }

        if (a.Gears.Count > 0)
        {
            var gears = Tables.Of("stage", "wheel", ">teeth", ">turns", ">meets again after", ">mesh line", ">sidebands", ">residual rms", ">kurtosis", ">tooth", ">louder", ">by chance", ">repeats", "");
            foreach (var g in a.Gears)
                gears.Row(g.Stage.ToString(CultureInfo.InvariantCulture), g.Wheel, g.Teeth.ToString(CultureInfo.InvariantCulture), Number(g.Turns), g.HuntingTurns.ToString(CultureInfo.InvariantCulture), Number(g.MeshAmplitude), Number(g.SidebandIndex), Number(g.ResidualRms), Number(g.ResidualKurtosis),
                    g.Tooth.ToString(CultureInfo.InvariantCulture), Number(g.Louder), Number(g.ChanceProbability), Number(g.Repeats), g.ToothStandsOut ? "stands out" : "");
            console.Write(gears);
        }

        if (a.Phases is { } p) console.WriteLine($"Phases: {Number(p.PositiveA)} A with the field, {Number(p.NegativeA)} A against it, {Number(p.ZeroA)} A common: unbalance {Number(100 * p.Unbalance)} %.");
        foreach (var w in a.Warnings) console.WriteLine(w);
    }

    /// <summary>The largest lines, in the order of the shaft's turn.</summary>
    static Table Lines(IReadOnlyList<OrderReading> orders)
    {
        var table = Tables.Of(">order", ">amplitude", ">u", ">floor", "unit", "name");
        foreach (var o in orders.Where(o => o.Found).OrderByDescending(o => o.Amplitude).Take(LinesShown).OrderBy(o => o.Order))
            table.Row(o.Order.ToString("0.####", CultureInfo.InvariantCulture), Number(o.Amplitude), Number(o.StandardUncertainty), Number(o.Floor), o.Unit, string.Join(" or ", o.Names));
        return table;
    }

    static string Number(double value) => value.ToString("G4", CultureInfo.InvariantCulture);
}
