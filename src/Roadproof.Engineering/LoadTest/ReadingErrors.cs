namespace Roadproof.Engineering.LoadTest;

/// <summary>Who shares an error.</summary>
enum SharedBy
{
    /// <summary>Nobody: drawn anew for every unit or run (noise, sensors in the unit, estimates).</summary>
    Nobody,

    /// <summary>All runs of a rig until it is calibrated again (gain, zero).</summary>
    Rig,

    /// <summary>All units: how far the model itself is trusted. It widens what counts as usual, but no unit scatters by it.</summary>
    AllUnits,
}

/// <summary>One thing that can be wrong with a run's readings, of the size of its standard uncertainty.</summary>
/// <param name="Apply">The run as it would read with the error.</param>
/// <param name="MagnetK">Error of the estimated magnet temperature, K.</param>
sealed record ReadingError(string Name, SharedBy SharedBy, Func<MeasuredRun, MeasuredRun> Apply, double MagnetK = 0)
{
    /// <summary>Another run of the same unit on the same rig has another.</summary>
    public bool IsNoise { get; init; }
}

/// <summary>Everything that separates a rig's readings from the truth: gains and zeros from the plan's gauges, noise of the window means, temperatures that
/// nobody measures.</summary>
/// <remarks>Source: the budget's form is JCGM 100:2008, 5.1.2 (law of propagation, sensitivities by small changes: 5.1.3 note 2). Sizes: the plan's gauges;
/// those in this file are common practice, no source.</remarks>
static class ReadingErrors
{
    /// <summary>How well the magnets' temperature is known from the network and the start of the run, K.</summary>
    const double MagnetEstimateK = 1.5;

    /// <summary>How well lumps and ramps left out know the rise over a cycle, as a share of it.</summary>
    const double RiseModelShare = 0.03;

    /// <summary>How well the drive model itself is known where it carries a reading: drags and meshes are not quite constant. Shares of a loaded reading and
    /// of a reading without load.</summary>
    const double ModelShare = 0.001, NoLoadModelShare = 0.005;

    public static IEnumerable<ReadingError> All(LoadTestPlan plan, SampleRates rates) =>
        [.. Gains(plan), .. Zeros(plan), .. Temperatures(plan, rates), .. plan.Cycle.Points.Where(p => p.OutputRpm > 0).SelectMany(p => Noise(plan, p, rates).Concat(ModelTerms(p))), .. Functions(plan, rates)];

    static IEnumerable<ReadingError> Gains(LoadTestPlan plan)
    {
        yield return Gain("bus_voltage_v", (p, g) => p with { BusV = p.BusV * (1 + g) });
        yield return Gain("bus_current_a", (p, g) => p with { BusA = p.BusA * (1 + g) });
        yield return Gain("output_torque_nm", (p, g) => p with { DriveTorqueNm = p.DriveTorqueNm + g * (p.DriveTorqueNm + CrankNm(p)) });
        if (plan.Unit.CrankSide is not null) yield return Gain("crank_torque_nm", (p, g) => p with { DriveTorqueNm = p.DriveTorqueNm - g * CrankNm(p) });
        yield return Gain("output_speed_rad_s", (p, g) => p with { OutputRadPerS = p.OutputRadPerS * (1 + g) });

        // One of three phases: its gain is a third of the mean's.
        foreach (var phase in (string[])["u", "v", "w"])
        {
            yield return Gain($"phase_current_{phase}_a", (p, g) => p with { Fast = p.Fast is { } f ? f with { IdA = f.IdA * (1 + g / 3), IqA = f.IqA * (1 + g / 3) } : null });
            yield return Gain($"phase_voltage_{phase}_v", (p, g) => p with { Fast = p.Fast is { } f ? f with { VdV = f.VdV * (1 + g / 3), VqV = f.VqV * (1 + g / 3) } : null });
        }

        double CrankNm(MeasuredPoint p) => p.DriveTorqueNm != 0 ? plan.Cycle.CrankTorqueNm : 0;

        ReadingError Gain(string channel, Func<MeasuredPoint, double, MeasuredPoint> apply)
        {
            var gauge = plan.Gauges.Of(channel);
            return new($"{channel} gain", Of(gauge), run => EveryPoint(run, p => apply(p, gauge.GainShare)));
        }
    }

