using System.Globalization;
using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Formats;
using Roadproof.Engineering.Quantities;
using static System.FormattableString;

namespace Roadproof.Engineering.Road;

/// <summary>What a road load may be told beside ride, rider and unit.</summary>
public sealed record RoadLoadOptions
{
    public static readonly RoadLoadOptions Default = new();

    /// <summary>Width of the classes of the torque spectrum, N·m.</summary>
    public double ClassNm { get; init; } = 5;

    /// <summary>Air temperature; null takes the mean that the ride recorded, or the standard atmosphere's.</summary>
    public double? AirTemperatureC { get; init; }

    public Wind Wind { get; init; } = Wind.AsRecorded;

    /// <summary>
    /// How deep the pull of the legs swings over a crank turn: T·(1 + depth·cos 2θ). 0 for the mean pull only; 0.75 is a seated rider (common practice,
    /// no source). A unit that follows every push peaks so much higher, up to its limits: it moves the peak, not the energy.
    /// </summary>
    public double PulsationDepth { get; init; }

    /// <summary>
    /// True takes the power meter for the total: right for a ride without a motor. On an assisted bicycle a meter at the crank reads the rider alone:
    /// set false, and the model gives the total.
    /// </summary>
    public bool UseRecordedPower { get; init; } = true;
}

/// <summary>The model beside a power meter, over the seconds that both tell and that moved.</summary>
/// <param name="Seconds">How many seconds were compared.</param>
/// <param name="MeanRecordedW">What the power meter read.</param>
/// <param name="MeanErrorW">Model minus power meter; the model counts as 0 where it is below.</param>
/// <param name="RmsErrorW">Root mean square of the same.</param>
public sealed record ModelAgainstMeter(int Seconds, double MeanRecordedW, double MeanErrorW, double RmsErrorW)
{
    /// <summary>Root mean square of the mean errors of whole minutes, which forget who pedalled in which second; null without such a minute.</summary>
    public double? MinuteRmsErrorW { get; init; }
}

/// <summary>What a ride asks of rider and drive unit: torque at the chainring, second by second, and its sums.</summary>
public sealed record RoadLoad
{
    /// <summary>Below this speed the bicycle stands and nobody pulls, m/s.</summary>
    public const double StandingMps = RideSummary.MovingMps;

    /// <summary>A recorded cadence below this is a crank that starts or stops within the second: the gear tells the cadence instead (20 turns per minute).</summary>
    const double SlowestCadenceRadPerS = 20 * ReferenceConditions.RadPerSPerRpm;

    /// <summary>No bicycle speeds up faster: more is an error of position, m/s².</summary>
    const double FastestAccelerationMps2 = 2;

    /// <summary>A wheel sensor further than this from the positions has a wrong wheel or lost turns; a receiver cuts corners and rounds by less (common practice, no source).</summary>
    const double DistancesAgree = 0.03;

    /// <summary>More than this for ten minutes is a trained racer's: the ride is then not one for this rider and factor.</summary>
    const double StrongRiderW = 400;

    public required RideSummary Summary { get; init; }

    /// <summary>Start of each second since the ride's first time, shape [n]; gaps in the recording leave seconds out.</summary>
    public required double[] TimeS { get; init; }

    /// <summary>Of the road; 0 everywhere where <see cref="HasRoad"/> is false.</summary>
    public required double[] SpeedMps { get; init; }

    /// <summary>
    /// False for a ride that tells power over time and no way (a trainer indoors). Its torques are those of the power meter; its speed is not known and stands as 0, so that
    /// no assistance limit cuts in and no wind cools, and nothing can be told per kilometre.
    /// </summary>
    public bool HasRoad { get; init; } = true;

    /// <summary>Rise over run.</summary>
    public required double[] Gradient { get; init; }

    /// <summary>At the chainring; 0 where nobody pedals. Cut where the rider's part would be more than <see cref="RiderMostNm"/>.</summary>
    public required double[] TotalTorqueNm { get; init; }

