using Roadproof.Engineering.Drive;

namespace Roadproof.Engineering.LoadTest;

/// <summary>A fault that a load test is not made to see: what of it shows all the same, and what the records must hold instead.</summary>
/// <param name="Why">Why no load point sees it.</param>
/// <param name="RecordWords">Words by which a plant's own readings, parts and checks of it are found.</param>
/// <param name="SeenBy">The characteristic that it moves farthest; null where it moves nothing of a run.</param>
/// <param name="FarthestSigma">How far, in standard deviations of sound units.</param>
/// <param name="Rate">Share of units with it that the load test stops; that of sound units where it moves nothing.</param>
public sealed record UnseenFault(string Id, string Name, string Why, IReadOnlyList<string> RecordWords, string? SeenBy, double FarthestSigma, double Rate);

/// <summary>Faults known in the trade that a minute or two under load does not show.</summary>
/// <remarks>Kinds and sizes: common practice, no source. What those of heat flow move is computed with the unit's own network.</remarks>
static class UnseenFaults
{
    sealed record Kind(string Id, string Name, string Why, string[] RecordWords, Func<Thermal, Thermal>? Heat = null);

    static IEnumerable<Kind> Of(DriveUnit unit) =>
    [
        new("paste-missing", "Heat paste missing under the controller", "The controller's sensor warms by a fraction of a kelvin more in so short a cycle; the parts beside it do not.", ["paste"],
            t => t with { ControllerHousingKPerW = 3 * t.ControllerHousingKPerW }),
        new("loose-fit", "Stator loose in its shell, contact half as good", "Its heat has no time to reach the shell within the cycle.", ["stator-temperature", "shrink", "fit"],
            t => t with { StatorHousingKPerW = 2 * t.StatorHousingKPerW }),
        new("grease-oil", "Grease of the wrong base oil, or old, with the same drag", "What it does to wear comes with kilometres; its drag is that of the right one.", ["grease"]),
        new("leak", "Leak at cover, cable or axle", "Nothing of a run depends on it.", ["leak"]),
        new("loose-screw", "A screw that is loose or stretched, still holding", "It holds for the minutes of a run.", ["screw", "carrier", "cover", "phase"]),
        new("insulation", "Damp or damaged insulation", "The run's voltage does not reach it.", ["insulation", "surge"]),
        new("bond", "Magnets or windings badly bonded, not yet loose", "They move only once the bond gives way.", ["adhesive", "cure", "resin", "potting"]),
        .. unit.TorqueSensor is null ? [] : (Kind[])[new("sensor-span", "Crank torque sensor reads the wrong span", "Its zero is read, and whether it tells anything of the pull that the rig puts on the crank; by how much it errs is not worked out yet.", ["sensor-span", "sensor-gain", "torque-span"])],
    ];

    public static IReadOnlyList<UnseenFault> Of(LoadTestPlan plan, ExpectationSpread spread, StopRates rates)
    {
        var none = spread.Model.At(Deviation.None);
        return [.. Of(plan.Unit).Select(kind =>
        {
            var warm = kind.Heat is { } heat ? new ExpectationModel(plan with { Unit = plan.Unit with { Thermal = heat(plan.Unit.Thermal) } }, SampleRates.Usual).At(Deviation.None) : none;
            double[] moved = [.. warm.Zip(none, (with, without) => with - without)];
            var rate = rates.Of(new Shift(moved, []));
            var row = Array.IndexOf(spread.Ids, rate.SeenBy);
            var sigma = moved[row] / spread.StandardDeviation(row);
            return new UnseenFault(kind.Id, kind.Name, kind.Why, kind.RecordWords, sigma == 0 ? null : rate.SeenBy, sigma, rate.Rate);
        })];
    }
}