    // A zero of a phase current or voltage turns with the frame and averages out over whole turns.
    static IEnumerable<ReadingError> Zeros(LoadTestPlan plan)
    {
        yield return Zero("bus_voltage_v", (p, z) => p with { BusV = p.BusV + z });
        yield return Zero("bus_current_a", (p, z) => p with { BusA = p.BusA + z });
        yield return Zero("output_torque_nm", (p, z) => p with { DriveTorqueNm = p.DriveTorqueNm + z });
        if (plan.Unit.CrankSide is not null) yield return Zero("crank_torque_nm", (p, z) => p with { DriveTorqueNm = p.DriveTorqueNm - z });

        ReadingError Zero(string channel, Func<MeasuredPoint, double, MeasuredPoint> apply)
        {
            var gauge = plan.Gauges.Of(channel);
            return new($"{channel} zero", Of(gauge), run => EveryPoint(run, p => apply(p, gauge.Zero)));
        }
    }

    static IEnumerable<ReadingError> Temperatures(LoadTestPlan plan, SampleRates rates)
    {
        var noiseOfRise = Math.Sqrt(2 / rates.SlowHz); // the difference of two means over a second
        var (winding, controller, shell, ambient) = (plan.Gauges.Of("winding_c"), plan.Gauges.Of("controller_c"), plan.Gauges.Of("shell_c"), plan.Gauges.Of("ambient_c"));
        yield return new("winding_c zero", Of(winding), run => EveryPoint(run, p => p with { WindingC = p.WindingC + winding.Zero }) with { Start = run.Start with { WindingC = run.Start.WindingC + winding.Zero } });
        yield return new("controller_c zero", Of(controller), run => run with { Start = run.Start with { ControllerC = run.Start.ControllerC + controller.Zero } });
        yield return new("shell_c zero", Of(shell), run => run with { Start = run.Start with { ShellC = run.Start.ShellC + shell.Zero }, ShellAtRestC = run.ShellAtRestC + shell.Zero });
        yield return new("ambient_c zero", Of(ambient), run => run with { Start = run.Start with { AmbientC = run.Start.AmbientC + ambient.Zero } });
        yield return new("magnet temperature", SharedBy.Nobody, run => run, MagnetEstimateK);
        yield return new("noise of the winding's rise", SharedBy.Nobody, run => run with { WindingRiseK = run.WindingRiseK + winding.NoiseRms * noiseOfRise }) { IsNoise = true };
        yield return new("noise of the controller's rise", SharedBy.Nobody, run => run with { ControllerRiseK = run.ControllerRiseK + controller.NoiseRms * noiseOfRise }) { IsNoise = true };
        yield return new("rise of the winding", SharedBy.AllUnits, run => run with { WindingRiseK = run.WindingRiseK * (1 + RiseModelShare) });
        yield return new("rise of the controller", SharedBy.AllUnits, run => run with { ControllerRiseK = run.ControllerRiseK * (1 + RiseModelShare) });
    }

    /// <summary>What noise leaves in the window means of one load point.</summary>
    static IEnumerable<ReadingError> Noise(LoadTestPlan plan, LoadPoint point, SampleRates rates)
    {
        var slow = 1 / Math.Sqrt(rates.SlowHz * FaultlessRun.Window(point).ForS);
        double NoiseOf(string channel) => plan.Gauges.Of(channel).NoiseRms;

        yield return At("bus_voltage_v", p => p with { BusV = p.BusV + NoiseOf("bus_voltage_v") * slow });
        yield return At("bus_current_a", p => p with { BusA = p.BusA + NoiseOf("bus_current_a") * slow });
        yield return At("reported_phase_current_a", p => p with { ReportedCurrentA = p.ReportedCurrentA + NoiseOf("reported_phase_current_a") * slow });
        if (point.TorqueNm > 0)
            yield return At("torque", p => p with { DriveTorqueNm = p.DriveTorqueNm + double.Hypot(NoiseOf("output_torque_nm"), plan.Unit.CrankSide is null ? 0 : NoiseOf("crank_torque_nm")) * slow });
        if (point.WindowForS == 0) yield break;

        var fast = FastNoise(point, rates);
        yield return At("current d", p => p with { Fast = p.Fast! with { IdA = p.Fast.IdA + NoiseOf("phase_current_u_a") * fast } });
        yield return At("current q", p => p with { Fast = p.Fast! with { IqA = p.Fast.IqA + NoiseOf("phase_current_u_a") * fast } });
        yield return At("voltage d", p => p with { Fast = p.Fast! with { VdV = p.Fast.VdV + NoiseOf("phase_voltage_u_v") * fast } });
        yield return At("voltage q", p => p with { Fast = p.Fast! with { VqV = p.Fast.VqV + NoiseOf("phase_voltage_u_v") * fast } });

        ReadingError At(string name, Func<MeasuredPoint, MeasuredPoint> apply) =>
            new($"{name} noise at {point.Id}", SharedBy.Nobody, run => EveryPoint(run, p => p.Point == point.Id ? apply(p) : p)) { IsNoise = true };
    }

