using System.Globalization;
using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Quantities;
using static System.FormattableString;

namespace Roadproof.Engineering.Road;

/// <summary>What a unit on the road may be told beside the ride.</summary>
public sealed record UnitOnRoadOptions
{
    public static readonly UnitOnRoadOptions Default = new();

    public Battery Battery { get; init; } = Battery.Default;

    public Pulsation Pulsation { get; init; } = Pulsation.Default;

    /// <summary>Air around the unit, °C; null takes the ride's, else 15 °C.</summary>
    public double? AmbientC { get; init; }

    public Wind Wind { get; init; } = Wind.AsRecorded;

    /// <summary>The recording bike had a motor: a power meter at its crank read the rider alone, and the total is computed from the way.</summary>
    public bool MeterReadsRider { get; init; }

    /// <summary>The same day for the road's pull.</summary>
    public RoadLoadOptions Road => RoadLoadOptions.Default with { AirTemperatureC = AmbientC, Wind = Wind, UseRecordedPower = !MeterReadsRider };

    /// <summary>Air temperature where neither ride nor user tells one, °C.</summary>
    internal const double TemperateC = 15;

    /// <exception cref="InputException">A value cannot be; every one at once.</exception>
    public UnitOnRoadOptions Possible()
    {
        List<InputError> errors = [.. Battery.Errors(), .. Wind.Errors()];
        Require("ambientC", AmbientC ?? TemperateC, (AmbientC ?? TemperateC) is >= -60 and <= 60, "an air temperature between -60 and 60 °C");
        Require("riderDepth", Pulsation.RiderDepth, Pulsation.RiderDepth is >= 0 and <= 2, "a depth between 0 and 2");
        Require("motorFollows", Pulsation.MotorFollows, Pulsation.MotorFollows is >= 0 and <= 1, "a share between 0 and 1");
        return errors.Count > 0 ? throw new InputException(errors) : this;

        void Require(string field, double value, bool possible, string expected)
        {
            if (!possible) errors.Add(new("unit on the road", 0, field, value.ToString(CultureInfo.InvariantCulture), expected));
        }
    }
}

/// <summary>A drive unit over a ride, second by second: what it gave, what it took from the battery, how warm it became.</summary>
/// <remarks>All arrays have one value per second of the <see cref="RoadLoad"/> it was computed from.</remarks>
public sealed record UnitOnRoad
{
    public required RoadLoad Load { get; init; }
    public required DriveUnit Unit { get; init; }
    public required Pulsation Pulsation { get; init; }
    public required double AmbientC { get; init; }

    /// <summary>At the unit's own output, N·m: the chainring, or the wheel for a hub motor.</summary>
    public required double[] MotorTorqueNm { get; init; }

    /// <summary>Most torque that rating, heat and battery leave in the second, N·m: pushes are cut there. 0 where no torque was asked for.</summary>
    public required double[] MostTorqueNm { get; init; }

    /// <summary>Of the unit's own output; 0 where it does not drive (its clutch lets the chainring or wheel run).</summary>
    public required double[] OutputRadPerS { get; init; }

    /// <summary>At the chainring, N·m: what the road asks less what the motor gives.</summary>
    public required double[] RiderTorqueNm { get; init; }
    public required double[] WindingC { get; init; }
    public required double[] MagnetC { get; init; }
    public required double[] ControllerC { get; init; }
    public required double[] HousingC { get; init; }

    /// <summary>Rim of each stage's wheel, shape [stage][second].</summary>
    public required double[][] WheelC { get; init; }

    /// <summary>Out of the battery's open terminals, W; its own resistance heats outside of the unit.</summary>
    public required double[] BatteryW { get; init; }
    public required double[] PhaseCurrentPeakA { get; init; }
    public required double MotorEnergyJ { get; init; }
    public required double RiderEnergyJ { get; init; }

    /// <summary>In all of the unit, J.</summary>
    public required double LossEnergyJ { get; init; }

    /// <summary>In the battery's resistance, J.</summary>
    public required double SagEnergyJ { get; init; }

    /// <summary>Out of the battery, J: motor + loss + sag.</summary>
    public required double BatteryEnergyJ { get; init; }

    /// <summary>Temperatures when the ride ends.</summary>
    public required ThermalState End { get; init; }