    public required double[] RiderTorqueNm { get; init; }

    /// <summary>What the rider can push at most, <see cref="Rider.MostTorqueNm"/>; ∞ where no rider was asked.</summary>
    public double RiderMostNm { get; init; } = double.PositiveInfinity;

    /// <summary>At the chainring: what the drive unit has to deliver.</summary>
    public required double[] MotorTorqueNm { get; init; }

    /// <summary>Of the chainring; 0 where nobody pedals.</summary>
    public required double[] CadenceRadPerS { get; init; }

    /// <summary>Of the options, else the mean that the ride recorded; null where nobody told.</summary>
    public required double? AirTemperatureC { get; init; }

    public required double RiderEnergyJ { get; init; }

    public required double MotorEnergyJ { get; init; }

    /// <summary>At the chainring, with the pulsation of the pull where it was asked for.</summary>
    public required double PeakMotorTorqueNm { get; init; }

    /// <summary>Motor torque at the chainring against time and chainring turns.</summary>
    public required IReadOnlyList<TorqueClass> Spectrum { get; init; }

    /// <summary>Null without a power meter.</summary>
    public required ModelAgainstMeter? ModelAgainstMeter { get; init; }

    /// <summary>Seconds in which the unit's torque or power limit held the motor back.</summary>
    public required int SecondsAtLimit { get; init; }

    /// <summary>What whoever reads the figures must know.</summary>
    public required IReadOnlyList<string> Warnings { get; init; }

    /// <summary>Rides a recorded way with a rider on a unit.</summary>
    /// <exception cref="InputException">The ride has no times, nothing moves in it, or a value of the rider cannot be.</exception>
    /// <remarks>
    /// Power by <see cref="RoadPower"/>; torque is power over cadence; the motor's part is A/(1 + A) below the assistance limit. Quasi-steady: what the
    /// unit cannot give the rider gives, so that the ride is the recorded one, up to what a rider can push (<see cref="Rider.MostTorqueNm"/>): what the way asks beyond is an error of its heights or speeds. Sums of rider and motor are the total to rounding.
    /// Equations, assumptions and sources: <c>docs/methods/road.md</c>.
    /// </remarks>
    public static RoadLoad Run(Ride ride, Rider rider, DriveUnit unit, RoadLoadOptions? options = null)
    {
        ArgumentNullException.ThrowIfNull(ride);
        ArgumentNullException.ThrowIfNull(rider);
        ArgumentNullException.ThrowIfNull(unit);
        options ??= RoadLoadOptions.Default;
        rider.RequirePossible();
        RequirePossible(options);

        var path = RidePath.Of(ride);
        var seconds = RideSeconds.Of(path);
        if (seconds.Count == 0)
            throw new InputException(new InputError(ride.Name, 0, RideField.TimeWord, "less than a second of recording with times", "a recorded ride with a time at each point", "A planned route tells distance and ascent only."));

        if (!path.HasRoad && !options.UseRecordedPower)
            throw new InputException(new InputError(ride.Name, 0, "", "power over time and no way", "positions, distance or speed", "Without a way nothing but the power meter tells the total, and that one reads the rider alone where there is a motor."));

        List<string> warnings = [.. seconds.Warnings];
        var summary = RideSummary.Of(ride, path);
        summary.RequireMovement();
        var (modelW, limitedAccelerations) = ModelPowerW(ride.Name, seconds, path, rider, options, warnings);
        var pull = new Pull(seconds.Count);
        pull.Fill(seconds, modelW, rider, unit.Rating, options, path.HasRoad);
        WarnOfWhatWasCut(seconds, path, pull, rider.MostTorqueNm, limitedAccelerations, warnings);
        WarnOfItsDistance(summary, warnings);

        return new RoadLoad
        {
            Summary = summary,
            HasRoad = path.HasRoad,
            TimeS = seconds.TimeS,
            SpeedMps = seconds.SpeedMps,
            Gradient = seconds.Gradient,
            TotalTorqueNm = pull.TotalNm,
            RiderTorqueNm = pull.RiderNm,
            RiderMostNm = rider.MostTorqueNm,
            MotorTorqueNm = pull.MotorNm,
            CadenceRadPerS = pull.CadenceRadPerS,
            AirTemperatureC = ToldTemperatureC(path, options),
            RiderEnergyJ = EnergyJ(pull.RiderNm, pull.CadenceRadPerS),
            MotorEnergyJ = EnergyJ(pull.MotorNm, pull.CadenceRadPerS),
            PeakMotorTorqueNm = PeakMotorNm(pull, unit.Rating, options.PulsationDepth),
            Spectrum = TorqueSpectrum.Of(pull.MotorNm, pull.CadenceRadPerS, options.ClassNm),
            ModelAgainstMeter = path.HasRoad ? AgainstMeter(seconds, modelW) : null,
            SecondsAtLimit = pull.SecondsAtLimit,
            Warnings = warnings,
        };
    }

