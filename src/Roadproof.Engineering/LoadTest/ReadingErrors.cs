using Roadproof.Engineering.Judging;

namespace Roadproof.Engineering.LoadTest;

/// <summary>One thing that can be wrong with a run's readings.</summary>
/// <param name="Source">Which gauge or term its size is taken from.</param>
/// <param name="Size">Its standard uncertainty, in <paramref name="Unit"/>.</param>
/// <param name="Disturb">The run as it would read with so much of the error.</param>
sealed record ReadingError(string Name, Evaluation Type, string Source, double Size, string Unit, SharedBy SharedBy, Func<MeasuredRun, double, MeasuredRun> Disturb)
{
    /// <summary>Anywhere within ±√3 sizes, as likely as anywhere else (a rounded display); else normal.</summary>
    public bool IsUniform { get; init; }

    /// <summary>How large the run's own signal shows the error to be; 0 where it cannot.</summary>
    public Func<MeasuredRun, double>? Shown { get; init; }

    /// <summary>The run as it would read with one standard uncertainty of it.</summary>
    public MeasuredRun Apply(MeasuredRun run) => Disturb(run, Size);

    /// <summary>One draw of it.</summary>
    public double Draw(Statistics.SeededNoise draws) => Size * (IsUniform ? Math.Sqrt(3) * (2 * draws.Share() - 1) : draws.Normal());
}

/// <summary>Everything that separates a rig's readings from the truth: gains and zeros from the plan's gauges, noise of the window means, temperatures that
/// nobody measures.</summary>
/// <remarks>Source: the budget's form is JCGM 100:2008, 5.1.2 (law of propagation, sensitivities by small changes: 5.1.3 note 2). Sizes: the plan's gauges;
/// those in this file are common practice, no source.</remarks>
static class ReadingErrors
{
    /// <summary>How well the magnets' temperature is known from the network and the start of the run, K.</summary>
    const double MagnetEstimateK = 1.5;

    /// <summary>How well the grease is known to be as warm as the shell: meshes warm it where they work, K.</summary>
    const double GreaseEstimateK = 2;

    /// <summary>How well lumps and ramps left out know the rise over a cycle, as a share of it.</summary>
    const double RiseModelShare = 0.03;

    /// <summary>How well the drive model itself is known where it carries a reading: drags and meshes are not quite constant. Shares of a loaded reading and
    /// of a reading without load.</summary>
    const double ModelShare = 0.001, NoLoadModelShare = 0.005;

    const string Model = "the drive model, common practice";

    public static IEnumerable<ReadingError> All(LoadTestPlan plan, RunKind kind) => All(plan, kind.Rates, kind.IdleIsKnown);

    static IEnumerable<ReadingError> All(LoadTestPlan plan, SampleRates rates, bool idleIsKnown) =>
        [.. Gains(plan), .. Zeros(plan), .. Temperatures(plan, rates), .. Standing(plan, idleIsKnown), .. plan.Cycle.Points.Where(p => p.OutputRpm > 0).SelectMany(p => Noise(plan, p, rates).Concat(Steps(plan, p)).Concat(ModelTerms(p))), .. Functions(plan, rates), .. Population(plan)];

