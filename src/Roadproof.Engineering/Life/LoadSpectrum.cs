using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Road;

namespace Roadproof.Engineering.Life;

/// <summary>How often which load occurs: everything that life is computed from, in classes that merge over any number of rides.</summary>
/// <remarks>
/// Gears and bearings count turns under load, shell and axle count ranges, insulation counts hours at a temperature: each is kept in its own way.
/// Pushes of the legs are inside: each turn is spread over the torques that it passes through. Memory does not depend on the number of rides.
/// Torque classes are a 64th of the unit's largest torque, temperature classes 2.5 K; the mean of what fell into a class of torque stands for it, the middle for a class of temperature.
/// </remarks>
public sealed class LoadSpectrum
{
    public const int MotorClasses = 64;
    public const int TotalClasses = 80;
    public const double WarmthClassK = 2.5;
    public const double ColdestC = -40;
    public const int WarmthClasses = 120;

    /// <summary>Ranges and means of a load in so many classes each.</summary>
    public const int RangeClasses = 64;

    /// <summary>Steps of cos 2θ that a turn's pushes are spread over.</summary>
    const int Pushes = 8;

    static readonly double[] Push = [.. Enumerable.Range(0, Pushes).Select(j => Math.Cos(Math.PI * (j + 0.5) / Pushes))];

    readonly double[] pairs = new double[MotorClasses * TotalClasses];
    /// <summary>Turns times torque in each class: what its mean is made of.</summary>
    readonly double[] motorNmTurns = new double[MotorClasses], totalNmTurns = new double[TotalClasses];
    readonly double[][] warmTeeth;
    readonly double[] windingS = new double[WarmthClasses], controllerS = new double[WarmthClasses], housingS = new double[WarmthClasses];
    readonly double[] takeUps = new double[MotorClasses];

    /// <param name="unit">The unit that every ride of this spectrum is of.</param>
    public LoadSpectrum(DriveUnit unit)
    {
        ArgumentNullException.ThrowIfNull(unit);
        Unit = unit;
        MotorClassNm = unit.Rating.MaximumTorqueNm / (MotorClasses - 2);
        // What rider and motor together can put on an output: the motor's most and a heavy rider's push (250 N·m; trade arithmetic).
        TotalClassNm = (unit.Rating.MaximumTorqueNm + 250) / (TotalClasses - 1);
        warmTeeth = [.. unit.Gears.Select(_ => new double[MotorClasses * WarmthClasses])];
        var leastNm = unit.Rating.MaximumTorqueNm / 128;
        TotalRanges = new(RangeClasses, leastNm);
        MotorRanges = new(RangeClasses, leastNm);
        WindingSwings = new(RangeClasses, 0.5);
        ControllerSwings = new(RangeClasses, 0.5);
    }

    public DriveUnit Unit { get; }
    public double MotorClassNm { get; }
    public double TotalClassNm { get; }
    public double DistanceM { get; private set; }
    public double RidingS { get; private set; }
    public double AscentM { get; private set; }
    public double MotorEnergyJ { get; private set; }
    public double RiderEnergyJ { get; private set; }
    public double BatteryEnergyJ { get; private set; }

    /// <summary>Rides in it, each as often as it was added.</summary>
    public double Rides { get; private set; }

    /// <summary>Turns of the output while somebody pulled, rider or motor.</summary>
    public double OutputTurns { get; private set; }

    /// <summary>Torque on the output's shaft, rider and motor together; ranges in N·m.</summary>
    public RangeMeanMatrix TotalRanges { get; }

    /// <summary>Torque of the motor at the output, which shell and screws hold against; ranges in N·m.</summary>
    public RangeMeanMatrix MotorRanges { get; }

    /// <summary>Ranges in K.</summary>
    public RangeMeanMatrix WindingSwings { get; }

    /// <summary>Ranges in K.</summary>
    public RangeMeanMatrix ControllerSwings { get; }

    /// <summary>Times that the motor's clutch took up torque.</summary>
    public double TakeUps => takeUps.Sum();

    /// <summary>Of them from standing, to nine tenths of the unit's torque within five seconds.</summary>
    public double FullStarts { get; private set; }

    /// <summary>Times that the speed rose beyond the end of assistance while the rider pedalled.</summary>
    public double CutOffs { get; private set; }

    /// <summary>No range of torque on the output's shaft can be wider: the unit's largest torque and a push of the strongest rider in it; 0 before a ride, ∞ where no rider was asked.</summary>
    public double WidestTotalNm { get; private set; }

    /// <summary>Highest temperature of the winding, °C; −∞ before a ride.</summary>
    public double PeakWindingC { get; private set; } = double.NegativeInfinity;