    static (double[] ModelW, int LimitedAccelerations) ModelPowerW(string ride, RideSeconds seconds, RidePath path, Rider rider, RoadLoadOptions options, List<string> warnings)
    {
        if (!path.HasRoad) return (new double[seconds.Count], 0);
        var resistance = rider.Resistance;
        var densityKgPerM3 = DensityKgPerM3(path, options, warnings);
        var againstMps = options.Wind.OverSeconds(ride, path, seconds, warnings);
        var modelW = new double[seconds.Count];
        var limited = 0;
        for (var i = 0; i < modelW.Length; i++)
        {
            if (seconds.SpeedMps[i] < StandingMps) continue;
            if (seconds.AccelerationMps2[i] > FastestAccelerationMps2) limited++;
            var accelerationMps2 = Math.Min(seconds.AccelerationMps2[i], FastestAccelerationMps2);
            modelW[i] = RoadPower.Of(seconds.SpeedMps[i], seconds.Gradient[i], resistance, densityKgPerM3, accelerationMps2, againstMps[i]).TotalW;
        }

        return (modelW, limited);
    }

    internal static double DensityKgPerM3(RidePath path, RoadLoadOptions options, List<string> warnings)
    {
        var elevationM = path.ElevationM is { } known ? Math.Clamp(known.Average(), -2000, 10000) : 0;
        var temperatureC = ToldTemperatureC(path, options);
        if (temperatureC is null) warnings.Add("No air temperature: the density is the standard atmosphere's.");
        return AirDensity.KgPerM3(elevationM, temperatureC);
    }

    static double? ToldTemperatureC(RidePath path, RoadLoadOptions options)
    {
        var (sumC, recorded) = (0.0, 0);
        foreach (ref readonly var fix in path.FixSpan)
        {
            if (double.IsNaN(fix.TemperatureC)) continue;
            sumC += fix.TemperatureC;
            recorded++;
        }

        return options.AirTemperatureC ?? (recorded > 0 ? sumC / recorded : null);
    }

    /// <summary>Who pulls how hard in each second.</summary>
    sealed class Pull(int count)
    {
        public double[] TotalNm { get; } = new double[count];

        public double[] RiderNm { get; } = new double[count];

        public double[] MotorNm { get; } = new double[count];

        public double[] CadenceRadPerS { get; } = new double[count];

        public int SecondsAtLimit { get; private set; }

        /// <summary>The model asks for power, the recorded cadence says that nobody pedals.</summary>
        public int SecondsCoasted { get; private set; }

        public int SecondsTooStrong { get; private set; }

        /// <summary>More than body weight on a pedal was asked for and cut.</summary>
        public int SecondsCut { get; private set; }

        /// <summary>Largest torque that was asked of the rider before it was cut.</summary>
        public double MostAskedNm { get; private set; }