    static IEnumerable<ReadingError> Gains(LoadTestPlan plan)
    {
        yield return Gain("bus_voltage_v", (p, g) => p with { BusV = p.BusV * (1 + g) });
        yield return Gain("bus_current_a", (p, g) => p with { BusA = p.BusA * (1 + g) });
        yield return Gain("output_torque_nm", (p, g) => p with { DriveTorqueNm = p.DriveTorqueNm + g * (p.DriveTorqueNm + CrankNm(p)) });
        if (plan.Unit.CrankSide is not null) yield return Gain("crank_torque_nm", (p, g) => p with { DriveTorqueNm = p.DriveTorqueNm - g * CrankNm(p) });
        yield return Gain("output_speed_rad_s", (p, g) => p with { OutputRadPerS = p.OutputRadPerS * (1 + g) });

        // A mean over three phases has the mean of their gains.
        yield return OfPhases("phase_current", "a", (p, g) => p with { Fast = p.Fast is { } f ? f with { IdA = f.IdA * (1 + g), IqA = f.IqA * (1 + g) } : null });
        yield return OfPhases("phase_voltage", "v", (p, g) => p with { Fast = p.Fast is { } f ? f with { VdV = f.VdV * (1 + g), VqV = f.VqV * (1 + g) } : null });

        double CrankNm(MeasuredPoint p) => p.DriveTorqueNm != 0 ? plan.Cycle.CrankTorqueNm : 0;

        ReadingError Gain(string channel, Func<MeasuredPoint, double, MeasuredPoint> apply) =>
            OfGauge(plan, channel, "gain", g => g.GainShare, "1", (run, share) => EveryPoint(run, p => apply(p, share)));

        ReadingError OfPhases(string quantity, string unit, Func<MeasuredPoint, double, MeasuredPoint> apply)
        {
            Gauge[] gauges = [.. "uvw".Select(phase => plan.Gauges.Of($"{quantity}_{phase}_{unit}"))];
            return new($"{quantity} gain, three phases", Evaluation.B, $"gauges {quantity}_u_{unit}, _v_{unit}, _w_{unit}", Math.Sqrt(gauges.Sum(g => g.GainShare * g.GainShare)) / 3, "1", Of(gauges[0]), (run, share) => EveryPoint(run, p => apply(p, share)));
        }
    }

    // A zero of a phase current or voltage turns with the frame and averages out over whole turns.
    static IEnumerable<ReadingError> Zeros(LoadTestPlan plan)
    {
        yield return Zero("bus_voltage_v", (p, z) => p with { BusV = p.BusV + z });
        yield return Zero("bus_current_a", (p, z) => p with { BusA = p.BusA + z });
        yield return Zero("output_torque_nm", (p, z) => p with { DriveTorqueNm = p.DriveTorqueNm + z });
        if (plan.Unit.CrankSide is not null) yield return Zero("crank_torque_nm", (p, z) => p with { DriveTorqueNm = p.DriveTorqueNm - z });

        ReadingError Zero(string channel, Func<MeasuredPoint, double, MeasuredPoint> apply) =>
            OfGauge(plan, channel, "zero", g => g.Zero, UnitOf(channel), (run, zero) => EveryPoint(run, p => apply(p, zero)));
    }

    static ReadingError OfGauge(LoadTestPlan plan, string channel, string term, Func<Gauge, double> size, string unit, Func<MeasuredRun, double, MeasuredRun> disturb)
    {
        var gauge = plan.Gauges.Of(channel);
        return new($"{channel} {term}", Evaluation.B, $"gauge {channel}", size(gauge), unit, Of(gauge), disturb);
    }

