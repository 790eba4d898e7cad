using System.CommandLine;
using Roadproof.App.Definitions;
using Roadproof.App.Frame;
using Roadproof.Engineering.Checks;
using Roadproof.Engineering.Checks.Tightening;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Definitions;

namespace Roadproof.App.Checks;

/// <summary>What is required of screws: from a group of the product's route, and from options where the route does not hold it.</summary>
sealed class TighteningOptions
{
    const string Given = "given with the command";

    readonly Option<string?> product = new("--product") { Description = "Product id: torque, angle, class and gauge of a group of its route." };
    readonly Option<string?> group = new("--group") { Description = "Group of screws, as the route names it." };
    readonly Option<double?> torqueLower = new("--torque-lower-nm") { Description = "Least final torque." }, torqueUpper = new("--torque-upper-nm") { Description = "Largest final torque." };
    readonly Option<double?> angleLower = new("--angle-lower-deg") { Description = "Least final angle." }, angleUpper = new("--angle-upper-deg") { Description = "Largest final angle." };
    readonly Option<double?> rundownLower = new("--rundown-lower-deg") { Description = "Least turn before the final angle is counted." }, rundownUpper = new("--rundown-upper-deg") { Description = "Largest turn before it." };
    readonly Option<double?> prevailingLower = new("--prevailing-lower-nm") { Description = "Least prevailing torque." }, prevailingUpper = new("--prevailing-upper-nm") { Description = "Largest prevailing torque." };
    readonly Option<double?> slopeLower = new("--slope-lower-nm-per-deg") { Description = "Least slope after the snug point." }, slopeUpper = new("--slope-upper-nm-per-deg") { Description = "Largest slope." };
    readonly Option<double?> angleFrom = new("--angle-from-nm") { Description = "Threshold torque that the final angle is counted from; the snug point." };
    readonly Option<string?> hazard = new("--class") { Description = "Hazard class A, B or C of the joint; B." };
    readonly Option<double?> torqueU = new("--standard-uncertainty-nm") { Description = "Standard uncertainty of the torque gauge; needed without a group." };
    readonly Option<double?> angleU = new("--standard-uncertainty-deg") { Description = "Standard uncertainty of an angle, wind-up among it; the group's, else 1." };
    readonly Option<bool> prePassed = new("--pre-passed") { Description = "A first pass seated these screws: no run-down is expected." };
    readonly Option<double?> diameter = new("--diameter-mm") { Description = "Nominal diameter of a metal thread: tells its preload." };

    public IEnumerable<Symbol> All =>
        [product, group, torqueLower, torqueUpper, angleLower, angleUpper, rundownLower, rundownUpper, prevailingLower, prevailingUpper, slopeLower, slopeUpper, angleFrom, hazard, torqueU, angleU, prePassed, diameter];

    /// <exception cref="InputException">No such product or group, a class or gauge that cannot be, edges that cross.</exception>
    public TighteningWindow Read(ParseResult input)
    {
        var errors = new List<InputError>();
        var route = Group(input);
        var u = input.GetValue(torqueU) ?? route?.StandardUncertaintyNm;
        if (u is not (> 0 and < double.PositiveInfinity)) errors.Add(new(torqueU.Name, 0, "", u is { } found ? Invariant($"{found}") : "nothing", "a standard uncertainty of the torque gauge above 0, in N·m", "Without one no edge can be decided."));
        if ((input.GetValue(angleU) ?? route?.Curve?.StandardUncertaintyDeg ?? 1) is var ua && ua is not (>= 0 and < 360)) errors.Add(new(angleU.Name, 0, "", Invariant($"{ua}"), "a standard uncertainty in degrees, 0 or more"));
        if (!Enum.TryParse<HazardClass>(input.GetValue(hazard) ?? route?.Class ?? nameof(HazardClass.B), ignoreCase: false, out var hazardClass)) errors.Add(new(hazard.Name, 0, "", $"'{input.GetValue(hazard)}'", "A, B or C"));
        if (input.GetValue(angleFrom) is { } from and not (> 0 and < double.PositiveInfinity)) errors.Add(new(angleFrom.Name, 0, "", Invariant($"{from}"), "a torque above 0, in N·m"));
        if (input.GetValue(diameter) is { } d and not (> 0 and < 100)) errors.Add(new(diameter.Name, 0, "", Invariant($"{d}"), "a diameter above 0 and below 100 mm"));

        var plan = route?.Curve;
        FeatureWindow? Window(Option<double?> lower, Option<double?> upper, double? routeLower = null, double? routeUpper = null)
        {
            var (l, h) = (input.GetValue(lower) ?? routeLower, input.GetValue(upper) ?? routeUpper);
            if (l is null && h is null) return null;
            if (!(l is null || double.IsFinite(l.Value)) || !(h is null || double.IsFinite(h.Value)) || l >= h) errors.Add(new(lower.Name, 0, "", Invariant($"{l} to {h}"), "a lower edge below the upper one"));
            return new(l, h, route is null ? Given : route.Origin);
        }

        var window = new TighteningWindow
        {
            Class = hazardClass,
            Gauge = new(u ?? 0, ua),
            FinalTorque = Window(torqueLower, torqueUpper, route?.TorqueLowerNm, route?.TorqueUpperNm),
            FinalAngle = Window(angleLower, angleUpper, route?.AngleLowerDeg, route?.AngleUpperDeg),
            RundownAngle = Window(rundownLower, rundownUpper, plan?.RundownLowerDeg, plan?.RundownUpperDeg),
            Prevailing = Window(prevailingLower, prevailingUpper, plan?.PrevailingLowerNm, plan?.PrevailingUpperNm),
            Slope = Window(slopeLower, slopeUpper, plan?.SlopeLowerNmPerDeg, plan?.SlopeUpperNmPerDeg),
            AngleFromNm = input.GetValue(angleFrom) ?? plan?.AngleFromNm,
            PrePassed = input.GetValue(prePassed) || plan is { PrePassed: true },
            DiameterM = (input.GetValue(diameter) ?? plan?.DiameterMm) / 1000,
        };
        return errors.Count == 0 ? window : throw new InputException(errors);
    }

    /// <summary>The group of the route that was named; null where no product was.</summary>
    public ScrewGroup? Group(ParseResult input)
    {
        var (wantedProduct, wanted) = (input.GetValue(product), input.GetValue(group));
        if (wantedProduct is null) return wanted is null ? null : throw new InputException(new InputError(product.Name, 0, "", "nothing", "the product whose route has the group"));
        var groups = FindProduct.Route(input.GetValue(CommandLine.DefinitionsOption)!, wantedProduct).Steps.SelectMany(s => s.Screws).ToList();
        return groups.Find(g => g.Id == wanted) ?? (wanted is null && groups.Count == 1 ? groups[0]
            : throw new InputException(new InputError(group.Name, 0, "", wanted is null ? "nothing" : $"'{wanted}'", groups.Count == 0 ? "a product with screws in its route" : $"one of {string.Join(", ", groups.Select(g => g.Id))}")));
    }
}
