using Roadproof.Engineering.Formats;
using Roadproof.Engineering.LoadTest;

namespace Roadproof.Engineering.Tests;

/// <summary>A load-test run written down in closed forms, so that every reading has a true value: no physics beyond the machine's voltage equations.</summary>
/// <remarks>Drive torque and speed are straight ramps; everything else follows from them by the formulas below. All numbers are invented.</remarks>
sealed class SyntheticRun
{
    public const double RotorOffsetRad = 0.05, ResistanceFactor = 1.02, FluxFactor = 0.985, CurrentGain = 1.012, TorqueSensorZeroNm = 0.35;
    public const double RippleNm = 0.2, Mesh1MPerS2 = 0.8, Mesh2MPerS2 = 0.3, RotorMPerS2 = 0.15, VibrationNoiseMPerS2 = 1;
    public const double StopDelayS = 0.12, BrakeDelayS = 0.06, WalkDelayS = 0.1, FallS = 0.05, WalkKmPerH = 5.4, PhaseLimitA = 34.5, BusLimitA = 17.3, QuiescentA = 0.038;

    /// <summary>Torque is gone (a twentieth left of a straight fall).</summary>
    public const double GoneAfterS = 0.95 * FallS;

    public static readonly LoadTestPlan Plan = MakePlan();

    readonly List<(double TimeS, double TorqueNm, double SpeedRadPerS, double AngleRad)> corners = [(0, 0, 0, 0)];
    readonly Random random;
    readonly double noise;

    public SyntheticRun(int seed = 1, double noise = 1)
    {
        random = new(seed);
        this.noise = noise;
        DriveTorqueAndSpeed();
        Slow = SlowTable();
        var windowsS = WindowsS();
        Fast = FastTable(Times(windowsS, 12_800));
        Vibration = VibrationTable(Times(windowsS, 25_600), 0);
    }

    public CaptureTable Slow { get; }
    public CaptureTable Fast { get; }
    public CaptureTable Vibration { get; }
    public Capture Capture => new(new("SH-0000001", "rig1", "r1", 1, null), [Slow, Fast, Vibration]);

    public static double StartOf(FunctionTestKind kind) => Plan.Cycle.PointsDurationS + Plan.Cycle.Functions.TakeWhile(f => f.Kind != kind).Sum(f => f.HoldS);
    public static double StartOf(string point) => Plan.Cycle.Points.TakeWhile(p => p.Id != point).Sum(p => p.HoldS);

    public static double CurrentA(double driveTorqueNm) => driveTorqueNm == 0 ? 0.4 : 0.4 + 0.38 * driveTorqueNm;
    public static double BusA(double driveTorqueNm, double speedRadPerS) => QuiescentA + (driveTorqueNm * speedRadPerS * 1.25 + 2.2 * speedRadPerS) / 48;
    public static double WindingC(double timeS) => 22 + 12 * Math.Min(timeS, 90) / 90;
    public static double MagnetC(double timeS) => 22 + 3 * Math.Min(timeS, 90) / 90;

    /// <summary>The capture with vibration only at one load point, where a tooth of the first wheel strikes once per wheel turn, at another place of the wheel each time.</summary>
    public Capture Struck(string point, double blowMPerS2)
    {
        var planned = Plan.Cycle.Points.Single(p => p.Id == point);
        return Capture with { Tables = [Slow, Fast, VibrationTable(Times([(StartOf(point) + planned.WindowFromS, planned.WindowForS)], 25_600), blowMPerS2)] };
    }

    /// <summary>The capture with other samples in one channel of one table.</summary>
    public Capture With(string table, string channel, Func<double, float, float> change)
    {
        CaptureTable Changed(CaptureTable t) => t.Source != table ? t : t with
        {
            Channels = t.Channels.ToDictionary(c => c.Key, c => c.Key != channel ? c.Value : [.. c.Value.Select((x, i) => change(t.TimeS[i], x))]),
        };
        return Capture with { Tables = [Changed(Slow), Changed(Fast), Changed(Vibration)] };
    }