    static IEnumerable<ReadingError> Temperatures(LoadTestPlan plan, SampleRates rates)
    {
        var noiseOfRise = Math.Sqrt(2 / rates.SlowHz); // the difference of two means over a second
        yield return Sensor("winding_c", (run, z) => EveryPoint(run, p => p with { WindingC = p.WindingC + z }) with { Start = run.Start with { WindingC = run.Start.WindingC + z } });
        yield return Sensor("controller_c", (run, z) => run with { Start = run.Start with { ControllerC = run.Start.ControllerC + z } });
        yield return Sensor("shell_c", (run, z) => run with { Start = run.Start with { ShellC = run.Start.ShellC + z }, ShellAtRestC = run.ShellAtRestC + z });
        yield return Sensor("ambient_c", (run, z) => run with { Start = run.Start with { AmbientC = run.Start.AmbientC + z } });
        yield return new("magnet temperature", Evaluation.B, "estimated from the thermal network, common practice", MagnetEstimateK, "K", SharedBy.Unit, (run, k) => run with { MagnetErrorK = run.MagnetErrorK + k });
        if (plan.Unit.GearDrag.TemperaturePerK != 0)
            yield return new("grease temperature", Evaluation.B, "taken to be as warm as the shell, common practice", GreaseEstimateK, "K", SharedBy.Unit, (run, k) => run with { GreaseErrorK = run.GreaseErrorK + k });
        yield return Rise("noise of the winding's rise", "winding_c", (run, k) => run with { WindingRiseK = run.WindingRiseK + k });
        yield return Rise("noise of the controller's rise", "controller_c", (run, k) => run with { ControllerRiseK = run.ControllerRiseK + k });
        yield return new("rise of the winding", Evaluation.B, Model, RiseModelShare, "1", SharedBy.AllUnits, (run, share) => run with { WindingRiseK = run.WindingRiseK * (1 + share) });
        yield return new("rise of the controller", Evaluation.B, Model, RiseModelShare, "1", SharedBy.AllUnits, (run, share) => run with { ControllerRiseK = run.ControllerRiseK * (1 + share) });

        // A step of its display once more at either end of the rise.
        foreach (var (channel, disturb) in ((string, Func<MeasuredRun, double, MeasuredRun>)[])[("winding_c", (run, k) => run with { WindingRiseK = run.WindingRiseK + Math.Sqrt(2) * k }), ("controller_c", (run, k) => run with { ControllerRiseK = run.ControllerRiseK + Math.Sqrt(2) * k })])
            if (plan.Gauges.Of(channel) is { Resolution: > 0 } gauge) yield return Step(gauge, "of the rise", "K", disturb);

        ReadingError Sensor(string channel, Func<MeasuredRun, double, MeasuredRun> disturb) => OfGauge(plan, channel, "zero", g => double.Hypot(g.Zero, StepOf(g)), "K", disturb);

        ReadingError Rise(string name, string channel, Func<MeasuredRun, double, MeasuredRun> disturb) =>
            new(name, Evaluation.A, $"gauge {channel}, a second at either end", plan.Gauges.Of(channel).NoiseRms * noiseOfRise, "K", SharedBy.Nobody, disturb);
    }

    /// <summary>How far grease had settled while the unit stood.</summary>
    static IEnumerable<ReadingError> Standing(LoadTestPlan plan, bool idleIsKnown)
    {
        if (plan.Unit.GearDrag.SettledShare == 0) yield break;
        yield return idleIsKnown
            ? Settled("units and rests differ, common practice", SettledGrease.KnownUncertainty, SharedBy.Unit)
            : Settled("how long it had stood is not known", SettledGrease.UnknownUncertainty, SharedBy.Nobody) with { IsUniform = true };

        static ReadingError Settled(string source, double size, SharedBy by) => new("settled grease", Evaluation.B, source, size, "1", by, (run, s) => run with { SettledError = run.SettledError + s });
    }