    /// <summary>Turns of the output by torque: of the motor at the output (0 where it did not drive), and of rider and motor together on its shaft.</summary>
    public IEnumerable<(double MotorNm, double TotalNm, double Turns)> TurnsAtTorques()
    {
        var (motorNm, totalNm) = (MotorClassesNm(), Means(totalNmTurns, TotalClasses, (t, m) => pairs[m * TotalClasses + t], MotorClasses));
        for (var m = 0; m < MotorClasses; m++)
            for (var t = 0; t < TotalClasses; t++)
                if (pairs[m * TotalClasses + t] is > 0 and var turns) yield return (motorNm[m], totalNm[t], turns);
    }

    /// <summary>The torque that stands for each class of <see cref="TurnsAtMotorTorque"/>, N·m: the mean of what fell into it; NaN where nothing did.</summary>
    public double[] MotorClassesNm() => Means(motorNmTurns, MotorClasses, (m, t) => pairs[m * TotalClasses + t], TotalClasses);

    static double[] Means(double[] weighted, int classes, Func<int, int, double> turns, int others)
    {
        var means = new double[classes];
        for (var c = 0; c < classes; c++)
        {
            var sum = 0.0;
            for (var o = 0; o < others; o++) sum += turns(c, o);
            means[c] = sum > 0 ? weighted[c] / sum : double.NaN;
        }

        return means;
    }

    /// <summary>Turns of the output by the motor's torque at it, shape [<see cref="MotorClasses"/>].</summary>
    public double[] TurnsAtMotorTorque()
    {
        var turns = new double[MotorClasses];
        for (var m = 0; m < MotorClasses; m++)
            for (var t = 0; t < TotalClasses; t++) turns[m] += pairs[m * TotalClasses + t];
        return turns;
    }

    /// <summary>Turns of the output by the motor's torque and the temperature of a stage's wheel.</summary>
    /// <param name="stage">From 0, the stage at the rotor.</param>
    public IEnumerable<(double MotorNm, double WheelC, double Turns)> TurnsAtTooth(int stage)
    {
        var table = warmTeeth[stage];
        var motorNm = MotorClassesNm();
        for (var m = 0; m < MotorClasses; m++)
            for (var w = 0; w < WarmthClasses; w++)
                if (table[m * WarmthClasses + w] is > 0 and var turns) yield return (motorNm[m], MiddleC(w), turns);
    }

    /// <summary>Seconds of riding at temperatures, by the part.</summary>
    public IEnumerable<(double C, double Seconds)> TimeAt(WarmPart part)
    {
        var table = part switch { WarmPart.Winding => windingS, WarmPart.Controller => controllerS, _ => housingS };
        for (var w = 0; w < WarmthClasses; w++)
            if (table[w] > 0) yield return (MiddleC(w), table[w]);
    }

    /// <summary>Take-ups of the motor's clutch by the torque that they came to within two seconds.</summary>
    public IEnumerable<(double MotorNm, double Count)> TakeUpsAtTorque()
    {
        for (var m = 0; m < MotorClasses; m++)
            if (takeUps[m] > 0) yield return (MiddleNm(m), takeUps[m]);
    }

    /// <summary>Counts a ride.</summary>
    public void Add(UnitOnRoad ride)
    {
        ArgumentNullException.ThrowIfNull(ride);
        if (ride.Unit.Gears.Count != warmTeeth.Length || ride.Unit.Rating.MaximumTorqueNm != Unit.Rating.MaximumTorqueNm)
            throw new ArgumentException("A spectrum holds the rides of one unit.", nameof(ride));
        CountTurns(ride);
        CountWarmth(ride);
        CountRanges(ride);
        CountEvents(ride);
        DistanceM += ride.Load.Summary.DistanceM;
        RidingS += ride.Load.TimeS.Length;
        var riderMostNm = Unit.SitsInWheel ? 0 : ride.Load.RiderMostNm * (1 + ride.Pulsation.RiderDepth);
        WidestTotalNm = Math.Max(WidestTotalNm, Unit.Rating.MaximumTorqueNm + riderMostNm);
        AscentM += ride.Load.Summary.AscentM ?? 0;
        MotorEnergyJ += ride.MotorEnergyJ;
        RiderEnergyJ += ride.RiderEnergyJ;
        BatteryEnergyJ += ride.BatteryEnergyJ;
        Rides++;
    }

