using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Formats;
using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Signals;
using static System.FormattableString;

namespace Roadproof.Engineering.LoadTest;

/// <summary>One line of a channel that is tied to the shaft.</summary>
/// <param name="Order">Events per turn.</param>
/// <param name="Amplitude">Peak value of a sine.</param>
/// <param name="Unit">Of the amplitude; empty where the channel's name does not tell.</param>
/// <param name="Name">What of the product lies nearest; null without a product or where nothing lies so near.</param>
/// <param name="Names">Everything of the product that cannot be told apart from it at this resolution, the nearest first.</param>
/// <param name="Found">It stands out of the noise; else the amplitude at a place where a line would be, noise and all.</param>
/// <param name="Floor">Peak amplitude of the noise there.</param>
public sealed record OrderReading(double Order, double Amplitude, string Unit, string? Name, IReadOnlyList<string> Names, bool Found, double Floor, double StandardUncertainty);

/// <summary>What lies in one octave of orders, rms.</summary>
public sealed record OrderBand(double FromOrder, double ToOrder, double Rms);

/// <summary>How often a band of the channel swings: orders of its magnitude.</summary>
/// <param name="Kurtosis">Of the band: 2 for noise, more for blows.</param>
public sealed record EnvelopeReading(double FromHz, double ToHz, double Kurtosis, IReadOnlyList<OrderReading> Orders);

/// <summary>One wheel of a stage: what it repeats in each of its turns beside regular meshing.</summary>
/// <param name="Wheel">pinion or wheel; sun, planets or ring.</param>
/// <param name="HuntingTurns">Turns of the stage's first wheel until the same two teeth meet again.</param>
/// <param name="MeshAmplitude">First mesh line of the stage, peak.</param>
/// <param name="SidebandIndex">Mean amplitude of the first sidebands about it that turn with this wheel: a tooth that is off, and run-out too, modulates the mesh once in a turn.</param>
/// <param name="ResidualRms">Of the average without its mesh lines and sidebands.</param>
/// <param name="ResidualKurtosis">3 for noise, more where one place stands out.</param>
/// <param name="Tooth">Where the residual is strongest, from 1, counted from the angle 0 of the wheel.</param>
/// <param name="Louder">Its energy there over the median place.</param>
/// <param name="ChanceProbability">That noise has so loud a place anywhere on the wheel.</param>
/// <param name="Repeats">Correlation of odd with even turns at that tooth: near 1 it is the wheel's own, near 0 it came once by chance.</param>
/// <param name="ToothStandsOut">Both: hardly by chance, and the wheel's own.</param>
public sealed record WheelReading(
    int Stage, string Wheel, int Teeth, double Turns, int HuntingTurns, double MeshAmplitude, double SidebandIndex, double ResidualRms, double ResidualKurtosis, int Tooth, double Louder, double ChanceProbability, double Repeats, bool ToothStandsOut);

/// <summary>Three phases at their fundamental.</summary>
/// <param name="Unbalance">Negative over positive sequence.</param>
public sealed record SequenceReading(double PositiveA, double NegativeA, double ZeroA, double Unbalance);

