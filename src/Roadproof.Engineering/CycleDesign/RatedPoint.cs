using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Road;

namespace Roadproof.Engineering.CycleDesign;

/// <summary>A point that the rating promises at the output, and whether a train reaches it. Behind a transmission the chainring gets it less what the gear loses: the rating is the unit's.</summary>
/// <param name="MostNm">The most that the unit reaches at that speed, N·m.</param>
/// <param name="Reason">What stands in the way; empty where it is reached.</param>
/// <remarks>With the winding at 80 °C, magnets at 60 °C and the nominal voltage from a stiff supply, as printed points are; the transmission is in the gear that it takes at that speed.</remarks>
public sealed record RatedPoint(string Name, double TorqueNm, double SpeedRadPerS, bool Reached, double MostNm, string Reason)
{
    const double WindingC = 80, MagnetC = 60;

    /// <summary>Pedalling goes on above the rated speed with the continuous output (110 rpm for 75; common practice, no source).</summary>
    const double FastPedalling = 1.4;

    public static IReadOnlyList<RatedPoint> Of(GearTrain train)
    {
        ArgumentNullException.ThrowIfNull(train);
        var rating = train.Unit.Rating;
        var ratedRadPerS = rating.RatedOutputRpm * ReferenceConditions.RadPerSPerRpm;
        var cornerRadPerS = Math.Min(ratedRadPerS, rating.MaximumOutputW / rating.MaximumTorqueNm);
        return
        [
            Solve(train, "largest torque", rating.MaximumTorqueNm, cornerRadPerS),
            Solve(train, "continuous output", rating.ContinuousOutputW / ratedRadPerS, ratedRadPerS),
            Solve(train, "continuous output, pedalled fast", rating.ContinuousOutputW / (FastPedalling * ratedRadPerS), FastPedalling * ratedRadPerS),
        ];
    }

    static RatedPoint Solve(GearTrain train, string name, double torqueNm, double radPerS)
    {
        var (ratio, efficiency) = (1.0, 1.0);
        if (train.Transmission is { } box)
        {
            var gear = box.Gears[box.Nearest(radPerS * train.Unit.Ratio)];
            (ratio, efficiency) = (gear.Ratio, gear.Efficiency);
        }

        var asked = new PointRequest(torqueNm / ratio, radPerS * ratio) { WindingC = WindingC, MagnetC = MagnetC };
        var point = OperatingPoints.Solve(train.Unit, Deviation.None, asked);
        // The controller holds the unit's own output to its rating, whatever turns behind it.
        var ratedNm = Assistance.MostNm(asked.SpeedRadPerS, train.Unit.Rating);
        var mostNm = Math.Min(ratedNm, Envelope.MaximumTorque(train.Unit, Deviation.None, asked).TorqueNm);
        var withinRating = asked.TorqueNm <= ratedNm * (1 + 1e-9);
        return new(name, torqueNm * efficiency, radPerS, point.Reachable && withinRating, mostNm * ratio * efficiency,
            point.Reachable ? withinRating ? "" : FormattableString.Invariant($"asks the unit for {asked.TorqueNm:0.0} N·m at {asked.SpeedRadPerS:0.0} rad/s, its rating allows {ratedNm:0.0} N·m") : point.Reason);
    }
}
