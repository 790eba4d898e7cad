using System.Globalization;
using System.Text;
using Roadproof.Engineering.Checks;
using Roadproof.Engineering.Checks.Functional;
using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Statistics;

namespace Roadproof.Engineering.Tests.Checks;

/// <summary>A functional check recorded at 200 Hz, from the powers that are lost in the unit and not from the judge's model: servo ramps, cogging, noise, and what may be wrong.</summary>
sealed record ServoTurned
{
    public DriveUnit Unit { get; init; } = MidDrive.Unit;
    public double SealFactor { get; init; } = 1;
    public double MotorClutchFactor { get; init; } = 1;
    public double CrankClutchFactor { get; init; } = 1;
    public double TakeUpDeg { get; init; } = 4;
    public double RotorDragNm { get; init; }
    public double GearDragFactor { get; init; } = 1;
    public double FluxFactor { get; init; } = 1;
    public double MeshFactor { get; init; } = 1;
    public double SensorZeroNm { get; init; }
    public double PartC { get; init; } = 20;

    /// <summary>The clutch lets go at this torque; the ramp ends at <see cref="RampToNm"/>.</summary>
    public double SlipsAtNm { get; init; } = double.PositiveInfinity;
    public double RampToNm { get; init; } = 140;

    /// <summary>Resistance that phase u has more, as a share: its current is smaller by it.</summary>
    public double PhaseULess { get; init; }
    public int Missed { get; init; }
    public double NoiseNm { get; init; } = 0.01;
    public double TurnDegPerS { get; init; } = 60;
    public ulong Seed { get; init; } = 1;

    static readonly PartTolerances Parts = DemoPlan.Plan.Tolerances with { CrankDragShare = 0.225, TakeUpDeg = 0.9 };

    public static readonly FunctionalTest Test = new()
    {
        Unit = MidDrive.Unit, Tolerances = Parts,
        Limits = new Dictionary<string, FeatureWindow>
        {
            [FunctionalVerdict.Forward] = new(0.1, 0.3, "test"), [FunctionalVerdict.Backward] = new(0.1, 0.3, "test"), [FunctionalVerdict.TakeUp] = new(1, 8, "test"),
            [FunctionalVerdict.Lock] = new(127.5, null, "test"), [FunctionalVerdict.Free] = new(null, 0.3, "test"), [FunctionalVerdict.SensorZero] = new(-3, 3, "test"),
            [FunctionalVerdict.PhaseBalance] = new(null, 2, "test"), [FunctionalVerdict.Missed] = new(null, 0.5, "test", 0),
        },
    };

    /// <summary>A unit whose parts scatter as the tolerances say.</summary>
    public static ServoTurned Sound(ulong seed)
    {
        var n = new SeededNoise(seed, "parts");
        double About(double share) => 1 + share / 3 * n.Normal();
        return new()
        {
            Seed = seed, SealFactor = About(Parts.CrankDragShare!.Value), MotorClutchFactor = About(Parts.CrankDragShare.Value), CrankClutchFactor = About(Parts.CrankDragShare.Value),
            TakeUpDeg = 4 + Parts.TakeUpDeg!.Value / 3 * n.Normal(), RotorDragNm = Parts.MotorDragNm / 3 * n.Normal(), GearDragFactor = About(Parts.GearDragShare), FluxFactor = About(Parts.FluxShare),
            MeshFactor = About(Parts.MeshShare), SensorZeroNm = Parts.TorqueSensorZeroNm / 3 * n.Normal(),
        };
    }

    /// <summary>Torque at the chainring that the rotor and its gears take, from the power that each loss takes at that speed.</summary>
    public double DrivenNm
    {
        get
        {
            var rotor = TurnDegPerS * Math.PI / 180 * Unit.Ratio;
            var hz = rotor * Unit.Motor.PolePairs / (2 * Math.PI);
            var lostW = (Unit.Motor.IronLossHysteresisWPerHz * hz + Unit.Motor.IronLossEddyWPerHz2 * hz * hz) * FluxFactor * FluxFactor
                + (Unit.Motor.CoulombFrictionNm + RotorDragNm + Unit.Motor.ViscousFrictionNmS * rotor) * rotor
                + (Unit.GearDrag.CoulombNm + Unit.GearDrag.ViscousNmS * rotor) * GearDragFactor * rotor;
            // What the output gives is what is lost, and what the teeth take of it.
            return Seal + lostW / (Unit.MeshEfficiency * MeshFactor) / (TurnDegPerS * Math.PI / 180);
        }
    }

