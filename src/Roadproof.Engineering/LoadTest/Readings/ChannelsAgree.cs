using Roadproof.Engineering.Formats;
using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Signals;
using static System.FormattableString;

namespace Roadproof.Engineering.LoadTest;

/// <summary>Whether what the slow channels say of the loaded unit can be true together: powers, speeds, signs and temperatures.</summary>
/// <remarks>
/// Only what physics forbids is refused here, never what a faulty unit could do: an output that gives more than the bus, a torque below nothing, a rotor that turns otherwise than the teeth count, a
/// loaded winding colder than the shell. So no efficiency comes from a sensor that is dead. Loaded are the rows in which two of bus current, drive torque and the controller's own current stand
/// above 0.4 of their usual largest value: one dead sensor among them does not hide the load.
/// </remarks>
static class ChannelsAgree
{
    const double LoadedShare = 0.4;
    const double LeastLoadedS = 1;

    /// <summary>A reading this small beside what the others ask of it is no reading.</summary>
    internal const double DeadShare = 0.1;

    /// <summary>Gains of gauges are far smaller, ratios of other teeth far larger.</summary>
    const double SpeedTolerance = 0.004;

    /// <summary>Of the nominal voltage: beyond any battery's charge and any sag.</summary>
    const double LowestBus = 0.5, HighestBus = 1.5;

    /// <summary>Under load no unit that still turns wastes so much.</summary>
    const double LeastEfficiency = 0.1;

    const double ColdestC = -40, HottestC = 200, ColderThanShellK = 5;

    /// <param name="silent">Takes a sentence on a sensor of the unit that tells nothing: that is judged, not refused.</param>
    public static void Find(RunChannels channels, LoadTestPlan plan, List<InputError> errors, List<string> silent)
    {
        Temperatures(channels, errors);
        if (LoadedRows(channels) is not { } loaded) return;

        var before = errors.Count;
        Signs(channels, loaded, errors);
        Swapped(channels, loaded, plan, errors);
        Speeds(channels, loaded, plan, errors);

        // What is made of a channel that is wrong already says nothing new.
        if (errors.Count == before) Powers(channels, loaded, plan, errors);
        if (errors.Count == before) SensorsAlive.Find(channels, plan, loaded, errors);
        if (SensorsAlive.TorqueSensorSilent(channels, plan, loaded) is { } sentence) silent.Add(sentence);
    }

    /// <summary>Means over the loaded rows; null where the run shows no load that is worth the name.</summary>
    static Loaded? LoadedRows(RunChannels channels)
    {
        var torqueNm = LoadPointWindows.DriveTorque(channels);
        float[][] signs = [channels.Slow.Channels[CaptureChannel.BusCurrent], torqueNm, channels.Slow.Channels[CaptureChannel.ReportedPhaseCurrent]];
        var levels = signs.Select(s => LoadedShare * UsualLargest(s)).ToArray();
        var rows = new List<int>();
        for (var i = channels.Run.From; i < channels.Run.To; i++)
        {
            var above = 0;
            for (var k = 0; k < signs.Length; k++)
                if (Math.Abs(signs[k][i]) > levels[k]) above++;
            if (above >= 2) rows.Add(i);
        }

        return rows.Count < LeastLoadedS * channels.Run.RateHz ? null : new(channels.Slow, torqueNm, [.. rows]);
    }

    /// <summary>What one sample in a hundred lies above, from some two thousand of them.</summary>
    static double UsualLargest(float[] samples)
    {
        var every = Math.Max(1, samples.Length / 2000);
        var sizes = new float[(samples.Length + every - 1) / every];
        for (var i = 0; i < sizes.Length; i++) sizes[i] = Math.Abs(samples[i * every]);
        Array.Sort(sizes);
        return sizes[(int)(0.99 * (sizes.Length - 1))];
    }

    internal sealed record Loaded(CaptureTable Table, float[] DriveTorqueNm, int[] Rows)
    {
        public double Mean(string channel) => Mean(Table.Channels[channel]);

        public double Mean(float[] samples)
        {
            var sum = 0.0;
            foreach (var i in Rows) sum += samples[i];
            return sum / Rows.Length;
        }

        public double MeanProduct(string a, string b) => MeanProduct(Table.Channels[a], Table.Channels[b]);

        public double MeanProduct(float[] a, float[] b)
        {
            var sum = 0.0;
            foreach (var i in Rows) sum += (double)a[i] * b[i];
            return sum / Rows.Length;
        }

        public InputError Wrong(string channel, string found, string expected, string hint) => new(Table.Source, 0, channel, found, expected, hint);
    }