/// <summary>One channel read over a shaft's angle: lines with their names, bands, envelope, wheels.</summary>
/// <param name="Shaft">What an order counts by.</param>
/// <param name="HighestOrder">Nothing above is reported: 0.4 of the sample rate at the highest speed.</param>
/// <param name="OrderStep">Distance of two bins: lines nearer than about two of them flow together.</param>
public sealed record OrderAnalysis(
    string Channel, string AngleChannel, string Shaft, double FromS, double ToS, double RateHz, double Turns, double LowestSpeedRadPerS, double HighestSpeedRadPerS, double HighestOrder, double OrderStep, int Blocks,
    string Window, IReadOnlyList<OrderReading> Orders, double Rms, double Kurtosis, double Crest, IReadOnlyList<OrderBand> Bands, EnvelopeReading? Envelope, IReadOnlyList<WheelReading> Gears, SequenceReading? Phases,
    IReadOnlyList<string> Warnings)
{
    const double ReadableShareOfRate = 0.4;
    const int LargestSamplesPerTurn = 4096;
    const int LargestBlock = 1 << 19;
    const int MostLines = 200;

    /// <summary>What lies this far below the largest line may be the resampling's own.</summary>
    const double ResamplingShare = 2e-4;

    const double TeethFalseAlarm = 0.001;
    const double LeastRepeats = 0.5;

    /// <param name="unit">The product's drive unit, for names and wheels; null where none is known.</param>
    /// <exception cref="InputException">No such channel, no angle, a shaft that stands still, too few turns, or a rate too slow for any order.</exception>
    public static OrderAnalysis Of(Capture capture, OrderRequest request, DriveUnit? unit)
    {
        var warnings = new List<string>();
        var shaft = TurningShaft.Find(capture, request, unit, warnings);
        var (slowest, fastest) = Speeds(shaft);
        var readable = ReadableShareOfRate * shaft.Rows.RateHz * 2 * Math.PI / fastest;
        if (readable < 1)
        {
            throw new InputException(new InputError(shaft.Table.Source, 0, request.Channel, Invariant($"{shaft.Rows.RateHz:0.#} samples a second at {fastest / (2 * Math.PI):0.#} turns a second"),
                Invariant($"{fastest / (2 * Math.PI) / ReadableShareOfRate:0} samples a second at least for the first order"), "No order above 0.4 of the sample rate is reported."));
        }

        var perTurn = (int)Math.Min(LargestSamplesPerTurn, System.Numerics.BitOperations.RoundUpToPowerOf2((uint)Math.Ceiling(readable / ReadableShareOfRate)));
        var highest = Math.Min(readable, ReadableShareOfRate * perTurn);
        var turnsPerBlock = TurnsPerBlock(shaft, request, perTurn);
        var moments = Moments.Of(shaft.Samples);
        if (moments.StandardDeviation == 0) throw new InputException(new InputError(shaft.Table.Source, 0, request.Channel, Invariant($"{moments.Mean} in every row"), "a channel that moves", "Is the sensor connected?"));

        var names = unit is not null && shaft.IsRotor ? NamedOrders.Of(unit) : null;
        var spectrum = SpectrumOf(shaft.Samples, shaft.AngleRad, moments.Mean, perTurn, turnsPerBlock, request.Window);
        var orders = Readings(spectrum, highest, names, UnitOf(request.Channel), warnings);
        if (spectrum.Blocks < 4) warnings.Add(Invariant($"Only {spectrum.Blocks} {(spectrum.Blocks == 1 ? "block" : "blocks")} to average: amplitudes of noise scatter widely. Take fewer turns a block or a longer stretch."));
        if (fastest > 1.02 * slowest) warnings.Add(Invariant($"The speed changes from {slowest:0.#} to {fastest:0.#} rad/s: amplitudes are means over it, and what resonates at one speed is spread over all."));

        return new(request.Channel, shaft.AngleChannel, shaft.IsRotor ? "rotor" : $"shaft of {shaft.AngleChannel}", shaft.Rows.FromS, shaft.Rows.ToS, shaft.Rows.RateHz, shaft.Turns, slowest, fastest,
            highest, spectrum.OrderStep, spectrum.Blocks, request.Window.Name, orders, moments.Rms, moments.Kurtosis, moments.Crest, BandsOf(spectrum, highest),
            EnvelopeOf(shaft, request, perTurn, turnsPerBlock, fastest, names, warnings), GearsOf(shaft, unit, fastest, warnings), PhasesOf(shaft, request, unit), warnings);
    }

    internal static (double Slowest, double Fastest) Speeds(TurningShaft shaft)
    {
        // Over about a turn, or what there is: noise of an angle from row to row is no speed.
        var piece = Math.Clamp((int)(shaft.Samples.Length / shaft.Turns), 2, shaft.Samples.Length - 1);
        var (slowest, fastest) = (double.PositiveInfinity, 0.0);
        for (var i = piece; i < shaft.Samples.Length; i += Math.Max(1, piece / 4))
        {
            var speed = (shaft.AngleRad[i] - shaft.AngleRad[i - piece]) / piece * shaft.Rows.RateHz;
            (slowest, fastest) = (Math.Min(slowest, speed), Math.Max(fastest, speed));
        }

        return (slowest, fastest);
    }

    static int TurnsPerBlock(TurningShaft shaft, OrderRequest request, int perTurn)
    {
        if (request.TurnsPerBlock is { } wanted)
        {
            if (wanted > shaft.Turns || (long)wanted * perTurn > 8L * LargestBlock)
                throw new InputException(new InputError(shaft.Table.Source, 0, "--turns-per-block", Invariant($"{wanted} in a stretch of {shaft.Turns:0.#} turns"), Invariant($"at most {Math.Min(shaft.Turns, 8L * LargestBlock / perTurn):0}")));
            return wanted;
        }

        // Five blocks of half overlap where they can be had.
        var turns = 1;
        while (turns * 2 * 3 <= shaft.Turns && turns * 2 * perTurn <= LargestBlock) turns *= 2;
        return turns;
    }

    static OrderSpectrum SpectrumOf(ReadOnlySpan<float> samples, ReadOnlySpan<double> angleRad, double mean, int perTurn, int turnsPerBlock, Window window)
    {
        var resampled = AngleResampling.ToTurns(samples, angleRad, perTurn);
        for (var i = 0; i < resampled.Length; i++) resampled[i] -= mean;
        while (resampled.Length < perTurn * turnsPerBlock) turnsPerBlock /= 2; // whole turns may be one less than the turns
        return OrderSpectrum.Of(resampled, perTurn, turnsPerBlock, window);
    }

    static List<OrderReading> Readings(OrderSpectrum spectrum, double highest, NamedOrders? names, string unit, List<string> warnings)
    {
        var largest = spectrum.Amplitude.Skip(spectrum.Window.ReachBins + 1).DefaultIfEmpty().Max();
        var lines = spectrum.Lines(highest).Where(l => l.Amplitude > ResamplingShare * largest).ToList();
        if (lines.Count > MostLines)
        {
            warnings.Add(Invariant($"{lines.Count} lines stand out of the noise; the {MostLines} largest are listed."));
            lines = [.. lines.OrderByDescending(l => l.Amplitude).Take(MostLines)];
        }

        var readings = lines.ConvertAll(l => Reading(l, names?.Near(l.Order, spectrum.OrderStep), found: true));
        var lowest = (spectrum.Window.ReachBins + 1) * spectrum.OrderStep;
        foreach (var named in names?.All ?? [])
        {
            if (named.PerRotorTurn < lowest || named.PerRotorTurn > highest || readings.Exists(r => r.Names.Contains(named.Name))) continue;
            readings.Add(Reading(spectrum.LineAt(named.PerRotorTurn), [named], found: false));
        }

        var slow = names?.All.Where(n => n.PerRotorTurn < lowest).Select(n => n.Name).ToList() ?? [];
        if (slow.Count > 0) warnings.Add(Invariant($"Below order {lowest:0.###}, which blocks of this length cannot tell from the mean: {string.Join(", ", slow)}."));
        return [.. readings.OrderBy(r => r.Order)];

        OrderReading Reading(SpectrumLine line, IReadOnlyList<NamedOrder>? near, bool found) =>
            new(line.Order, line.Amplitude, unit, near is [var nearest, ..] ? nearest.Name : null, near?.Select(n => n.Name).ToList() ?? [], found, line.Floor, line.StandardUncertainty);
    }

    static List<OrderBand> BandsOf(OrderSpectrum spectrum, double highest)
    {
        var bands = new List<OrderBand>();
        for (var from = 0.5; from < highest; from *= 2) bands.Add(new(from, Math.Min(2 * from, highest), spectrum.Rms(from, Math.Min(2 * from, highest))));
        return bands;
    }

    static EnvelopeReading? EnvelopeOf(TurningShaft shaft, OrderRequest request, int perTurn, int turnsPerBlock, double fastestRadPerS, NamedOrders? names, List<string> warnings)
    {
        var (rateHz, turnsPerS) = (shaft.Rows.RateHz, fastestRadPerS / (2 * Math.PI));
        if (request.Band is var (fromHz, toHz) && !(fromHz > 0 && toHz > fromHz && toHz <= ReadableShareOfRate * rateHz))
            throw new InputException(new InputError(shaft.Table.Source, 0, "--band", Invariant($"{fromHz} to {toHz} Hz"), Invariant($"a band between 0 and {ReadableShareOfRate * rateHz:0} Hz, which is 0.4 of the sample rate")));

        // Blows must be heard apart: a band narrower than twice what repeats says nothing of it.
        var lowestHz = Math.Max(4 * turnsPerS, 0.02 * rateHz);
        if (request.Band is null && ReadableShareOfRate * rateHz < 8 * lowestHz) return null;
        var envelope = request.Band is var (bandFromHz, bandToHz) && bandToHz > 0 ? Signals.Envelope.Of(shaft.Samples, rateHz, bandFromHz, bandToHz) : Signals.Envelope.OfSharpest(shaft.Samples, rateHz, lowestHz);
        var angleRad = shaft.AngleRad.AsSpan(envelope.Skipped, envelope.Magnitude.Length);
        if (envelope.Magnitude.Length < 64 || (angleRad[^1] - angleRad[0]) / (2 * Math.PI) < 1.5) return null;

        var spectrum = SpectrumOf(envelope.Magnitude, angleRad, Moments.MeanOf(envelope.Magnitude), perTurn, turnsPerBlock, Signals.Window.Hann);
        var highest = Math.Min(ReadableShareOfRate * perTurn, Math.Min(ReadableShareOfRate * rateHz, envelope.ToHz - envelope.FromHz) / turnsPerS);
        var unheard = new List<string>(); // that names lie above the band's width is no news beside the spectrum's own warnings
        return new(envelope.FromHz, envelope.ToHz, envelope.Kurtosis, Readings(spectrum, highest, names, UnitOf(request.Channel), unheard));
    }

    static List<WheelReading> GearsOf(TurningShaft shaft, DriveUnit? unit, double fastestRadPerS, List<string> warnings)
    {
        var readings = new List<WheelReading>();
        if (unit is null || !shaft.IsRotor) return readings;
        var orders = NamedOrders.Of(unit);
        for (var stage = 1; stage <= unit.Gears.Count; stage++)
        {
            var gear = unit.Gears[stage - 1];
            if (gear.Held == HeldMember.Ring)
            {
                warnings.Add(Invariant($"Stage {stage}: its planets run past the sensor, so that no place of it stands still; its wheels are not averaged."));
                continue;
            }

            var (teeth, names) = gear.PlanetTeeth is { } planet ? ((int[])[gear.PinionTeeth, planet, gear.WheelTeeth], (string[])["sun", "planets", "ring"]) : ([gear.PinionTeeth, gear.WheelTeeth], ["pinion", "wheel"]);
            var mesh = orders.Mesh(stage).PerRotorTurn;
            var toothRad = Array.ConvertAll(shaft.AngleRad, a => a * mesh); // a turn of this angle is one tooth
            var samplesPerTooth = shaft.Rows.RateHz * 2 * Math.PI / (fastestRadPerS * mesh);
            var perTooth = (int)System.Numerics.BitOperations.RoundUpToPowerOf2((uint)Math.Min(128, samplesPerTooth)); // as fine as the samples, so that a blow's ringing stays
            if (samplesPerTooth < 4)
            {
                warnings.Add(Invariant($"Stage {stage}: {shaft.Rows.RateHz:0} samples a second are fewer than four a tooth; its wheels are not averaged."));
                continue;
            }

            var grid = AngleResampling.ToTurns(shaft.Samples, toothRad, perTooth);
            var turns = (double)grid.Length / perTooth / teeth[^1];
            if (turns < 4)
            {
                warnings.Add(Invariant($"Stage {stage}: its largest wheel makes {turns:0.#} turns, four at least are averaged."));
                continue;
            }

            var mean = Moments.MeanOf(grid);
            for (var i = 0; i < grid.Length; i++) grid[i] -= mean;
            var hunting = WheelAverage.HuntingTurns(teeth[0], teeth[^1]);
            var pinionTurns = (double)grid.Length / perTooth / teeth[0];
            if (pinionTurns < hunting)
                warnings.Add(Invariant($"Stage {stage}: the same two teeth meet again after {hunting} turns of the {names[0]}, and there are {pinionTurns:0.#}: what one wheel repeats leaks a little into the other."));
            var first = (long)Math.Ceiling(toothRad[0] / (2 * Math.PI / perTooth));
            var wheels = WheelAverage.Of(grid, perTooth, teeth, first, [.. teeth.Select(z => RegularOrders(orders, mesh / z))]);
            for (var w = 0; w < wheels.Count; w++)
            {
                var wheel = wheels[w];
                readings.Add(new(stage, names[w], wheel.Teeth, wheel.Turns, hunting, wheels[0].Amplitude(wheels[0].Teeth), wheel.SidebandIndex, Math.Sqrt(wheel.Residual.Sum(x => x * x) / wheel.Residual.Length), wheel.Kurtosis, wheel.Tooth, wheel.Louder, wheel.ChanceProbability, wheel.Repeats,
                    wheel.ChanceProbability < TeethFalseAlarm && wheel.Repeats > LeastRepeats));
            }
        }

        for (var stage = 1; stage < unit.Gears.Count; stage++)
        {
            if (readings.Count(r => r.ToothStandsOut && (r.Stage == stage ? r.Wheel is "wheel" or "ring" : r.Stage == stage + 1 && (r.Wheel is "pinion" or "sun"))) == 2)
                warnings.Add(Invariant($"The driven wheel of stage {stage} and the driving one of stage {stage + 1} sit on one shaft: what strikes once in its turn stands out in both, and this does not tell of which it is."));
        }

        return readings;
    }

    /// <summary>What poles and other meshes repeat a whole number of times in a wheel's turn: no sign of a tooth, whatever its size.</summary>
    static List<int> RegularOrders(NamedOrders orders, double wheelTurnsPerRotorTurn)
    {
        const int harmonics = 3;
        return
        [
            .. from named in orders.All
               where named.SlipShare == 0 && !named.Name.EndsWith("teeth meet", StringComparison.Ordinal)
               from harmonic in Enumerable.Range(1, harmonics)
               let perTurn = harmonic * named.PerRotorTurn / wheelTurnsPerRotorTurn
               where Math.Abs(perTurn - Math.Round(perTurn)) < 1e-6
               select (int)Math.Round(perTurn),
        ];
    }

    static SequenceReading? PhasesOf(TurningShaft shaft, OrderRequest request, DriveUnit? unit)
    {
        string[] phases = [CaptureChannel.PhaseCurrentU, CaptureChannel.PhaseCurrentV, CaptureChannel.PhaseCurrentW];
        if (unit is null || !shaft.IsRotor || !phases.Contains(request.Channel) || !phases.All(shaft.Table.Channels.ContainsKey)) return null;
        var rows = phases.Select(p => shaft.Table.Channels[p][shaft.Rows.From..shaft.Rows.To]).ToArray();
        if (rows.Any(r => r.Any(x => !float.IsFinite(x)))) return null;
        var read = SequenceCurrents.Of(rows[0], rows[1], rows[2], Array.ConvertAll(shaft.AngleRad, a => a * unit.Motor.PolePairs));
        return new(read.Positive, read.Negative, read.Zero, read.Unbalance);
    }

    internal static string UnitOf(string channel) => channel switch
    {
        _ when channel.EndsWith("_m_s2", StringComparison.Ordinal) => "m/s²",
        _ when channel.EndsWith("_rad_s", StringComparison.Ordinal) => "rad/s",
        _ when channel.EndsWith("_nm", StringComparison.Ordinal) => "N·m",
        _ when channel.EndsWith("_rad", StringComparison.Ordinal) => "rad",
        _ when channel.EndsWith("_v", StringComparison.Ordinal) => "V",
        _ when channel.EndsWith("_a", StringComparison.Ordinal) => "A",
        _ when channel.EndsWith("_c", StringComparison.Ordinal) => "°C",
        _ => "",
    };
}
