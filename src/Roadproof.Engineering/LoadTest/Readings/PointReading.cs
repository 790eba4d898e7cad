using Roadproof.Engineering.Formats;
using Roadproof.Engineering.Signals;

namespace Roadproof.Engineering.LoadTest;

/// <summary>What the channels say at one load point: means over its window with the uncertainty of noise.</summary>
public sealed record PointReading
{
    public required LoadPoint Point { get; init; }

    /// <summary>The part that is read, s since the start of the run.</summary>
    public required double FromS { get; init; }
    public required double ToS { get; init; }

    /// <summary>Whole turns of the output where they fit in; below one turn as it comes.</summary>
    public required double OutputTurns { get; init; }
    public required Reading BusVoltageV { get; init; }
    public required Reading BusCurrentA { get; init; }
    public required Reading BusPowerW { get; init; }
    public required Reading OutputTorqueNm { get; init; }

    /// <summary>NaN for a unit without a crank.</summary>
    public required Reading CrankTorqueNm { get; init; }

    /// <summary>Output − crank share.</summary>
    public required Reading DriveTorqueNm { get; init; }
    public required Reading OutputSpeedRadPerS { get; init; }
    public required Reading MotorSpeedRadPerS { get; init; }

    /// <summary>Slope of the output's speed over the window.</summary>
    public required Reading OutputAccelerationRadPerS2 { get; init; }
    public required Reading WindingC { get; init; }
    public required Reading ControllerC { get; init; }

    /// <summary>NaN where the rig did not record it.</summary>
    public required Reading ShellC { get; init; }

    /// <summary>NaN where the rig did not record it.</summary>
    public required Reading AmbientC { get; init; }
    public required Reading ReportedPhaseCurrentA { get; init; }

    /// <summary>NaN for a unit without a torque sensor.</summary>
    public required Reading ReportedTorqueNm { get; init; }

    /// <summary>End of what was recorded steadily at this point; from <see cref="ToS"/> on no whole output turn fits in.</summary>
    internal double RecordedToS { get; init; }

    /// <summary>When the load changed again, s since the start of the run.</summary>
    internal double SteadyToS { get; init; }

    /// <summary>Null at rest and where no fast channels were recorded.</summary>
    public required PhaseReading? Phase { get; init; }

    internal static PointReading Of(LoadPointWindow window, RunChannels channels, LoadTestPlan plan)
    {
        var rows = channels.Run.Rows(channels.Slow.TimeS, window.FromS, window.ToS);
        return new()
        {
            Point = window.Point,
            FromS = window.FromS,
            ToS = window.ToS,
            RecordedToS = window.RecordedToS,
            SteadyToS = channels.Slow.TimeS[window.Steady.To - 1],
            OutputTurns = window.OutputTurns,
            BusVoltageV = Mean(CaptureChannel.BusVoltage),
            BusCurrentA = Mean(CaptureChannel.BusCurrent),
            BusPowerW = SteadyMean.Of(Combined(CaptureChannel.BusVoltage, CaptureChannel.BusCurrent, static (v, i) => v * i)),
            OutputTorqueNm = Mean(CaptureChannel.OutputTorque),
            CrankTorqueNm = Mean(CaptureChannel.CrankTorque),
            DriveTorqueNm = !channels.HasCrank ? Mean(CaptureChannel.OutputTorque) : SteadyMean.Of(Combined(CaptureChannel.OutputTorque, CaptureChannel.CrankTorque, static (output, crank) => output - crank)),
            OutputSpeedRadPerS = Mean(CaptureChannel.OutputSpeed),
            MotorSpeedRadPerS = Mean(CaptureChannel.MotorSpeed),
            OutputAccelerationRadPerS2 = SteadyLine.Of(channels.Slow.TimeS.AsSpan(rows.From, rows.To - rows.From), Combined(CaptureChannel.OutputSpeed, CaptureChannel.OutputSpeed, static (speed, _) => speed)).Slope,
            WindingC = Mean(CaptureChannel.Winding),
            ControllerC = Mean(CaptureChannel.Controller),
            ShellC = Mean(CaptureChannel.Shell),
            AmbientC = Mean(CaptureChannel.Ambient),
            ReportedPhaseCurrentA = Mean(CaptureChannel.ReportedPhaseCurrent),
            ReportedTorqueNm = Mean(CaptureChannel.ReportedTorque),
            Phase = window.Point.WindowForS > 0 ? PhaseReading.Of(window, channels, plan.Unit.Motor.PolePairs) : null,
        };

        Reading Mean(string channel) => channels.Slow.Channels.ContainsKey(channel) ? SteadyMean.Of(channels.SlowRows(channel, rows)) : Reading.None;

        double[] Combined(string a, string b, Func<double, double, double> combine)
        {
            ReadOnlySpan<float> first = channels.SlowRows(a, rows), second = channels.SlowRows(b, rows);
            var combined = new double[first.Length];
            for (var i = 0; i < combined.Length; i++) combined[i] = combine(first[i], second[i]);
            return combined;
        }
    }
}