    void DriveTorqueAndSpeed()
    {
        foreach (var point in Plan.Cycle.Points) Hold(point.TorqueNm, point.SpeedRadPerS, point.HoldS);
        foreach (var test in Plan.Cycle.Functions)
        {
            const double rated = 75 * Math.PI / 30;
            switch (test.Kind)
            {
                case FunctionTestKind.StopPedalling: LoadThenFall(rated, test, StopDelayS); break;
                case FunctionTestKind.Brake: LoadThenFall(rated, test, BrakeDelayS); break;
                case FunctionTestKind.CutOff:
                    // 22 to 28 km/h from 0.5 to 4.5 s: 23.5 km/h at 1.5 s, 25 km/h at 2.5 s.
                    Ramp(31.8, rated, 0.3);
                    Ramp(31.8, rated, 1.2);
                    Ramp(0, rated, 1.0);
                    Ramp(0, rated, test.HoldS - 2.5);
                    break;
                case FunctionTestKind.WalkAssist:
                    Ramp(0, 2, 0.3);
                    Ramp(6, 2, 0.2);
                    Ramp(6, 2, 2.0 + WalkDelayS);
                    Ramp(0, 2, FallS);
                    Ramp(0, 2, test.HoldS - 2.5 - WalkDelayS - FallS);
                    break;
                case FunctionTestKind.CurrentLimit:
                    Ramp(31.8, rated, 0.3);
                    Ramp(31.8, rated, 0.5);
                    Ramp(88, rated, 0.1);
                    Ramp(88, rated, test.HoldS - 0.9);
                    break;
                default:
                    Ramp(0, 0, 0.4);
                    Ramp(0, 0, test.HoldS - 0.4);
                    break;
            }
        }
    }

    void Hold(double torqueNm, double speedRadPerS, double holdS)
    {
        Ramp(torqueNm, speedRadPerS, 0.6);
        Ramp(torqueNm, speedRadPerS, holdS - 0.6);
    }

    void LoadThenFall(double speedRadPerS, FunctionTest test, double delayS)
    {
        Ramp(31.8, speedRadPerS, 0.3);
        Ramp(31.8, speedRadPerS, test.EventAtS - 0.3 + delayS);
        Ramp(0, speedRadPerS, FallS);
        Ramp(0, speedRadPerS, test.HoldS - test.EventAtS - delayS - FallS);
    }

    void Ramp(double torqueNm, double speedRadPerS, double forS)
    {
        var (timeS, _, before, angleRad) = corners[^1];
        corners.Add((timeS + forS, torqueNm, speedRadPerS, angleRad + (before + speedRadPerS) / 2 * forS));
    }

    int corner;

    (double TorqueNm, double SpeedRadPerS, double OutputRad) At(double timeS)
    {
        if (corners[corner].TimeS > timeS) corner = 0;
        while (corner < corners.Count - 2 && corners[corner + 1].TimeS <= timeS) corner++;
        var (a, b) = (corners[corner], corners[corner + 1]);
        var (s, share) = (timeS - a.TimeS, (timeS - a.TimeS) / (b.TimeS - a.TimeS));
        return (a.TorqueNm + share * (b.TorqueNm - a.TorqueNm), a.SpeedRadPerS + share * (b.SpeedRadPerS - a.SpeedRadPerS),
            a.AngleRad + a.SpeedRadPerS * s + (b.SpeedRadPerS - a.SpeedRadPerS) / (b.TimeS - a.TimeS) * s * s / 2);
    }