    /// <summary>Heat given to the air over the ride, pauses left out, J.</summary>
    public required double HeatToAirJ { get; init; }

    /// <summary>Seconds in which the winding's heat held the torque back.</summary>
    public required int SecondsDerated { get; init; }

    /// <summary>Seconds in which rating, phase current or bus held the torque back.</summary>
    public required int SecondsAtLimit { get; init; }

    /// <summary>How full the battery is at the end.</summary>
    public required double ChargeAtEnd { get; init; }

    /// <summary>Distance at which the battery was empty, m; null where it lasted.</summary>
    public required double? EmptyAtM { get; init; }
    public required IReadOnlyList<string> Warnings { get; init; }

    public double PeakWindingC => WindingC.Length == 0 ? AmbientC : WindingC.Max();

    /// <summary>Largest torque of a push, N·m at the unit's output.</summary>
    public double PeakMotorTorqueNm
    {
        get
        {
            var peakNm = 0.0;
            for (var i = 0; i < MotorTorqueNm.Length; i++) peakNm = Math.Max(peakNm, PushNm(i, 1));
            return peakNm;
        }
    }

    /// <summary>Motor torque at a place of the push, N·m at the unit's output: cos 2θ from −1 to 1, cut at what the unit could give.</summary>
    public double PushNm(int second, double cosine)
    {
        var meanNm = MotorTorqueNm[second];
        return Math.Min(meanNm * (1 + Pulsation.MotorDepth * cosine), Math.Max(MostTorqueNm[second], meanNm));
    }

    /// <summary>Battery energy for a distance, Wh/km; NaN for a ride without distance.</summary>
    public double WhPerKm => BatteryEnergyJ / 3.6 / Load.Summary.DistanceM;
}

/// <summary>Takes one unit over any number of rides.</summary>
/// <param name="unit">As drawn; a unit of its own by <paramref name="deviation"/>.</param>
/// <remarks>
/// Each second: the motor's share of the pull; what rating, derating (torque falls straight from the start to the end of derating; common practice, no source),
/// phase current, voltage and battery leave of it, the rider gives the rest, up to what a rider can push; the operating point with all losses; one exact step of the thermal network. Pauses of the recording cool the unit in still air, switched off.
/// Quasi-steady: the rotor's inertia is left out (a start from standstill takes a few joules). Not thread-safe per call; one instance may be shared by threads, since it holds no state of a ride.
/// Equations and sources: <c>docs/methods/drive-on-the-road.md</c>.
/// </remarks>
public sealed class RoadRunner(DriveUnit unit, Deviation deviation, UnitOnRoadOptions options)
{
    /// <summary>A gap of the recording above this is a pause, s.</summary>
    const double PauseS = 1.5;

    /// <summary>Half of the heat of a mesh goes into the wheel, half into the pinion (common practice, no source).</summary>
    const double ShareIntoWheel = 0.5;

    /// <summary>A cut by less than this share is no news.</summary>
    const double Felt = 0.01;

    readonly RoadCooling cooling = new(unit.Thermal);
    readonly UnitOnRoadOptions options = options.Possible();