    // Without these a distance would rest on differences of readings that no model is good for: one part in ten thousand.
    static IEnumerable<ReadingError> ModelTerms(LoadPoint point)
    {
        var share = point.TorqueNm > 0 ? ModelShare : NoLoadModelShare;
        yield return new($"power model at {point.Id}", SharedBy.AllUnits, run => EveryPoint(run, p => p.Point == point.Id ? p with { BusA = p.BusA * (1 + share) } : p));
        if (point.TorqueNm > 0)
            yield return new($"torque model at {point.Id}", SharedBy.AllUnits, run => EveryPoint(run, p => p.Point == point.Id ? p with { DriveTorqueNm = p.DriveTorqueNm * (1 + share) } : p));
    }

    /// <summary>Share of one phase's noise that is left in a d or q mean: 2/3·Σ x·cos over a window keeps the root of 2/3 of one sample's.</summary>
    public static double FastNoise(LoadPoint point, SampleRates rates) => Math.Sqrt(2.0 / 3 / (rates.FastHz * point.WindowForS));

    static IEnumerable<ReadingError> Functions(LoadTestPlan plan, SampleRates rates)
    {
        // Two seconds at rest, and half a second at the limits: enough to average, short enough to be honest.
        if (plan.Unit.TorqueSensor is not null) yield return Direct(Characteristics.TorqueSensorZero, plan.Gauges.Of("reported_torque_nm").NoiseRms / Math.Sqrt(rates.SlowHz * 2), SharedBy.Nobody);
        var phase = plan.Gauges.Of("phase_current_u_a");
        yield return Direct(Characteristics.PhaseCurrentLimit, phase.GainShare / Math.Sqrt(3) * plan.Unit.Motor.PhaseCurrentLimitPeakA, SharedBy.Rig);
        var bus = plan.Gauges.Of("bus_current_a");
        yield return Direct(Characteristics.BusCurrentLimit, double.Hypot(bus.GainShare * plan.Unit.Supply.CurrentLimitA, bus.Zero), SharedBy.Rig);
        yield return Direct(Characteristics.BusCurrentLimit, bus.NoiseRms / Math.Sqrt(rates.SlowHz * 0.5), SharedBy.Nobody);

        static ReadingError Direct(string id, double u, SharedBy by) => new($"{id} reading", by, run =>
        {
            var direct = new Dictionary<string, DirectReading>(run.Direct, StringComparer.Ordinal);
            if (direct.TryGetValue(id, out var reading)) direct[id] = reading with { Value = reading.Value + u };
            return run with { Direct = direct };
        });
    }

    /// <summary>Standard uncertainty that gains and zeros of the rig's gauges leave in a reading which is not modelled, in its own unit; its noise and resolution come with the reading.</summary>
    public static double OfDirect(string id, double value, LoadTestPlan plan)
    {
        var bus = plan.Gauges.Of("bus_current_a");
        return id switch
        {
            "cut-off-speed" or "walk-speed" => plan.Gauges.Of("wheel_speed_rad_s").GainShare * Math.Abs(value),
            "quiescent-current" => double.Hypot(bus.GainShare * value, 1e3 * bus.Zero),
            _ => 0,
        };
    }

    static SharedBy Of(Gauge gauge) => gauge.InUnit ? SharedBy.Nobody : SharedBy.Rig;

    static MeasuredRun EveryPoint(MeasuredRun run, Func<MeasuredPoint, MeasuredPoint> apply) => run with { Points = [.. run.Points.Select(apply)] };
}
