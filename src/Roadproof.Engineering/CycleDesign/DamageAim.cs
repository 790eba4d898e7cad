using Roadproof.Engineering.Life;

namespace Roadproof.Engineering.CycleDesign;

/// <summary>What the road uses up of each element per kilometre, as far as a rig that drives the unit can imitate it.</summary>
/// <param name="Id">Of the element.</param>
/// <param name="PerKm">Damage.</param>
/// <param name="WhyNot">Why a rig cannot reproduce it; null where it can.</param>
public sealed record DamageAim(string Id, string Name, Ending Ending, double PerKm, string? WhyNot)
{
    /// <summary>The elements of a road's spectrum.</summary>
    /// <param name="life">Of the unit and its plan.</param>
    public static IReadOnlyList<DamageAim> Of(LoadSpectrum road, UnitLife life, LifePlan plan)
    {
        ArgumentNullException.ThrowIfNull(road);
        ArgumentNullException.ThrowIfNull(life);
        return [.. life.Of(road).Select(e => new DamageAim(e.Id, e.Name, e.Ending, e.Damage / (e.DistanceM / 1000), ReasonAgainst(e, plan)))];
    }

    static string? ReasonAgainst(ElementLife element, LifePlan plan) => element.Ending switch
    {
        Ending.Ageing => "it ages by temperature and hours, which cannot be shortened without heat beyond what the road gives",
        // Each push of the legs is a cycle on shell and axle; on the rig the torque is even.
        Ending.Bending => "the rider's pushes bend it, on the axle and through the motor that follows them; the rig's torque is even",
        Ending.Bearing when plan.Bearings.Any(b => element.Id.EndsWith(UnitLife.Slug(b.Name), StringComparison.Ordinal) && b.Forces.Any(f => f.Stage == 0)) => "the rider's pull at the chain loads it as well, and the rig does not push the cranks",
        _ when element.Damage == 0 => "these rides do not use it up at all",
        _ => null,
    };
}