/// <summary>Currents and voltages of the three phases, seen from the rotor as the controller believes it stands.</summary>
/// <remarks>
/// Amplitude-invariant: i_d = ⅔·Σ i_k·cos(θ − 120°·k), i_q = −⅔·Σ i_k·sin(θ − 120°·k) with θ = pole pairs × reported rotor angle, so that u = d·cos θ − q·sin θ.
/// An error of the stored rotor offset turns both pairs against the true rotor; <see cref="MachineIdentification"/> finds it.
/// </remarks>
public sealed record PhaseReading
{
    public required Reading IdA { get; init; }
    public required Reading IqA { get; init; }

    /// <summary>NaN where voltages were not recorded.</summary>
    public required Reading VdV { get; init; }
    public required Reading VqV { get; init; }
    public required double ElectricalSpeedRadPerS { get; init; }

    /// <summary>Peak current of a phase (fundamental).</summary>
    public Reading CurrentPeakA
    {
        get
        {
            var (d, q) = (IdA, IqA);
            var peakA = Math.Sqrt(d.Value * d.Value + q.Value * q.Value);
            return new(peakA, Math.Sqrt(Square(d.Value * d.StandardUncertainty) + Square(q.Value * q.StandardUncertainty)) / Math.Max(peakA, double.Epsilon));
        }
    }

    internal static PhaseReading? Of(LoadPointWindow window, RunChannels channels, int polePairs)
    {
        var inside = channels.FastWindows.FirstOrDefault(w => w.FromS <= window.FromS && w.ToS >= window.ToS);
        if (inside.Count == 0) return null;

        var rows = inside.Rows(channels.Fast.TimeS, window.FromS, window.ToS);
        var count = rows.To - rows.From;
        var angleRad = channels.FastRows(CaptureChannel.MotorAngle, rows);
        var track = AngleTrack.FromWrapped(channels.Fast.TimeS.AsSpan(rows.From, count), angleRad);
        if (track.Turns < 1) return null;

        double[] cos = new double[count], sin = new double[count];
        for (var i = 0; i < count; i++) (sin[i], cos[i]) = Math.SinCos(polePairs * (double)angleRad[i]);

        var (id, iq) = Turned(CaptureChannel.PhaseCurrentU, CaptureChannel.PhaseCurrentV, CaptureChannel.PhaseCurrentW);
        var (vd, vq) = channels.HasPhaseVoltages ? Turned(CaptureChannel.PhaseVoltageU, CaptureChannel.PhaseVoltageV, CaptureChannel.PhaseVoltageW)
            : channels.HasTurnedVoltages ? (SteadyMean.Of(channels.FastRows(CaptureChannel.VoltageD, rows)), SteadyMean.Of(channels.FastRows(CaptureChannel.VoltageQ, rows)))
            : (Reading.None, Reading.None);
        return new() { IdA = id, IqA = iq, VdV = vd, VqV = vq, ElectricalSpeedRadPerS = polePairs * track.SpeedRadPerS };

        (Reading D, Reading Q) Turned(string u, string v, string w)
        {
            ReadOnlySpan<float> phaseU = channels.FastRows(u, rows), phaseV = channels.FastRows(v, rows), phaseW = channels.FastRows(w, rows);
            double[] d = new double[count], q = new double[count];
            for (var i = 0; i < count; i++)
            {
                // Of the three phases only what differs between them turns with the rotor (Clarke, then Park).
                var alpha = (2.0 * phaseU[i] - phaseV[i] - phaseW[i]) / 3;
                var beta = (phaseV[i] - (double)phaseW[i]) / Math.Sqrt(3);
                d[i] = alpha * cos[i] + beta * sin[i];
                q[i] = beta * cos[i] - alpha * sin[i];
            }

            return (SteadyMean.Of(d), SteadyMean.Of(q));
        }
    }

    static double Square(double x) => x * x;
}