        /// <summary>Without a road and without a cadence nothing tells how fast the crank turned.</summary>
        public int SecondsAtPreferredCadence { get; private set; }

        public void Fill(RideSeconds seconds, double[] modelW, Rider rider, Rating rating, RoadLoadOptions options, bool hasRoad)
        {
            var gears = new GearChoice(rider);
            for (var i = 0; i < count; i++)
            {
                var speedMps = seconds.SpeedMps[i];
                if (hasRoad && speedMps < StandingMps) continue;
                var gearCadence = hasRoad ? gears.CadenceRadPerS(speedMps) : rider.PreferredCadenceRadPerS;
                var metered = options.UseRecordedPower && !double.IsNaN(seconds.RecordedPowerW[i]);
                var totalW = metered ? seconds.RecordedPowerW[i] : modelW[i];
                if (!(totalW > 0)) continue;

                var recorded = seconds.RecordedCadenceRadPerS[i];
                if (recorded == 0 && !metered)
                {
                    SecondsCoasted++;
                    continue;
                }

                var cadence = recorded >= SlowestCadenceRadPerS ? recorded : gearCadence;
                if (!hasRoad && cadence != recorded) SecondsAtPreferredCadence++;
                CadenceRadPerS[i] = cadence;
                TotalNm[i] = totalW / cadence;
                MotorNm[i] = Assistance.MotorTorqueNm(TotalNm[i], cadence, speedMps, rider.AssistanceFactor, rating, out var limited);
                RiderNm[i] = TotalNm[i] - MotorNm[i];
                if (RiderNm[i] > rider.MostTorqueNm) Cut(i, speedMps, rider, rating);
                if (limited) SecondsAtLimit++;
                if (RiderNm[i] * cadence > StrongRiderW) SecondsTooStrong++;
            }
        }

        /// <summary>The rider pushes as hard as a rider can, and the motor what belongs to that.</summary>
        void Cut(int i, double speedMps, Rider rider, Rating rating)
        {
            SecondsCut++;
            MostAskedNm = Math.Max(MostAskedNm, RiderNm[i]);
            var share = Assistance.ShareOfMotor(speedMps, rider.AssistanceFactor, rating);
            RiderNm[i] = rider.MostTorqueNm;
            MotorNm[i] = Math.Min(MotorNm[i], share / (1 - share) * RiderNm[i]);
            TotalNm[i] = RiderNm[i] + MotorNm[i];
        }
    }

    static void WarnOfWhatWasCut(RideSeconds seconds, RidePath path, Pull pull, double mostNm, int limitedAccelerations, List<string> warnings)
    {
        if (!path.HasRoad) warnings.Add("No road: the power meter tells the total, the speed is not known. No assistance limit cuts in, nothing can be told per kilometre, and on a road the load would be another.");
        else if (path.ElevationM is null) warnings.Add("No elevation: the road is taken as level.");
        if (pull.SecondsAtPreferredCadence > 0) warnings.Add(Invariant($"{pull.SecondsAtPreferredCadence} seconds have power and no cadence: the preferred one is taken."));
        if (seconds.SlopesCut > 0) warnings.Add(Invariant($"{seconds.SlopesCut} seconds with a slope beyond {100 * Road.Gradient.Steepest:0} % were cut to it."));
        if (limitedAccelerations > 0) warnings.Add(Invariant($"{limitedAccelerations} seconds that sped up by more than {FastestAccelerationMps2} m/s² were cut to it."));
        if (pull.SecondsCoasted > 0) warnings.Add(Invariant($"{pull.SecondsCoasted} seconds in which the model asks for power but the recorded cadence is 0 count as coasting."));
        if (pull.SecondsAtLimit > 0) warnings.Add(Invariant($"{pull.SecondsAtLimit} seconds ask the motor for more than the unit's torque or power limit: the rider gives the rest."));
        if (pull.SecondsCut > 0) warnings.Add(Invariant($"{pull.SecondsCut} seconds ask the rider for up to {pull.MostAskedNm:0} N·m as a mean over a turn of the crank, more than body weight on a pedal: cut to {mostNm:0} N·m. Heights, speeds or the meter err there."));
        if (pull.SecondsTooStrong > 0) warnings.Add(Invariant($"{pull.SecondsTooStrong} seconds ask the rider for more than {StrongRiderW:0} W: a real rider would be slower there."));
    }

