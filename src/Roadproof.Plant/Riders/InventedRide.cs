using Roadproof.Engineering.Road;
using Roadproof.Engineering.Statistics;

namespace Roadproof.Plant.Riders;

/// <summary>Who rides where for how long.</summary>
/// <param name="MassKg">Rider, bike and load.</param>
/// <param name="RiderW">What the rider likes to give on the level.</param>
/// <param name="Assistance">Motor over rider.</param>
sealed record RidePlan(string Name, Terrain Terrain, double Minutes, double MassKg, double CdaM2, double RiderW, double Assistance, bool AsGpx);

/// <summary>A second of a ride as a recorder writes it.</summary>
readonly record struct RecordedSecond(int TimeS, double AlongM, double EastM, double NorthM, double HeightM, double SpeedMps, int CadenceRpm, double AirC);

/// <summary>Rides a plan over an invented road, second by second, and records it with a recorder's errors.</summary>
/// <remarks>
/// Rider and motor push, Martin's road power resists, the rest speeds the bicycle up; the rider coasts downhill, brakes before stops and where it becomes too fast.
/// The forward way through the same power balance that the tool computes backwards. Nobody's habits were recorded: figures are common practice, no source.
/// </remarks>
static class InventedRide
{
    const double WheelRadiusM = 0.342;
    const double WheelInertiaKgM2 = 0.14;
    const double ChainEfficiency = 0.976;
    const double AssistedMps = 25 / 3.6;
    const double MotorMostW = 550;
    const double BrakingMps2 = 1.1;
    const double LikedRpm = 74;

    static readonly double[] Gears = [0.83, 0.95, 1.12, 1.27, 1.46, 1.65, 1.9, 2.24, 2.53, 2.92, 3.45];

    public static List<RecordedSecond> Record(RidePlan plan, InventedRoad road, SeededNoise noise)
    {
        var resistance = new RoadResistance { MassKg = plan.MassKg, CdaM2 = plan.CdaM2, RollingCoefficient = 0.008, WheelRadiusM = WheelRadiusM, WheelInertiaKgM2 = WheelInertiaKgM2, Efficiency = ChainEfficiency };
        var inertiaKg = plan.MassKg + WheelInertiaKgM2 / (WheelRadiusM * WheelRadiusM);
        var fastestMps = plan.Terrain switch { Terrain.City => 29 / 3.6, Terrain.Hills => 46 / 3.6, _ => 52 / 3.6 };
        var seconds = new List<RecordedSecond>((int)(60 * plan.Minutes));
        var (alongM, eastM, northM, speedMps, mood, standsS) = (0.0, 0.0, 0.0, 0.0, 0.0, 0);
        var (driftM, placeEastM, placeNorthM, gear) = (0.0, 0.0, 0.0, Gears[4]);
        var nextStopM = NextStop();
        var airC = 8 + 14 * noise.Share();
        for (var t = 0; t < 60 * plan.Minutes; t++)
        {
            var cadenceRpm = 0.0;
            if (standsS > 0)
            {
                standsS--;
            }
            else
            {
                var gradient = road.Gradient(alongM);
                mood = 0.97 * mood + 0.03 * 4 * noise.Normal();
                var riderW = Math.Clamp(plan.RiderW * (1 + 0.16 * mood) * (1 + 9 * Math.Max(0, gradient)), 0.3 * plan.RiderW, 2.2 * plan.RiderW);
                var safeMps = Math.Min(fastestMps, Math.Sqrt(2 * BrakingMps2 * Math.Max(0, nextStopM - alongM)));
                var coasts = gradient < -0.045 && speedMps > 5 || speedMps > 0.95 * safeMps;
                var wheelRpm = speedMps / WheelRadiusM * 30 / Math.PI;
                if (Math.Abs(wheelRpm / gear / LikedRpm - 1) > 0.14) gear = Gears.MinBy(g => Math.Abs(Math.Log(Math.Max(wheelRpm, 20) / g / LikedRpm)));
                if (!coasts) cadenceRpm = Math.Clamp(wheelRpm / gear, 25, 105);
                var fade = Math.Clamp((AssistedMps - speedMps) / (1.5 / 3.6), 0, 1);
                var pushW = coasts ? 0 : riderW + Math.Min(MotorMostW, plan.Assistance * fade * riderW);
                var accelerationMps2 = Math.Min(0.9, (pushW - RoadPower.At(speedMps, gradient, resistance).TotalW) * ChainEfficiency / (inertiaKg * Math.Max(speedMps, 1.2)));
                var before = speedMps;
                speedMps = Math.Max(0, Math.Min(speedMps + accelerationMps2, Math.Max(safeMps, speedMps - BrakingMps2)));
                if (speedMps < 0.4 && nextStopM - alongM < 2)
                {
                    (speedMps, cadenceRpm, standsS) = (0, 0, (int)(6 + 40 * noise.Share()));
                    nextStopM = alongM + NextStop();
                }
                else
                {
                    // Nobody gets stuck: who would stand still pushes.
                    speedMps = Math.Max(speedMps, 0.8);
                }

                var stepM = (before + speedMps) / 2;
                var headingRad = road.HeadingRad(alongM);
                alongM += stepM;
                eastM += stepM * Math.Sin(headingRad);
                northM += stepM * Math.Cos(headingRad);
            }

            // A barometer drifts, a receiver wanders: both slowly.
            driftM += 0.004 * noise.Normal();
            placeEastM = 0.98 * placeEastM + 0.12 * noise.Normal();
            placeNorthM = 0.98 * placeNorthM + 0.12 * noise.Normal();
            airC += 0.01 * noise.Normal();
            seconds.Add(new(t, alongM, eastM + placeEastM, northM + placeNorthM, road.HeightM(alongM) + driftM + 0.08 * noise.Normal(),
                speedMps == 0 ? 0 : Math.Max(0, speedMps + 0.03 * noise.Normal()), (int)Math.Round(cadenceRpm), airC));
        }

        return seconds;

        double NextStop() => plan.Terrain switch { Terrain.City => 250 + 900 * noise.Share(), Terrain.Hills => 1500 + 4500 * noise.Share(), _ => 3000 + 9000 * noise.Share() };
    }
}