    /// <summary>What noise leaves in the window means of one load point.</summary>
    static IEnumerable<ReadingError> Noise(LoadTestPlan plan, LoadPoint point, SampleRates rates)
    {
        var slow = 1 / Math.Sqrt(rates.SlowHz * FaultlessRun.Window(point).ForS);
        double NoiseOf(string channel) => plan.Gauges.Of(channel).NoiseRms;

        yield return At("bus_voltage_v", NoiseOf("bus_voltage_v") * slow, "V", (p, e) => p with { BusV = p.BusV + e }, n => n.BusV);
        yield return At("bus_current_a", NoiseOf("bus_current_a") * slow, "A", (p, e) => p with { BusA = p.BusA + e }, n => n.BusA);
        yield return At("reported_phase_current_a", NoiseOf("reported_phase_current_a") * slow, "A", (p, e) => p with { ReportedCurrentA = p.ReportedCurrentA + e }, n => n.ReportedCurrentA);
        if (point.TorqueNm > 0)
            yield return At("drive torque", double.Hypot(NoiseOf("output_torque_nm"), plan.Unit.CrankSide is null ? 0 : NoiseOf("crank_torque_nm")) * slow, "N·m", (p, e) => p with { DriveTorqueNm = p.DriveTorqueNm + e }, n => n.DriveTorqueNm);
        if (point.WindowForS == 0) yield break;

        var fast = FastNoise(point, rates);
        double FastOf(string channel) => double.Hypot(NoiseOf(channel), StepOf(plan.Gauges.Of(channel))) * fast; // what turns is rounded anew at every sample
        yield return At("current d", FastOf("phase_current_u_a"), "A", (p, e) => p with { Fast = p.Fast is { } f ? f with { IdA = f.IdA + e } : null }, n => n.IdA);
        yield return At("current q", FastOf("phase_current_u_a"), "A", (p, e) => p with { Fast = p.Fast is { } f ? f with { IqA = f.IqA + e } : null }, n => n.IqA);
        yield return At("voltage d", FastOf("phase_voltage_u_v"), "V", (p, e) => p with { Fast = p.Fast is { } f ? f with { VdV = f.VdV + e } : null }, n => n.VdV);
        yield return At("voltage q", FastOf("phase_voltage_u_v"), "V", (p, e) => p with { Fast = p.Fast is { } f ? f with { VqV = f.VqV + e } : null }, n => n.VqV);

        ReadingError At(string what, double size, string unit, Func<MeasuredPoint, double, MeasuredPoint> disturb, Func<WindowNoise, double> shown) =>
            new($"{what} noise at {point.Id}", Evaluation.A, "gauge noise over the window", size, unit, SharedBy.Nobody, (run, e) => OnePoint(run, point, p => disturb(p, e)))
            {
                Shown = run => run.Points.FirstOrDefault(p => p.Point == point.Id)?.Noise is { } noise && shown(noise) is var u && double.IsFinite(u) ? u : 0,
            };
    }

    /// <summary>What a gauge that shows steps hides of a steady mean: noise below a step does not average it out.</summary>
    static IEnumerable<ReadingError> Steps(LoadTestPlan plan, LoadPoint point)
    {
        (string Channel, Func<MeasuredPoint, double, MeasuredPoint> Disturb)[] slow =
        [
            ("bus_voltage_v", (p, e) => p with { BusV = p.BusV + e }), ("bus_current_a", (p, e) => p with { BusA = p.BusA + e }), ("output_speed_rad_s", (p, e) => p with { OutputRadPerS = p.OutputRadPerS + e }),
            ("reported_phase_current_a", (p, e) => p with { ReportedCurrentA = p.ReportedCurrentA + e }),
            .. point.TorqueNm > 0 ? [("output_torque_nm", (p, e) => p with { DriveTorqueNm = p.DriveTorqueNm + e })] : ((string, Func<MeasuredPoint, double, MeasuredPoint>)[])[],
            .. point.TorqueNm > 0 && plan.Unit.CrankSide is not null ? [("crank_torque_nm", (p, e) => p with { DriveTorqueNm = p.DriveTorqueNm - e })] : ((string, Func<MeasuredPoint, double, MeasuredPoint>)[])[],
        ];
        return from s in slow
               let gauge = plan.Gauges.Of(s.Channel)
               where gauge.Resolution > 0
               select Step(gauge, $"at {point.Id}", UnitOf(s.Channel), (run, e) => OnePoint(run, point, p => s.Disturb(p, e)));
    }

    static ReadingError Step(Gauge gauge, string where, string unit, Func<MeasuredRun, double, MeasuredRun> disturb) =>
        new($"{gauge.Channel} resolution {where}", Evaluation.B, $"gauge {gauge.Channel}", StepOf(gauge), unit, SharedBy.Nobody, disturb) { IsUniform = true };