    public double Seal => Unit.CrankSide!.SealDragNm * SealFactor;

    public double MotorClutch => Unit.CrankSide!.MotorClutchOverrunDragNm * MotorClutchFactor;

    public double CrankClutch => Unit.CrankSide!.CrankClutchOverrunDragNm * CrankClutchFactor;

    public FunctionalCapture Capture() => FunctionalCapture.Read("check.csv", new MemoryStream(Encoding.UTF8.GetBytes(Csv())));

    public string Csv()
    {
        var (rows, noise, t) = (new StringBuilder("time_s,section,angle_deg,torque_nm,sensor_torque_nm,phase_current_u_a,phase_current_v_a,phase_current_w_a,messages_missed,part_c\n"), new SeededNoise(Seed, "servo"), 0.0);
        Turn(1, 420, +1, _ => Seal + MotorClutch);
        Turn(2, 420, -1, _ => Seal + CrankClutch);
        // The crank comes along only once its clutch has locked: so do the seals.
        var cogging = Unit.Motor.CoggingPeakToPeakNm / 2 * Unit.Ratio;
        Turn(3, 180, -1, deg => deg < TakeUpDeg ? 0.02 : DrivenNm + cogging * Math.Sin((deg - TakeUpDeg) * Math.PI / 180 * Unit.Ratio * 84));
        Ramp();
        Turn(5, 420, +1, _ => MotorClutch + CrankClutch);
        for (var i = 0; i < 400; i++) Row(6, 0, 0, Unit.Motor.PolePairs * 0.005 * i);
        return rows.ToString();

        void Turn(int section, double deg, int way, Func<double, double> torque)
        {
            // The servo takes a tenth of the way to reach its speed, and another to stop.
            var (angle, step) = (0.0, TurnDegPerS / 200);
            while (angle < deg)
            {
                Row(section, way * angle, way * torque(angle));
                angle += step * Math.Clamp(Math.Min(angle + 0.5, deg - angle + 0.5) / (0.1 * deg), 0.05, 1);
            }
        }

        void Ramp()
        {
            var (top, slipped) = (Math.Min(RampToNm, SlipsAtNm), SlipsAtNm < RampToNm);
            double Deg(double nm) => nm / Unit.CrankSide!.TorsionStiffnessNmPerRad * 180 / Math.PI;
            for (var nm = 0.0; nm < top; nm += 0.5) Row(4, -Deg(nm), -nm);
            if (slipped) for (var k = 0; k < 60; k++) Row(4, -Deg(top) - 0.1 * k, -0.5 * top);
            else for (var nm = top; nm > 0; nm -= 2) Row(4, -Deg(nm), -nm);
        }

        void Row(int section, double deg, double nm, double electricalRad = double.NaN)
        {
            t += 0.005;
            var current = double.IsNaN(electricalRad) ? 0 : 5.0;
            double Phase(int k) => current * (k == 0 ? 1 - PhaseULess : 1) * Math.Cos(electricalRad * 3 - k * 2 * Math.PI / 3) + 0.02 * noise.Normal();
            var (u, v, w) = current == 0 ? (0.0, 0.0, 0.0) : (Phase(0), Phase(1), Phase(2));
            var sensor = SensorZeroNm + Unit.TorqueSensor!.ZeroDriftNmPerK * (PartC - 20) + Unit.TorqueSensor.NoiseRmsNm * noise.Normal();
            rows.Append(CultureInfo.InvariantCulture, $"{t:0.000},{section},{deg:0.0000},{nm + NoiseNm * noise.Normal():0.00000},{sensor:0.0000},{u:0.0000},{v:0.0000},{w:0.0000},{(section >= 4 ? Missed : 0)},{PartC:0.00}\n");
        }
    }
}