    CaptureTable SlowTable()
    {
        var timeS = Enumerable.Range(0, (int)(Plan.Cycle.DurationS * 200) + 1).Select(i => i / 200.0).ToArray();
        var channels = new Dictionary<string, float[]>();
        foreach (var name in new[]
        {
            "bus_voltage_v", "bus_current_a", "motor_speed_rad_s", "crank_torque_nm", "crank_speed_rad_s", "output_torque_nm", "output_speed_rad_s", "wheel_speed_rad_s",
            "winding_c", "controller_c", "shell_c", "ambient_c", "reported_phase_current_a", "reported_torque_nm", "brake", "walk_assist",
        }) channels[name] = new float[timeS.Length];

        double stopS = StartOf(FunctionTestKind.StopPedalling) + 1.5, brakeS = StartOf(FunctionTestKind.Brake), cutOffS = StartOf(FunctionTestKind.CutOff);
        double walkS = StartOf(FunctionTestKind.WalkAssist), limitS = StartOf(FunctionTestKind.CurrentLimit);
        for (var i = 0; i < timeS.Length; i++)
        {
            var t = timeS[i];
            var (torque, speed, angle) = At(t);
            var walking = t >= walkS && t < limitS;
            var pedals = t < stopS || (t >= brakeS && !walking);
            var crank = pedals && torque > 0 ? 8 * (1 + 0.75 * Math.Cos(2 * angle)) : 0;
            var atLimit = t >= limitS + 0.9 && torque > 80;
            var wheelKmPerH = walking ? WalkKmPerH * (t < walkS + 0.3 ? 0 : t < walkS + 2.5 ? 1 - Math.Exp(-(t - walkS - 0.3) / 0.2) : Math.Exp(-(t - walkS - 2.5) / 0.2))
                : t >= cutOffS && t < walkS ? 22 + 1.5 * Math.Clamp(t - cutOffS - 0.5, 0, 4) : speed > 0 ? 20 : 0;
            Set("bus_voltage_v", 48 + Normal(0.01));
            Set("bus_current_a", (atLimit ? BusLimitA : BusA(torque, speed)) + Normal(0.02));
            Set("motor_speed_rad_s", Plan.Unit.Ratio * speed + Normal(0.05));
            Set("crank_torque_nm", crank + Normal(0.1));
            Set("crank_speed_rad_s", (pedals ? speed : 0) + Normal(0.01));
            Set("output_torque_nm", torque + crank + Normal(0.15));
            Set("output_speed_rad_s", speed + Normal(0.01));
            Set("wheel_speed_rad_s", wheelKmPerH / 3.6 / Plan.WheelRadiusM + Normal(0.01));
            Set("winding_c", WindingC(t) + Normal(0.05));
            Set("controller_c", 24 + 4 * Math.Min(t, 90) / 90 + Normal(0.05));
            Set("shell_c", 21 + Normal(0.05));
            Set("ambient_c", 20 + Normal(0.05));
            Set("reported_phase_current_a", CurrentGain * (atLimit ? PhaseLimitA : CurrentA(torque) * (speed > 0 ? 1 : 0)) + Normal(0.05));
            Set("reported_torque_nm", crank + TorqueSensorZeroNm + Normal(0.1));
            Set("brake", t >= brakeS + 1.5 && t < brakeS + 3 ? 1 : 0);
            Set("walk_assist", t >= walkS + 0.3 && t < walkS + 2.5 ? 1 : 0);

            void Set(string name, double value) => channels[name][i] = (float)value;
        }

        return new("slow", timeS, channels);
    }

    static List<(double FromS, double ForS)> WindowsS() => [.. Plan.Cycle.Points.Where(p => p.WindowForS > 0).Select(p => (StartOf(p.Id) + p.WindowFromS, p.WindowForS))];

    static double[] Times(List<(double FromS, double ForS)> windowsS, double rateHz) =>
        [.. windowsS.SelectMany(w => Enumerable.Range(0, (int)(w.ForS * rateHz)).Select(i => w.FromS + i / rateHz))];