    static void Signs(RunChannels channels, Loaded loaded, List<InputError> errors)
    {
        string[] forward =
        [
            CaptureChannel.BusVoltage, CaptureChannel.BusCurrent, CaptureChannel.OutputTorque, CaptureChannel.OutputSpeed, CaptureChannel.MotorSpeed, CaptureChannel.WheelSpeed,
            .. channels.HasCrank ? (string[])[CaptureChannel.CrankTorque, CaptureChannel.CrankSpeed] : [],
        ];
        foreach (var channel in forward)
        {
            var mean = loaded.Mean(channel);
            if (mean < -DeadShare * UsualLargest(channels.Slow.Channels[channel]))
                errors.Add(loaded.Wrong(channel, Invariant($"{mean:0.###} on average under load"), "a value above nothing: the unit drives forward", "Its sign is turned round: change it at the sensor or in the recorder."));
        }
    }

    static void Swapped(RunChannels channels, Loaded loaded, LoadTestPlan plan, List<InputError> errors)
    {
        double busV = loaded.Mean(CaptureChannel.BusVoltage), busA = loaded.Mean(CaptureChannel.BusCurrent);
        var nominalV = plan.Unit.Supply.NominalV;
        var isSupply = (double v) => v > LowestBus * nominalV && v < HighestBus * nominalV;
        if (!isSupply(busV) && isSupply(busA))
            errors.Add(loaded.Wrong(CaptureChannel.BusVoltage, Invariant($"{busV:0.#} V on average under load, and {busA:0.#} A"), Invariant($"about {nominalV:0.#} V"), $"{CaptureChannel.BusVoltage} and {CaptureChannel.BusCurrent} are swapped."));
        else if (busV >= 0 && !isSupply(busV))
            errors.Add(loaded.Wrong(CaptureChannel.BusVoltage, Invariant($"{busV:0.#} V on average under load"), Invariant($"{LowestBus * nominalV:0.#} to {HighestBus * nominalV:0.#} V, for a supply of {nominalV:0.#} V"), "The sensor is dead or scaled wrongly, or the rig has another product's supply."));

        double outputNm = loaded.Mean(CaptureChannel.OutputTorque), driveNm = loaded.Mean(loaded.DriveTorqueNm);
        if (channels.HasCrank && outputNm > plan.Cycle.CrankTorqueNm / 2 && driveNm < -DeadShare * outputNm)
            errors.Add(loaded.Wrong(CaptureChannel.OutputTorque, Invariant($"{outputNm:0.#} N·m under load, less than the crank's {outputNm - driveNm:0.#} N·m"), "crank and drive together", $"{CaptureChannel.OutputTorque} and {CaptureChannel.CrankTorque} are swapped."));
    }

    static void Speeds(RunChannels channels, Loaded loaded, LoadTestPlan plan, List<InputError> errors)
    {
        double motor = loaded.Mean(CaptureChannel.MotorSpeed), output = loaded.Mean(CaptureChannel.OutputSpeed), ratio = plan.Unit.Ratio;
        if (Math.Abs(motor) < DeadShare * ratio * Math.Abs(output) || Math.Abs(output) < DeadShare * Math.Abs(motor) / ratio)
        {
            var swapped = Math.Abs(output / motor / ratio - 1) < 0.1;
            var dead = Math.Abs(motor) < ratio * Math.Abs(output) ? CaptureChannel.MotorSpeed : CaptureChannel.OutputSpeed;
            errors.Add(loaded.Wrong(dead, Invariant($"motor at {motor:0.##} rad/s with the output at {output:0.##} rad/s"), Invariant($"{ratio:0.###} motor turns for each of the output"),
                swapped ? $"{CaptureChannel.MotorSpeed} and {CaptureChannel.OutputSpeed} are swapped." : "One of the two speed sensors is dead or scaled wrongly."));
            return;
        }

        // The same other ratio all the time is another set of teeth; a clutch slips more under more load, and that is the unit's.
        var turns = Blocks(channels, loaded).ToArray();
        if (turns.Length > 0 && turns.All(t => Math.Abs(t / ratio - 1) > SpeedTolerance) && turns.Max() - turns.Min() < SpeedTolerance * ratio)
            errors.Add(loaded.Wrong(CaptureChannel.MotorSpeed, Invariant($"{motor / output:0.###} motor turns for each of the output"), Invariant($"{ratio:0.###}, as the teeth count"), "Another product or variant is in the rig, its gears are those of another, or a speed is scaled wrongly."));

        if (!channels.HasCrank) return;
        double crank = loaded.Mean(CaptureChannel.CrankSpeed), wheel = loaded.Mean(CaptureChannel.WheelSpeed);
        if (crank > 0 && Math.Abs(crank / output - 1) > 0.05 && Math.Abs(wheel / output - 1) < 0.02)
            errors.Add(loaded.Wrong(CaptureChannel.CrankSpeed, Invariant($"{crank:0.##} rad/s under load with the output at {output:0.##} rad/s"), "crank and output at one speed while both pull", $"{CaptureChannel.CrankSpeed} and {CaptureChannel.WheelSpeed} are swapped."));
        else if (Math.Abs(crank) < DeadShare * output)
            errors.Add(loaded.Wrong(CaptureChannel.CrankSpeed, Invariant($"{crank:0.##} rad/s under load with the output at {output:0.##} rad/s"), "crank and output at one speed while both pull", "The crank's speed sensor is dead."));
    }