    /// <summary>Takes the unit over a ride that rider and road have been computed for.</summary>
    /// <param name="load">From <see cref="RoadLoad.Run"/>.</param>
    /// <param name="rider">The same that the load was computed for: the factor of assistance and the wheel's radius are read.</param>
    /// <param name="stop">Long rides stop between seconds.</param>
    public UnitOnRoad Run(RoadLoad load, Rider rider, CancellationToken stop = default)
    {
        ArgumentNullException.ThrowIfNull(load);
        ArgumentNullException.ThrowIfNull(rider);
        var count = load.TimeS.Length;
        var ambientC = options.AmbientC ?? load.AirTemperatureC ?? UnitOnRoadOptions.TemperateC;
        var (motorNm, mostNm, outputRadPerS, riderNm) = (new double[count], new double[count], new double[count], new double[count]);
        var (windingC, magnetC, controllerC, housingC) = (new double[count], new double[count], new double[count], new double[count]);
        var (batteryW, phaseA) = (new double[count], new double[count]);
        var wheelC = unit.Gears.Select(_ => new double[count]).ToArray();
        var wheelRiseK = new double[unit.Gears.Count];

        var state = ThermalState.At(ambientC);
        var charge = options.Battery.ChargeAtStart;
        var capacityJ = options.Battery.EnergyWh * 3600;
        var (motorJ, riderJ, lossJ, sagJ, batteryJ, airJ, alongM) = (0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0);
        var (derated, limited, tooHard) = (0, 0, 0);
        double? emptyAtM = null;
        var standingLosses = new Losses(0, 0, 0, unit.Inverter.StandingLossW, 0);

        for (var i = 0; i < count; i++)
        {
            if ((i & 0x3FFF) == 0) stop.ThrowIfCancellationRequested();
            if (i > 0 && load.TimeS[i] - load.TimeS[i - 1] > PauseS)
            {
                var pauseS = load.TimeS[i] - load.TimeS[i - 1] - 1;
                state = cooling.Pause(state, ambientC, pauseS);
                CoolWheels(wheelRiseK, pauseS);
            }

            var openV = Battery.OpenCircuitV(unit.Supply, charge);
            var ask = charge > 0 ? AskOf(load, rider, i) : default;
            var losses = charge > 0 ? standingLosses : default;
            if (ask.PowerW > 0)
            {
                var given = Give(ask, state, openV);
                (motorNm[i], mostNm[i], outputRadPerS[i], phaseA[i]) = (given.TorqueNm, given.MostNm, ask.SpeedRadPerS, given.PhaseA);
                losses = given.Losses;
                if (given.Derated) derated++;
                if (given.Limited) limited++;
            }

            var outputW = motorNm[i] * outputRadPerS[i];
            var busW = outputW + losses.TotalW;
            var busA = Battery.CurrentA(openV, unit.Supply.SourceResistanceOhm, busW);
            var sagW = busA * busA * unit.Supply.SourceResistanceOhm;
            batteryW[i] = busW + sagW;
            riderNm[i] = load.CadenceRadPerS[i] > 0 ? load.TotalTorqueNm[i] - outputW / load.CadenceRadPerS[i] : 0;
            if (riderNm[i] > load.RiderMostNm)
            {
                if (riderNm[i] > (1 + Felt) * load.RiderMostNm) tooHard++;
                riderNm[i] = load.RiderMostNm;
            }

            WarmWheels(wheelRiseK, motorNm[i], outputRadPerS[i]);
            var step = cooling.Second(load.SpeedMps[i]);
            var toAirW = step.ToAirW(state, ambientC);
            state = step.Apply(state, Heat.From(losses), ambientC);
            airJ += (toAirW + step.ToAirW(state, ambientC)) / 2;
            (windingC[i], magnetC[i], controllerC[i], housingC[i]) = (state.WindingC, state.RotorC, state.ControllerC, state.HousingC);
            for (var stage = 0; stage < wheelC.Length; stage++) wheelC[stage][i] = state.HousingC + wheelRiseK[stage];

            motorJ += outputW;
            riderJ += riderNm[i] * load.CadenceRadPerS[i];
            lossJ += losses.TotalW;
            sagJ += sagW;
            batteryJ += batteryW[i];
            alongM += load.SpeedMps[i];
            charge -= batteryW[i] / capacityJ;
            if (charge <= 0 && emptyAtM is null) emptyAtM = alongM;
            charge = Math.Max(0, charge);
        }

        List<string> warnings = [];
        if (derated > 0) warnings.Add(Invariant($"{derated} seconds in which the winding's heat held the motor back."));
        if (limited > 0) warnings.Add(Invariant($"{limited} seconds in which rating, phase current or battery held the motor back."));
        if (tooHard > 0) warnings.Add(Invariant($"{tooHard} seconds in which the motor was held back would ask the rider for more than body weight on a pedal: cut to {load.RiderMostNm:0} N·m. A real rider would be slower there."));
        if (emptyAtM is { } m) warnings.Add(Invariant($"The battery of {options.Battery.EnergyWh:0} Wh was empty after {m / 1000:0.0} km; the rider goes on alone."));
        if (options.AmbientC is null && load.AirTemperatureC is null) warnings.Add(Invariant($"No air temperature: {UnitOnRoadOptions.TemperateC:0} °C is taken around the unit."));

        return new()
        {
            Load = load, Unit = unit, Pulsation = options.Pulsation, AmbientC = ambientC,
            MotorTorqueNm = motorNm, MostTorqueNm = mostNm, OutputRadPerS = outputRadPerS, RiderTorqueNm = riderNm,
            WindingC = windingC, MagnetC = magnetC, ControllerC = controllerC, HousingC = housingC, WheelC = wheelC,
            BatteryW = batteryW, PhaseCurrentPeakA = phaseA,
            MotorEnergyJ = motorJ, RiderEnergyJ = riderJ, LossEnergyJ = lossJ, SagEnergyJ = sagJ, BatteryEnergyJ = batteryJ, HeatToAirJ = airJ, End = state,
            SecondsDerated = derated, SecondsAtLimit = limited, ChargeAtEnd = charge, EmptyAtM = emptyAtM, Warnings = warnings,
        };
    }