    static void WarnOfItsDistance(RideSummary summary, List<string> warnings)
    {
        if (summary.RecordedOverPositions is { } ratio && Math.Abs(ratio - 1) > DistancesAgree)
            warnings.Add(Invariant($"The recorder counts {ratio:0.000} times the way of the positions, which are used: its wheel size is set wrong, it lost turns, or the receiver lost its place."));
    }

    static double EnergyJ(double[] torqueNm, double[] radPerS)
    {
        var sumJ = 0.0;
        for (var i = 0; i < torqueNm.Length; i++) sumJ += torqueNm[i] * radPerS[i];
        return sumJ;
    }

    static double PeakMotorNm(Pull pull, Rating rating, double pulsationDepth)
    {
        var peakNm = 0.0;
        for (var i = 0; i < pull.MotorNm.Length; i++)
        {
            if (pull.MotorNm[i] <= 0) continue;
            peakNm = Math.Max(peakNm, Math.Min(pull.MotorNm[i] * (1 + pulsationDepth), Assistance.MostNm(pull.CadenceRadPerS[i], rating)));
        }

        return peakNm;
    }

    static ModelAgainstMeter? AgainstMeter(RideSeconds seconds, double[] modelW)
    {
        const int minute = 60;
        var (count, recordedW, errorW, squares) = (0, 0.0, 0.0, 0.0);
        var (inMinute, minuteW, minutes, minuteSquares) = (0, 0.0, 0, 0.0);
        for (var i = 0; i < modelW.Length; i++)
        {
            if (i > 0 && seconds.TimeS[i] - seconds.TimeS[i - 1] > 1.5) (inMinute, minuteW) = (0, 0);
            if (double.IsNaN(seconds.RecordedPowerW[i]) || seconds.SpeedMps[i] < StandingMps)
            {
                (inMinute, minuteW) = (0, 0);
                continue;
            }

            var error = Math.Max(0, modelW[i]) - seconds.RecordedPowerW[i];
            count++;
            recordedW += seconds.RecordedPowerW[i];
            errorW += error;
            squares += error * error;
            minuteW += error / minute;
            if (++inMinute < minute) continue;
            minutes++;
            minuteSquares += minuteW * minuteW;
            (inMinute, minuteW) = (0, 0);
        }

        return count == 0 ? null : new(count, recordedW / count, errorW / count, Math.Sqrt(squares / count)) { MinuteRmsErrorW = minutes == 0 ? null : Math.Sqrt(minuteSquares / minutes) };
    }

    internal static void RequirePossible(RoadLoadOptions options)
    {
        List<InputError> errors = [.. options.Wind.Errors()];
        Require("classNm", options.ClassNm, options.ClassNm is > 0 and <= 100, "a width above 0 and up to 100 N·m");
        Require("airTemperatureC", options.AirTemperatureC ?? 15, (options.AirTemperatureC ?? 15) is >= -60 and <= 60, "a temperature between -60 and 60 °C");
        Require("pulsationDepth", options.PulsationDepth, options.PulsationDepth is >= 0 and <= 2, "a depth between 0 and 2");
        if (errors.Count > 0) throw new InputException(errors);

        void Require(string field, double value, bool possible, string expected)
        {
            if (!possible) errors.Add(new("road load", 0, field, value.ToString(CultureInfo.InvariantCulture), expected));
        }
    }
}