    /// <summary>Counts a steady point at known temperatures, without the ranges that come of starting and ending it.</summary>
    /// <param name="motorNm">At the output; the rider pulls nothing.</param>
    /// <param name="wheelC">Of each stage's wheel.</param>
    /// <param name="takeUps">Times that the clutch took it up.</param>
    public void AddSteady(double motorNm, double radPerS, double seconds, ReadOnlySpan<double> wheelC, in ThermalState warmth, double takeUps)
    {
        windingS[WarmthClass(warmth.WindingC)] += seconds;
        controllerS[WarmthClass(warmth.ControllerC)] += seconds;
        housingS[WarmthClass(warmth.HousingC)] += seconds;
        RidingS += seconds;
        if (!(motorNm > 0)) return;
        var turns = radPerS / (2 * Math.PI) * seconds;
        OutputTurns += turns;
        var (m, t) = (MotorClass(motorNm), Math.Clamp((int)(motorNm / TotalClassNm), 0, TotalClasses - 1));
        pairs[m * TotalClasses + t] += turns;
        motorNmTurns[m] += turns * motorNm;
        totalNmTurns[t] += turns * motorNm;
        for (var stage = 0; stage < warmTeeth.Length; stage++) warmTeeth[stage][m * WarmthClasses + WarmthClass(wheelC[stage])] += turns;
        if (takeUps > 0) this.takeUps[m] += takeUps;
    }

    /// <summary>Takes in another spectrum of the same unit.</summary>
    /// <param name="times">How often it happens: 1000 rides like these.</param>
    public void Add(LoadSpectrum other, double times = 1)
    {
        ArgumentNullException.ThrowIfNull(other);
        if (other.MotorClassNm != MotorClassNm || other.warmTeeth.Length != warmTeeth.Length) throw new ArgumentException("Spectra of different units do not merge.", nameof(other));
        Sum(pairs, other.pairs);
        Sum(motorNmTurns, other.motorNmTurns);
        Sum(totalNmTurns, other.totalNmTurns);
        for (var stage = 0; stage < warmTeeth.Length; stage++) Sum(warmTeeth[stage], other.warmTeeth[stage]);
        Sum(windingS, other.windingS);
        Sum(controllerS, other.controllerS);
        Sum(housingS, other.housingS);
        Sum(takeUps, other.takeUps);
        TotalRanges.Add(other.TotalRanges, times);
        MotorRanges.Add(other.MotorRanges, times);
        WindingSwings.Add(other.WindingSwings, times);
        ControllerSwings.Add(other.ControllerSwings, times);
        DistanceM += times * other.DistanceM;
        RidingS += times * other.RidingS;
        AscentM += times * other.AscentM;
        MotorEnergyJ += times * other.MotorEnergyJ;
        RiderEnergyJ += times * other.RiderEnergyJ;
        BatteryEnergyJ += times * other.BatteryEnergyJ;
        Rides += times * other.Rides;
        OutputTurns += times * other.OutputTurns;
        FullStarts += times * other.FullStarts;
        CutOffs += times * other.CutOffs;
        PeakWindingC = Math.Max(PeakWindingC, other.PeakWindingC);
        WidestTotalNm = Math.Max(WidestTotalNm, other.WidestTotalNm);

        void Sum(double[] into, double[] from)
        {
            for (var i = 0; i < into.Length; i++) into[i] += times * from[i];
        }
    }

    void CountTurns(UnitOnRoad ride)
    {
        var inWheel = Unit.SitsInWheel;
        var warmthOfStages = new int[warmTeeth.Length];
        for (var i = 0; i < ride.MotorTorqueNm.Length; i++)
        {
            // A hub's output is the wheel: the rider's chain does not go through it.
            var riderNm = inWheel ? 0 : Math.Max(0, ride.RiderTorqueNm[i]);
            var drives = ride.MotorTorqueNm[i] > 0;
            if (!drives && riderNm == 0) continue;
            var turns = (inWheel ? ride.OutputRadPerS[i] : ride.Load.CadenceRadPerS[i]) / (2 * Math.PI);
            OutputTurns += turns;
            Span<int> warmth = warmthOfStages;
            for (var stage = 0; stage < warmth.Length; stage++) warmth[stage] = WarmthClass(ride.WheelC[stage][i]);
            foreach (var push in Push)
            {
                var pushNm = ride.PushNm(i, push);
                var m = drives ? MotorClass(pushNm) : 0;
                var totalNm = pushNm + riderNm * (1 + ride.Pulsation.RiderDepth * push);
                var t = Math.Clamp((int)(totalNm / TotalClassNm), 0, TotalClasses - 1);
                pairs[m * TotalClasses + t] += turns / Pushes;
                motorNmTurns[m] += turns / Pushes * (drives ? pushNm : 0);
                totalNmTurns[t] += turns / Pushes * totalNm;
                if (!drives) continue;
                for (var stage = 0; stage < warmth.Length; stage++) warmTeeth[stage][m * WarmthClasses + warmth[stage]] += turns / Pushes;
            }
        }
    }

