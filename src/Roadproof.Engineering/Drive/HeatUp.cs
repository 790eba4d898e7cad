using System.Globalization;
using Roadproof.Engineering.Quantities;

namespace Roadproof.Engineering.Drive;

/// <summary>A unit that holds one torque and speed, and how warm that makes it.</summary>
/// <param name="End">Temperatures at <paramref name="RanForS"/>.</param>
/// <param name="TimeToDeratingS">
/// When the winding reaches the start of derating, s from the start; also beyond the run, up to a day; null if never.
/// </param>
/// <param name="RanForS">The time asked for, s; shorter where the winding passed <see cref="HeatUp.EndOfModelC"/> and the run ended there.</param>
/// <param name="HeldBackFromS">
/// When heat first puts the point beyond a limit, so that a real unit would give less, s, to the step of 5 s; null if not within the run.
/// </param>
/// <param name="HeldBackReason">That limit, with numbers; empty if none.</param>
public sealed record HeatUpResult(ThermalState End, double? TimeToDeratingS, double RanForS, double? HeldBackFromS, string HeldBackReason);

/// <summary>Warms a unit at a steady output, with losses that follow the temperatures.</summary>
public static class HeatUp
{
    /// <summary>Above this winding temperature no insulation class of this trade lives and the run ends, °C.</summary>
    public const double EndOfModelC = 250;

    const double DayS = 86_400;
    const double StepS = 5;

    /// <summary>Runs from a unit as warm as the air.</summary>
    /// <param name="torqueNm">Drive torque at the output, N·m.</param>
    /// <param name="speedRadPerS">Output speed, rad/s.</param>
    /// <param name="forS">Length of the run, s.</param>
    /// <param name="airMps">Air over the housing, m/s; 0 is still.</param>
    /// <exception cref="InputException">A number is out of its range; all of them are listed.</exception>
    /// <remarks>
    /// The run answers "what if the torque were held": the unit's own derating is timed, not applied. Stiff nominal supply.
    /// Steps of 5 s, exact for the network and second order in the losses: halving them moves a temperature by less than 0.01 K.
    /// </remarks>
    public static HeatUpResult Run(
        DriveUnit unit, Deviation deviation, double torqueNm, double speedRadPerS, double forS, double ambientC = 25, double airMps = 0)
    {
        RequireUsable(torqueNm, speedRadPerS, forS, ambientC, airMps);
        var network = new ThermalNetwork(unit.Thermal, airMps);
        var state = ThermalState.At(ambientC);
        var end = state;
        double atS = 0, ranForS = 0;
        double? deratingS = ambientC >= unit.Motor.DeratingStartC ? 0 : null;
        double? heldBackFromS = null;
        var heldBackReason = "";

        while (atS < forS || (deratingS is null && atS < DayS))
        {
            var stepS = atS < forS ? Math.Min(StepS, forS - atS) : StepS;
            var point = PointAt(state);
            var halfWay = network.Step(state, Heat.From(point.Losses), ambientC, stepS / 2);
            var heat = Heat.From(PointAt(halfWay).Losses);
            var next = network.Step(state, heat, ambientC, stepS);

            if (!point.Reachable && heldBackFromS is null && atS < forS) (heldBackFromS, heldBackReason) = (atS, point.Reason);
            if (deratingS is null && next.WindingC >= unit.Motor.DeratingStartC)
                deratingS = atS + CrossingS(network, state, heat, ambientC, stepS, unit.Motor.DeratingStartC);

            var settled = atS >= forS && Math.Abs(next.WindingC - state.WindingC) < 1e-9 && Math.Abs(next.HousingC - state.HousingC) < 1e-9;
            var wasRunning = atS < forS;
            (state, atS) = (next, atS + stepS);
            if (wasRunning) (end, ranForS) = (state, atS);
            if (settled || state.WindingC > EndOfModelC) break;
        }

        return new(end, deratingS, ranForS, heldBackFromS, heldBackReason);

        OperatingPoint PointAt(in ThermalState warm) => OperatingPoints.Solve(
            unit, deviation, new(torqueNm, speedRadPerS) { WindingC = warm.WindingC, MagnetC = warm.RotorC });
    }

    static void RequireUsable(double torqueNm, double speedRadPerS, double forS, double ambientC, double airMps)
    {
        var errors = new List<InputError>();
        Expect(double.IsFinite(torqueNm), "torqueNm", torqueNm, "a torque in N·m such as 31.8");
        Expect(speedRadPerS is >= 0 and < double.PositiveInfinity, "speedRadPerS", speedRadPerS, "an output speed of 0 rad/s or more, such as 7.85");
        Expect(forS is >= 0 and <= 30 * DayS, "forS", forS, "a time from 0 s to 30 days (2592000 s)");
        Expect(ambientC is >= -60 and <= 100, "ambientC", ambientC, "an air temperature from -60 to 100 °C");
        Expect(airMps is >= 0 and < double.PositiveInfinity, "airMps", airMps, "an air speed of 0 m/s or more, such as 5.56");
        if (errors.Count > 0) throw new InputException(errors);

        void Expect(bool holds, string field, double found, string expected)
        {
            if (!holds) errors.Add(new("heat-up", 0, field, found.ToString(CultureInfo.InvariantCulture), expected));
        }
    }

    static double CrossingS(ThermalNetwork network, in ThermalState from, in Heat heat, double ambientC, double stepS, double windingC)
    {
        var (lower, upper) = (0.0, stepS);
        while (upper - lower > 1e-6)
        {
            var middle = (lower + upper) / 2;
            if (network.Step(from, heat, ambientC, middle).WindingC < windingC) lower = middle;
            else upper = middle;
        }

        return upper;
    }
}