    /// <summary>Motor turns per output turn over tenths of the loaded rows, which come at different loads.</summary>
    static IEnumerable<double> Blocks(RunChannels channels, Loaded loaded)
    {
        float[] motor = channels.Slow.Channels[CaptureChannel.MotorSpeed], output = channels.Slow.Channels[CaptureChannel.OutputSpeed];
        return loaded.Rows.Chunk(Math.Max(1, (loaded.Rows.Length + 9) / 10)).Select(rows => rows.Sum(i => (double)motor[i]) / rows.Sum(i => (double)output[i]));
    }

    static void Powers(RunChannels channels, Loaded loaded, LoadTestPlan plan, List<InputError> errors)
    {
        double busW = loaded.MeanProduct(CaptureChannel.BusVoltage, CaptureChannel.BusCurrent), shaftW = loaded.MeanProduct(loaded.DriveTorqueNm, channels.Slow.Channels[CaptureChannel.OutputSpeed]);
        double busA = loaded.Mean(CaptureChannel.BusCurrent), driveNm = loaded.Mean(loaded.DriveTorqueNm);
        var askedNm = Characteristics.Loaded(plan).Average(p => p.TorqueNm);
        if (driveNm < DeadShare * askedNm && busW > 0)
        {
            errors.Add(loaded.Wrong(CaptureChannel.OutputTorque, Invariant($"a drive torque of {driveNm:0.#} N·m while the unit takes {busW:0} W"), "the torque that this power gives",
                "The torque sensor is dead or not coupled, or nothing in the unit reaches its output: an efficiency would be a guess."));
        }
        else if (shaftW > 0 && shaftW < LeastEfficiency * busW)
        {
            errors.Add(loaded.Wrong(CaptureChannel.BusCurrent, Invariant($"{busW:0} W from the bus while the output gives {shaftW:0} W"), Invariant($"a unit that gives at least {100 * LeastEfficiency:0} % of it: the rest would burn it"),
                $"{CaptureChannel.BusCurrent} or {CaptureChannel.BusVoltage} is scaled wrongly."));
        }
        else if (shaftW > busW)
        {
            var current = busA < DeadShare * shaftW / plan.Unit.Supply.NominalV;
            errors.Add(loaded.Wrong(current ? CaptureChannel.BusCurrent : CaptureChannel.OutputTorque, Invariant($"{busW:0} W from the bus while the output gives {shaftW:0} W"), "more from the bus than the output gives",
                current ? "The current sensor is dead: an efficiency would be a guess." : $"{CaptureChannel.BusCurrent}, {CaptureChannel.BusVoltage}, {CaptureChannel.OutputTorque} or {CaptureChannel.OutputSpeed} is scaled wrongly: an efficiency would be a guess."));
        }
    }

    static void Temperatures(RunChannels channels, List<InputError> errors)
    {
        var last = (int)Math.Min(channels.Run.Count, Math.Ceiling(channels.Run.RateHz));
        foreach (var channel in (string[])[CaptureChannel.Winding, CaptureChannel.Controller, CaptureChannel.Shell, CaptureChannel.Ambient])
        {
            if (!channels.Slow.Channels.TryGetValue(channel, out var samples)) continue;
            double least = samples.Min(), greatest = samples.Max();
            if (least < ColdestC || greatest > HottestC)
                errors.Add(new(channels.Slow.Source, 0, channel, Invariant($"{(least < ColdestC ? least : greatest):0.#} °C"), Invariant($"{ColdestC:0} to {HottestC:0} °C"), "A wire is broken or shorted, or the channel is no temperature."));
        }

        double Ends(string channel) => Moments.MeanOf(channels.Slow.Channels[channel].AsSpan(channels.Run.To - last, last));
        if (!channels.Slow.Channels.ContainsKey(CaptureChannel.Shell)) return;
        foreach (var channel in (string[])[CaptureChannel.Winding, CaptureChannel.Controller])
        {
            if (Ends(channel) < Ends(CaptureChannel.Shell) - ColderThanShellK)
            {
                errors.Add(new(channels.Slow.Source, 0, channel, Invariant($"{Ends(channel):0.#} °C at the end, with the shell at {Ends(CaptureChannel.Shell):0.#} °C"), "no less than the shell, which it has warmed",
                    "The sensor is dead, or the two are swapped: nothing can be carried to 20 °C by it."));
            }
        }
    }
}
