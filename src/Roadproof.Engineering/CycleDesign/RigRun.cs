using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Life;
using Roadproof.Engineering.Road;

namespace Roadproof.Engineering.CycleDesign;

/// <summary>A cycle as the unit feels it on a rig: the same seconds through the same model as a ride.</summary>
/// <remarks>Even torque (no pushes), nominal voltage from a stiff supply, steady air.</remarks>
public sealed class RigRun
{
    /// <summary>So many passes at most until a pass begins as warm as it ends.</summary>
    const int MostPasses = 400;
    const double SettledK = 0.02;

    readonly RoadRunner runner;
    readonly DriveUnit unit;
    readonly RigLimits limits;

    public RigRun(DriveUnit unit, RigLimits limits)
    {
        ArgumentNullException.ThrowIfNull(unit);
        ArgumentNullException.ThrowIfNull(limits);
        (this.unit, this.limits) = (unit with { Supply = unit.Supply with { SourceResistanceOhm = 0 } }, limits);
        runner = new(this.unit, Deviation.None, new()
        {
            AmbientC = limits.AmbientC,
            Pulsation = new() { RiderDepth = 0, MotorFollows = 0 },
            // Never empty within a run; at half charge its rest voltage is the nominal one, near enough.
            Battery = new() { EnergyWh = 5000, ChargeAtStart = 0.55 },
        });
    }

    /// <summary>One pass, from a unit as warm as the room.</summary>
    public LoadSpectrum Once(IReadOnlyList<CyclePoint> points) => Counted(OncePass(points));

    /// <summary>Second by second, that pass.</summary>
    public UnitOnRoad OncePass(IReadOnlyList<CyclePoint> points) => Pass(points, 1);

    /// <summary>One pass of a cycle that has gone on until it begins as warm as it ends.</summary>
    public LoadSpectrum Settled(IReadOnlyList<CyclePoint> points) => Counted(SettledPass(points));

    /// <summary>Second by second, that pass.</summary>
    public UnitOnRoad SettledPass(IReadOnlyList<CyclePoint> points)
    {
        ArgumentNullException.ThrowIfNull(points);
        var passS = Math.Max(1, (int)Math.Round(points.Sum(p => p.HoldS)));
        var passes = Math.Clamp((int)Math.Ceiling(4 * 3600.0 / passS), 2, MostPasses);
        var all = Pass(points, passes);
        // The first pass after which nothing grows any more is as good as the last.
        for (var pass = 1; pass < passes; pass++)
        {
            var (before, now) = (pass * passS - 1, (pass + 1) * passS - 1);
            if (now < all.WindingC.Length && Math.Abs(all.HousingC[now] - all.HousingC[before]) < SettledK && Math.Abs(all.WindingC[now] - all.WindingC[before]) < SettledK)
                return Part(all, pass * passS, passS);
        }

        return Part(all, (passes - 1) * passS, passS);
    }

    LoadSpectrum Counted(UnitOnRoad run)
    {
        var spectrum = new LoadSpectrum(unit);
        spectrum.Add(run);
        return spectrum;
    }

    /// <summary>The points as a ride that asks the motor for all of it.</summary>
    UnitOnRoad Pass(IReadOnlyList<CyclePoint> points, int times)
    {
        var seconds = new List<(double TorqueNm, double RadPerS)>();
        for (var pass = 0; pass < times; pass++)
        {
            var (atS, doneS) = (0.0, 0);
            foreach (var point in points)
            {
                atS += point.HoldS;
                for (; doneS < (int)Math.Round(atS); doneS++) seconds.Add((point.TorqueNm, point.SpeedRadPerS));
            }
        }

        return runner.Run(AsLoad(seconds), MotorAlone);
    }

    RoadLoad AsLoad(List<(double TorqueNm, double RadPerS)> seconds) => new()
    {
        Summary = Rig,
        TimeS = [.. Enumerable.Range(0, seconds.Count).Select(i => (double)i)],
        // A hub's shell turns as its wheel would; the air goes with it. Else the fan's.
        SpeedMps = [.. seconds.Select(s => unit.SitsInWheel ? s.RadPerS * MotorAlone.WheelRadiusM : limits.AirMps)],
        Gradient = new double[seconds.Count],
        TotalTorqueNm = [.. seconds.Select(s => s.TorqueNm)],
        RiderTorqueNm = new double[seconds.Count],
        MotorTorqueNm = new double[seconds.Count],
        CadenceRadPerS = [.. seconds.Select(s => s.TorqueNm > 0 ? s.RadPerS : 0)],
        AirTemperatureC = limits.AmbientC,
        RiderEnergyJ = 0, MotorEnergyJ = 0, PeakMotorTorqueNm = 0, Spectrum = [], ModelAgainstMeter = null, SecondsAtLimit = 0, Warnings = [],
    };

    static readonly RideSummary Rig = new()
    {
        File = "rig", DistanceM = 0, DistanceFrom = "recorder", RecordedDistanceM = null, ElapsedTimeS = null, MovingTimeS = null, AscentM = null, DescentM = null, MeanSpeedMps = null, Repaired = [],
    };

    // A factor beyond all riders: the motor gives everything, and nobody pedals.
    static readonly Rider MotorAlone = Rider.Default with { AssistanceFactor = 1e12 };

    static UnitOnRoad Part(UnitOnRoad all, int from, int count)
    {
        double[] Cut(double[] values) => values[from..(from + count)];
        var load = all.Load;
        return all with
        {
            Load = load with
            {
                TimeS = Cut(load.TimeS), SpeedMps = Cut(load.SpeedMps), Gradient = Cut(load.Gradient), TotalTorqueNm = Cut(load.TotalTorqueNm),
                RiderTorqueNm = Cut(load.RiderTorqueNm), MotorTorqueNm = Cut(load.MotorTorqueNm), CadenceRadPerS = Cut(load.CadenceRadPerS),
            },
            MotorTorqueNm = Cut(all.MotorTorqueNm), MostTorqueNm = Cut(all.MostTorqueNm), OutputRadPerS = Cut(all.OutputRadPerS), RiderTorqueNm = Cut(all.RiderTorqueNm),
            WindingC = Cut(all.WindingC), MagnetC = Cut(all.MagnetC), ControllerC = Cut(all.ControllerC), HousingC = Cut(all.HousingC),
            WheelC = [.. all.WheelC.Select(Cut)], BatteryW = Cut(all.BatteryW), PhaseCurrentPeakA = Cut(all.PhaseCurrentPeakA),
        };
    }
}