    /// <summary>Standard uncertainty of a value that may lie anywhere within one step (JCGM 100:2008, F.2.2.1).</summary>
    static double StepOf(Gauge gauge) => gauge.Resolution / Math.Sqrt(12);

    // Without these a distance would rest on differences of readings that no model is good for: one part in ten thousand.
    static IEnumerable<ReadingError> ModelTerms(LoadPoint point)
    {
        var share = point.TorqueNm > 0 ? ModelShare : NoLoadModelShare;
        yield return new($"power model at {point.Id}", Evaluation.B, Model, share, "1", SharedBy.AllUnits, (run, s) => OnePoint(run, point, p => p with { BusA = p.BusA * (1 + s) }));
        if (point.TorqueNm > 0)
            yield return new($"torque model at {point.Id}", Evaluation.B, Model, share, "1", SharedBy.AllUnits, (run, s) => OnePoint(run, point, p => p with { DriveTorqueNm = p.DriveTorqueNm * (1 + s) }));
    }

    /// <summary>Share of one phase's noise that is left in a d or q mean: 2/3·Σ x·cos over a window keeps the root of 2/3 of one sample's.</summary>
    public static double FastNoise(LoadPoint point, SampleRates rates) => Math.Sqrt(2.0 / 3 / (rates.FastHz * FaultlessRun.Window(point).ForS));

    static IEnumerable<ReadingError> Functions(LoadTestPlan plan, SampleRates rates)
    {
        // Two seconds at rest, and half a second at the limits: enough to average, short enough to be honest.
        if (plan.Unit.TorqueSensor is not null)
            yield return DirectNoise(Characteristics.TorqueSensorZero, "reported_torque_nm", plan.Gauges.Of("reported_torque_nm").NoiseRms / Math.Sqrt(rates.SlowHz * 2), "N·m");
        var phase = plan.Gauges.Of("phase_current_u_a");
        yield return Direct(Characteristics.PhaseCurrentLimit, "phase current gain", Evaluation.B, "gauges phase_current", phase.GainShare / Math.Sqrt(3) * plan.Unit.Motor.PhaseCurrentLimitPeakA, "A", SharedBy.Rig);
        var bus = plan.Gauges.Of("bus_current_a");
        yield return Direct(Characteristics.BusCurrentLimit, "bus_current_a gain and zero", Evaluation.B, "gauge bus_current_a", double.Hypot(bus.GainShare * plan.Unit.Supply.CurrentLimitA, double.Hypot(bus.Zero, StepOf(bus))), "A", SharedBy.Rig);
        yield return DirectNoise(Characteristics.BusCurrentLimit, "bus_current_a", bus.NoiseRms / Math.Sqrt(rates.SlowHz * 0.5), "A");

        static ReadingError DirectNoise(string id, string channel, double size, string unit) =>
            Direct(id, $"{channel} noise", Evaluation.A, "gauge noise over the window", size, unit, SharedBy.Nobody) with { Shown = run => run.Direct.GetValueOrDefault(id)?.StandardUncertainty ?? 0 };

    }

    // What is known of proven units is one number: rig and units together. Of it, the rig's own share is what its gauge is trusted to.
    static IEnumerable<ReadingError> Population(LoadTestPlan plan)
    {
        foreach (var population in plan.Population)
        {
            var (channel, sd) = (population.Id == Characteristics.Ripple ? "output_torque_nm" : "vibration_m_s2", population.StandardDeviation);
            var gain = plan.Gauges.Of(channel).GainShare;
            var rig = Math.Min(sd, population.Id switch { Characteristics.Ripple => gain * Math.Abs(population.Mean), Characteristics.WheelTooth => 0, _ => gain });
            var unit = Characteristics.OfPopulation(population.Id).Unit;
            yield return Direct(population.Id, $"{channel} gain", Evaluation.B, $"gauge {channel}", rig, unit, SharedBy.Rig);
            yield return Direct(population.Id, "scatter of proven units, reading noise in it", Evaluation.A, population.Origin, Math.Sqrt(sd * sd - rig * rig), unit, SharedBy.Unit);
        }
    }