    readonly record struct Ask(double PowerW, double SpeedRadPerS);

    readonly record struct Given(double TorqueNm, double MostNm, double PhaseA, Losses Losses, bool Derated, bool Limited);

    /// <summary>What the motor should give: its share of the pull, at the speed of its own output.</summary>
    Ask AskOf(RoadLoad load, Rider rider, int i)
    {
        var totalW = load.TotalTorqueNm[i] * load.CadenceRadPerS[i];
        if (!(totalW > 0)) return default;
        var speedRadPerS = unit.SitsInWheel ? load.SpeedMps[i] / rider.WheelRadiusM : load.CadenceRadPerS[i];
        return speedRadPerS > 0 ? new(totalW * Assistance.ShareOfMotor(load.SpeedMps[i], rider.AssistanceFactor, unit.Rating), speedRadPerS) : default;
    }

    Given Give(in Ask ask, in ThermalState warm, double openV)
    {
        var motor = unit.Motor;
        var leftShare = Math.Clamp((motor.DeratingEndC - warm.WindingC) / (motor.DeratingEndC - motor.DeratingStartC), 0, 1);
        var ratedNm = Assistance.MostNm(ask.SpeedRadPerS, unit.Rating);
        var mostNm = Math.Min(ratedNm, leftShare * unit.Rating.MaximumTorqueNm);
        var wantedNm = ask.PowerW / ask.SpeedRadPerS;
        var (isDerated, isLimited) = (wantedNm > mostNm && mostNm < ratedNm, wantedNm > mostNm && mostNm == ratedNm);
        var request = new PointRequest(Math.Min(wantedNm, mostNm), ask.SpeedRadPerS)
        {
            WindingC = warm.WindingC, MagnetC = warm.RotorC, BusV = openV, SourceOhm = unit.Supply.SourceResistanceOhm,
        };

        var point = OperatingPoints.Solve(unit, deviation, request);
        if (!point.Reachable)
        {
            isLimited = true;
            mostNm = Envelope.MaximumTorque(unit, deviation, request).TorqueNm;
            request = request with { TorqueNm = mostNm };
            point = OperatingPoints.Solve(unit, deviation, request);
        }

        // Pushes make the effective current larger than the mean one.
        var losses = point.Losses with { CopperW = point.Losses.CopperW * options.Pulsation.MeanSquareOfMotor };
        return new(request.TorqueNm, mostNm, point.PhaseCurrentPeakA, losses, isDerated, isLimited);
    }

    /// <summary>The rim follows its mesh's loss with one time constant above the housing.</summary>
    void WarmWheels(double[] riseK, double outputNm, double outputRadPerS)
    {
        // Power on its way from the rotor: what stage k passes on is what the output gives, over the efficiencies behind it.
        var throughW = outputNm * outputRadPerS;
        for (var stage = riseK.Length - 1; stage >= 0; stage--)
        {
            var gears = unit.Gears[stage];
            var intoW = throughW / gears.MeshEfficiency;
            if (gears is { WheelToHousingKPerW: { } kPerW, WheelJPerK: { } jPerK })
            {
                var settledK = ShareIntoWheel * (intoW - throughW) * kPerW;
                riseK[stage] = settledK + (riseK[stage] - settledK) * Math.Exp(-1 / (kPerW * jPerK));
            }

            throughW = intoW;
        }
    }

    void CoolWheels(double[] riseK, double forS)
    {
        for (var stage = 0; stage < riseK.Length; stage++)
        {
            if (unit.Gears[stage] is { WheelToHousingKPerW: { } kPerW, WheelJPerK: { } jPerK }) riseK[stage] *= Math.Exp(-forS / (kPerW * jPerK));
        }
    }
}