    void CountWarmth(UnitOnRoad ride)
    {
        for (var i = 0; i < ride.WindingC.Length; i++)
        {
            windingS[WarmthClass(ride.WindingC[i])]++;
            controllerS[WarmthClass(ride.ControllerC[i])]++;
            housingS[WarmthClass(ride.HousingC[i])]++;
        }

        if (ride.WindingC.Length > 0) PeakWindingC = Math.Max(PeakWindingC, ride.PeakWindingC);
        CountSwings(ride.WindingC, ride.AmbientC, WindingSwings);
        CountSwings(ride.ControllerC, ride.AmbientC, ControllerSwings);
    }

    /// <summary>From the air's temperature and back to it: the ride's history closes.</summary>
    static void CountSwings(double[] partC, double ambientC, RangeMeanMatrix into)
    {
        var swings = new Rainflow<IntoMatrix>(new(into));
        swings.Add([ambientC]);
        swings.Add(partC);
        swings.Add([ambientC]);
        swings.Finish();
    }

    /// <summary>Every push of the legs is a turning point: seconds would miss nearly all of them.</summary>
    void CountRanges(UnitOnRoad ride)
    {
        var total = new Rainflow<IntoMatrix>(new(TotalRanges));
        var motor = new Rainflow<IntoMatrix>(new(MotorRanges));
        Span<double> totalNm = stackalloc double[64], motorNm = stackalloc double[64];
        total.Add([0.0]);
        motor.Add([0.0]);
        var phase = 0.0;
        for (var i = 0; i < ride.MotorTorqueNm.Length; i++)
        {
            var points = 0;
            var cadence = ride.Load.CadenceRadPerS[i];
            if (cadence > 0)
            {
                // Torque is largest and smallest a quarter turn apart: where 2θ passes a multiple of π.
                var next = phase + 2 * cadence;
                for (var at = (Math.Floor(phase / Math.PI) + 1) * Math.PI; at <= next && points < totalNm.Length; at += Math.PI)
                {
                    var push = ((long)Math.Round(at / Math.PI) & 1) == 0 ? 1.0 : -1.0;
                    motorNm[points] = ride.PushNm(i, push);
                    var riderNm = Unit.SitsInWheel ? 0 : ride.RiderTorqueNm[i] * (1 + ride.Pulsation.RiderDepth * push);
                    totalNm[points++] = motorNm[points - 1] + riderNm;
                }

                phase = next % (2 * Math.PI);
            }
            else
            {
                (totalNm[0], motorNm[0], points) = (0, 0, 1);
            }

            total.Add((ReadOnlySpan<double>)totalNm[..points]);
            motor.Add((ReadOnlySpan<double>)motorNm[..points]);
        }

        total.Add([0.0]);
        motor.Add([0.0]);
        total.Finish();
        motor.Finish();
    }

    void CountEvents(UnitOnRoad ride)
    {
        const int startS = 5;
        const int takeUpS = 2;
        var speedMps = ride.Load.SpeedMps;
        var limitMps = Unit.Rating.AssistanceLimitMps;
        for (var i = 0; i < ride.MotorTorqueNm.Length; i++)
        {
            var drivesBefore = i > 0 && ride.MotorTorqueNm[i - 1] > 0;
            if (ride.MotorTorqueNm[i] > 0 && !drivesBefore)
            {
                takeUps[MotorClass(HighestNm(ride.MotorTorqueNm, i, takeUpS))]++;
                var fromStanding = i == 0 || speedMps[i - 1] < RoadLoad.StandingMps;
                if (fromStanding && HighestNm(ride.MotorTorqueNm, i, startS) >= 0.9 * Unit.Rating.MaximumTorqueNm) FullStarts++;
            }

            if (i > 0 && speedMps[i - 1] < limitMps && speedMps[i] >= limitMps && ride.Load.CadenceRadPerS[i] > 0) CutOffs++;
        }

        static double HighestNm(double[] torqueNm, int from, int forS)
        {
            var highestNm = 0.0;
            for (var i = from; i < Math.Min(torqueNm.Length, from + forS); i++) highestNm = Math.Max(highestNm, torqueNm[i]);
            return highestNm;
        }
    }

    /// <summary>Class 0 is for no torque of the motor at all.</summary>
    int MotorClass(double motorNm) => 1 + Math.Clamp((int)(motorNm / MotorClassNm), 0, MotorClasses - 2);

    double MiddleNm(int motorClass) => Math.Max(0, (motorClass - 0.5) * MotorClassNm);

    static double MiddleC(int warmthClass) => ColdestC + (warmthClass + 0.5) * WarmthClassK;

    static int WarmthClass(double c) => Math.Clamp((int)((c - ColdestC) / WarmthClassK), 0, WarmthClasses - 1);

    readonly struct IntoMatrix(RangeMeanMatrix matrix) : ICountCycles
    {
        public void Count(double from, double to, double count) => matrix.Add(Math.Abs(to - from), (from + to) / 2, count);
    }
}

/// <summary>A part whose temperature ages it.</summary>
public enum WarmPart
{
    Winding,
    Controller,
    Housing,
}