    CaptureTable FastTable(double[] timeS)
    {
        var motor = Plan.Unit.Motor;
        var n = timeS.Length;
        float[] iu = new float[n], iv = new float[n], iw = new float[n], vu = new float[n], vv = new float[n], vw = new float[n], bus = new float[n], angle = new float[n], torque = new float[n];
        for (var i = 0; i < n; i++)
        {
            var t = timeS[i];
            var (driveNm, speed, outputRad) = At(t);
            var rotorRad = outputRad * Plan.Unit.Ratio;
            var we = speed * Plan.Unit.Ratio * motor.PolePairs;

            // The controller holds id = 0 in its own frame, which is turned against the rotor's.
            var (id, iq) = (-CurrentA(driveNm) * Math.Sin(RotorOffsetRad), CurrentA(driveNm) * Math.Cos(RotorOffsetRad));
            var ohm = ResistanceFactor * motor.PhaseResistance20Ohm * (1 + motor.ResistancePerK * (WindingC(t) - 20));
            var flux = FluxFactor * motor.FluxLinkage20Wb * (1 + motor.FluxPerK * (MagnetC(t) - 20)) * (1 - motor.SaturationAtCurrentLimit * Math.Pow(iq / motor.PhaseCurrentLimitPeakA, 2));
            var (vd, vq) = (ohm * id - we * motor.InductanceQH * iq, ohm * iq + we * (motor.InductanceDH * id + flux));
            for (var k = 0; k < 3; k++)
            {
                var (sin, cos) = Math.SinCos(motor.PolePairs * rotorRad - k * 2 * Math.PI / 3);
                (k == 0 ? iu : k == 1 ? iv : iw)[i] = (float)(id * cos - iq * sin + Normal(0.05));
                (k == 0 ? vu : k == 1 ? vv : vw)[i] = (float)(vd * cos - vq * sin + Normal(0.05));
            }

            bus[i] = (float)(BusA(driveNm, speed) + Normal(0.02));
            angle[i] = (float)Wrapped(rotorRad + RotorOffsetRad / motor.PolePairs);
            torque[i] = (float)(driveNm + (driveNm > 0 ? 8 * (1 + 0.75 * Math.Cos(2 * outputRad)) : 0) + RippleNm * Math.Cos(6 * motor.PolePairs * rotorRad) + Normal(0.15));
        }

        return new("fast", timeS, new Dictionary<string, float[]>
        {
            ["phase_current_u_a"] = iu, ["phase_current_v_a"] = iv, ["phase_current_w_a"] = iw, ["phase_voltage_u_v"] = vu, ["phase_voltage_v_v"] = vv, ["phase_voltage_w_v"] = vw,
            ["bus_current_a"] = bus, ["motor_angle_rad"] = angle, ["output_torque_nm"] = torque,
        });
    }

    CaptureTable VibrationTable(double[] timeS, double blow)
    {
        var samples = new float[timeS.Length];
        double struckTooth = random.NextDouble(), wheelTurnsBefore = 0, struckS = double.NegativeInfinity;
        for (var i = 0; i < timeS.Length; i++)
        {
            var t = timeS[i];
            var (driveNm, speed, outputRad) = At(t);
            var rotorRad = outputRad * Plan.Unit.Ratio;
            var wheelTurns = rotorRad * 12 / 83 / (2 * Math.PI) + struckTooth;
            if (Math.Floor(wheelTurns) > Math.Floor(wheelTurnsBefore)) struckS = t - (wheelTurns - Math.Floor(wheelTurns)) * 2 * Math.PI / Math.Max(1e-9, speed * Plan.Unit.Ratio * 12 / 83);
            wheelTurnsBefore = wheelTurns;
            var sinceS = t - struckS;
            samples[i] = (float)(RotorMPerS2 * Math.Cos(rotorRad) + Mesh1MPerS2 * Math.Cos(12 * rotorRad) + Mesh2MPerS2 * Math.Cos(13.0 * 12 / 83 * rotorRad) + Normal(VibrationNoiseMPerS2)
                + (sinceS < 0.02 ? blow * driveNm / 50 * Math.Exp(-sinceS / 0.0008) * Math.Sin(2 * Math.PI * 6200 * sinceS) : 0));
        }

        return new("vibration", timeS, new Dictionary<string, float[]> { ["vibration_m_s2"] = samples });
    }

    double spare = double.NaN;

    double Normal(double deviation)
    {
        if (!double.IsNaN(spare))
        {
            var kept = spare;
            spare = double.NaN;
            return noise * deviation * kept;
        }

        var (radius, angle) = (Math.Sqrt(-2 * Math.Log(1 - random.NextDouble())), 2 * Math.PI * random.NextDouble());
        spare = radius * Math.Sin(angle);
        return noise * deviation * radius * Math.Cos(angle);
    }

    static double Wrapped(double rad) => rad - 2 * Math.PI * Math.Floor(rad / (2 * Math.PI));

    static LoadTestPlan MakePlan() => DemoPlan.Plan with
    {
        Unit = MidDrive.Unit with { Supply = MidDrive.Unit.Supply with { SourceResistanceOhm = 0 } },
        Gauges = new() { Gauges = [Gauge("output_torque_nm", 0.15), Gauge("crank_torque_nm", 0.1), Gauge("output_speed_rad_s", 0.01)] },
        Requirements = [],
        Population = [],
    };

    static Gauge Gauge(string channel, double noiseRms) => new() { Channel = channel, GainShare = 0.001, Zero = 0, NoiseRms = noiseRms };
}