    static ReadingError Direct(string id, string name, Evaluation type, string source, double size, string unit, SharedBy by) => new(name, type, source, size, unit, by, (run, e) =>
    {
        var direct = new Dictionary<string, DirectReading>(run.Direct, StringComparer.Ordinal);
        if (direct.TryGetValue(id, out var reading)) direct[id] = reading with { Value = reading.Value + e };
        return run with { Direct = direct };
    });

    /// <summary>What gains and zeros of the rig's gauges leave in a reading which is not modelled, in its own unit; its noise and resolution come with the reading.</summary>
    public static IEnumerable<Contribution> OfDirect(string id, double value, LoadTestPlan plan)
    {
        var (bus, wheel, motor) = (plan.Gauges.Of("bus_current_a"), plan.Gauges.Of("wheel_speed_rad_s"), plan.Gauges.Of("motor_speed_rad_s"));
        return id switch
        {
            Characteristics.SelfStartTorque => [.. Torque("output_torque_nm"), .. plan.Unit.CrankSide is null ? [] : Torque("crank_torque_nm")],
            Characteristics.SelfStartSpeed =>
            [
                new("motor_speed_rad_s gain", Evaluation.B, "gauge motor_speed_rad_s", motor.GainShare, "1", value, Of(motor)),
                new("motor_speed_rad_s zero", Evaluation.B, "gauge motor_speed_rad_s", double.Hypot(motor.Zero, StepOf(motor)), "rad/s", 1, Of(motor)),
            ],
            "cut-off-speed" or "walk-speed" => [new("wheel_speed_rad_s gain", Evaluation.B, "gauge wheel_speed_rad_s", wheel.GainShare, "1", Math.Abs(value), Of(wheel))],
            "quiescent-current" =>
            [
                new("bus_current_a gain", Evaluation.B, "gauge bus_current_a", bus.GainShare, "1", value, Of(bus)),
                new("bus_current_a zero", Evaluation.B, "gauge bus_current_a", double.Hypot(bus.Zero, StepOf(bus)), "A", 1e3, Of(bus)),
            ],
            _ => [],
        };

        // The foot's torque goes through both gauges and cancels; their gains leave some of it.
        Contribution[] Torque(string channel)
        {
            var gauge = plan.Gauges.Of(channel);
            var seenNm = plan.Cycle.CrankTorqueNm + (channel == "output_torque_nm" ? value : 0);
            return
            [
                new($"{channel} gain", Evaluation.B, $"gauge {channel}", gauge.GainShare, "1", seenNm, Of(gauge)),
                new($"{channel} zero", Evaluation.B, $"gauge {channel}", double.Hypot(gauge.Zero, StepOf(gauge)), "N·m", 1, Of(gauge)),
            ];
        }
    }

    static SharedBy Of(Gauge gauge) => gauge.InUnit ? SharedBy.Unit : SharedBy.Rig;

    static string UnitOf(string channel) => channel switch
    {
        _ when channel.EndsWith("_nm", StringComparison.Ordinal) => "N·m",
        _ when channel.EndsWith("_rad_s", StringComparison.Ordinal) => "rad/s",
        _ when channel.EndsWith("_v", StringComparison.Ordinal) => "V",
        _ when channel.EndsWith("_a", StringComparison.Ordinal) => "A",
        _ => throw new InvalidOperationException($"Bug in Roadproof: the unit of {channel} is not known."),
    };

    static MeasuredRun OnePoint(MeasuredRun run, LoadPoint point, Func<MeasuredPoint, MeasuredPoint> apply) => EveryPoint(run, p => p.Point == point.Id ? apply(p) : p);

    static MeasuredRun EveryPoint(MeasuredRun run, Func<MeasuredPoint, MeasuredPoint> apply) => run with { Points = [.. run.Points.Select(apply)] };
}
