using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Life;
using static System.FormattableString;

namespace Roadproof.Engineering.CycleDesign;

/// <summary>Why a train cannot be cut or put together. None is no release: backlash, tip relief, interference at the fillet and the housing's room are for the drawing.</summary>
public static class TrainObjections
{
    /// <summary>Of transverse contact and overlap together (common practice, no source).</summary>
    public const double LeastContact = 1.1;

    /// <summary>A standard rack undercuts noticeably below 14 teeth without shift, by (14 − z)/17 with one (textbook).</summary>
    const double UndercutTeeth = 14, RackTeeth = 17;

    public static IReadOnlyList<string> Of(GearTrain train)
    {
        ArgumentNullException.ThrowIfNull(train);
        return [.. train.Unit.Gears.SelectMany((g, s) => OfStage(s + 1, g, train.Plan.Gears[s]))];
    }

    static IEnumerable<string> OfStage(int stage, GearStage gears, GearPair pair)
    {
        if (gears is { PlanetTeeth: { } planet, Planets: { } planets })
        {
            if (gears.WheelTeeth != gears.PinionTeeth + 2 * planet) yield return Invariant($"stage {stage}: sun, planets and ring do not fit (ring teeth = sun + 2 · planet)");
            else if ((gears.PinionTeeth + gears.WheelTeeth) % planets != 0) yield return Invariant($"stage {stage}: planets cannot stand evenly (sun + ring divides by their number)");
            else if ((gears.PinionTeeth + planet) * Math.Sin(Math.PI / planets) <= planet + 2) yield return Invariant($"stage {stage}: planets touch each other");
        }

        GearMesh? mesh = null;
        var (pointed, cutAway) = (false, false);
        try
        {
            mesh = new(gears, pair);
        }
        catch (ArgumentOutOfRangeException e)
        {
            (pointed, cutAway) = (e.Message.Contains("pointed", StringComparison.Ordinal), e.Message.Contains("cut away", StringComparison.Ordinal));
        }

        if (pointed) yield return Invariant($"stage {stage}: teeth come to a point");
        if (cutAway) yield return Invariant($"stage {stage}: teeth are cut away at the root");
        if (Undercut(gears.PinionTeeth, pair.PinionShift)) yield return Invariant($"stage {stage}: pinion undercut, more profile shift or teeth are needed");
        if (gears.PlanetTeeth is null && Undercut(gears.WheelTeeth, pair.WheelShift)) yield return Invariant($"stage {stage}: wheel undercut");
        if (mesh is not null && !(mesh.ContactRatio + mesh.Overlap >= LeastContact)) yield return Invariant($"stage {stage}: contact ratio below {LeastContact:0.#}");

        bool Undercut(int teeth, double shift)
        {
            var helixRad = gears.HelixDeg * Math.PI / 180;
            var baseRad = Math.Asin(Math.Sin(helixRad) * Math.Cos(20 * Math.PI / 180));
            var virtualTeeth = teeth / (Math.Cos(baseRad) * Math.Cos(baseRad) * Math.Cos(helixRad));
            return shift < (UndercutTeeth - virtualTeeth) / RackTeeth;
        }
    }
}
