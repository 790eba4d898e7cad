using System.Globalization;
using Roadproof.Engineering.Checks;

namespace Roadproof.Records.Definitions;

/// <summary>What must hold of checks that are judged from their curves: edges the right way round, an order that is one, places for every screw, a volume and a pressure to read a leak by.</summary>
static class CurveRules
{
    public static void Check(BoundFiles files, Findings findings)
    {
        foreach (var route in files.Routes)
        {
            var hasSeal = files.Products.FirstOrDefault(p => p.Id == route.Product)?.LoadTest is not null;
            foreach (var step in route.Steps)
            {
                foreach (var group in step.Screws) Screws(step, group, findings);
                foreach (var reading in step.Readings) Reading(step, reading, hasSeal, findings);
                if (step.Functional is { } functional) FunctionalRules.Check(step, functional, files.Products.FirstOrDefault(p => p.Id == route.Product), findings);
                NamesOnce(step, findings);
            }
        }
    }

    static void Screws(RouteStep step, ScrewGroup group, Findings findings)
    {
        if (group.Places is { } places) Places(group, places, findings);
        if (group.Curve is not { } plan) return;
        NoLoadTest(step, group, nameof(group.Curve), findings);
        Edges(plan, nameof(plan.RundownLowerDeg), nameof(plan.RundownUpperDeg), plan.RundownLowerDeg, plan.RundownUpperDeg, findings);
        Edges(plan, nameof(plan.PrevailingLowerNm), nameof(plan.PrevailingUpperNm), plan.PrevailingLowerNm, plan.PrevailingUpperNm, findings);
        Edges(plan, nameof(plan.SlopeLowerNmPerDeg), nameof(plan.SlopeUpperNmPerDeg), plan.SlopeLowerNmPerDeg, plan.SlopeUpperNmPerDeg, findings);
        if (plan.AngleFromNm >= group.TorqueLowerNm && findings.Sound(group, nameof(group.TorqueLowerNm)))
            findings.Wrong(plan, nameof(plan.AngleFromNm), Figure(plan.AngleFromNm), $"a torque below torqueLowerNm {Figure(group.TorqueLowerNm)}", "The final angle is counted from there.");
        if (plan is { PrePassed: true, AngleFromNm: null })
            findings.Wrong(plan, nameof(plan.PrePassed), "no angleFromNm", "angleFromNm beside prePassed", "A screw that was seated before has no snug point to count its angle from.");
        if (plan.PrePassed && (plan.RundownLowerDeg ?? plan.RundownUpperDeg ?? plan.PrevailingLowerNm ?? plan.PrevailingUpperNm) is not null)
            findings.Wrong(plan, nameof(plan.PrePassed), "edges for a run-down", "no such edges beside prePassed", "A screw that was seated before has no run-down.");
        Order(group, plan, findings);
    }

    static void Order(ScrewGroup group, TighteningPlan plan, Findings findings)
    {
        if (plan.Order.Count == 0 || !findings.Sound(plan, nameof(plan.Order)) || !findings.Sound(group, nameof(group.Count))) return;
        var expected = $"each screw from 1 to {Figure(group.Count)} once";
        for (var i = 0; i < plan.Order.Count; i++)
        {
            if (plan.Order[i] > group.Count) findings.Wrong(plan, Findings.Item(nameof(plan.Order), i), Figure(plan.Order[i]), expected);
            else if (plan.Order.Take(i).Contains(plan.Order[i])) findings.Wrong(plan, Findings.Item(nameof(plan.Order), i), $"{Figure(plan.Order[i])} a second time", expected);
        }

        if (plan.Order.Distinct().Count() == plan.Order.Count && plan.Order.Count < group.Count && plan.Order.All(n => n <= group.Count))
            findings.Wrong(plan, nameof(plan.Order), $"an order of {Figure(plan.Order.Count)}", expected);
    }

    static void Places(ScrewGroup group, ScrewPlaces places, Findings findings)
    {
        var given = (places.At.Count > 0 ? 1 : 0) + (places.CircleMm is null ? 0 : 1) + (places.RectangleMm is null ? 0 : 1);
        if (findings.Sound(places, nameof(places.At), nameof(places.CircleMm), nameof(places.RectangleMm)) && given != 1)
            findings.Wrong(places, places.At.Count > 0 ? nameof(places.At) : "", given == 0 ? "no places" : "places in more than one way", "one of at, circleMm, rectangleMm");
        else if (places.At.Count > 0 && places.At.Count != group.Count && findings.Sound(places, nameof(places.At)) && findings.Sound(group, nameof(group.Count)))
            findings.Wrong(places, nameof(places.At), $"{Figure(places.At.Count)} places", $"{Figure(group.Count)}, one for each screw");
        foreach (var place in places.At.Append(places.RectangleMm).OfType<PlaceMm>().Where(p => p.Mm.Count != 2 && findings.Sound(p, nameof(p.Mm))))
            findings.Wrong(place, nameof(place.Mm), $"{Figure(place.Mm.Count)} numbers", "two, [x, y] in mm");
        if (places.RectangleMm is { Mm: [var width, var height] } size && !(width > 0 && height > 0))
            findings.Wrong(size, nameof(size.Mm), $"{Figure(width)} by {Figure(height)}", "a width and a height above 0, in mm");
    }

    static void Reading(RouteStep step, StepReading reading, bool hasSeal, Findings findings)
    {
        if (!reading.HasOwnCurve) return;
        if (reading is { Press: not null, Leak: not null }) findings.Wrong(reading, nameof(reading.Leak), "press and leak", "one curve for a reading");
        if (reading.StandardUncertainty > 0) findings.Wrong(reading, nameof(reading.StandardUncertainty), Figure(reading.StandardUncertainty), "no standardUncertainty beside a curve", "The curve brings its own.");
        if (reading.Text) findings.Wrong(reading, nameof(reading.Text), "a text from a curve", "a number");
        NoLoadTest(step, reading, reading.Press is null ? nameof(reading.Leak) : nameof(reading.Press), findings);
        if (reading.Leak is { } leak) Leak(reading, leak, hasSeal, findings);
        if (reading.Press is { } press) Press(reading, press, findings);
    }

    static void NoLoadTest(RouteStep step, object owner, string key, Findings findings)
    {
        if (step.Kind == StepKind.LoadTest) findings.Wrong(owner, key, "a curve in a load test", "a step of its own for it", "A load test is judged by its captures alone.");
    }

    static void Leak(StepReading reading, LeakPlan plan, bool hasSeal, Findings findings)
    {
        Unit(reading, LeakVerdict.Cm3PerMin, nameof(reading.Leak), findings);
        if (reading.Upper is null && findings.Sound(reading, nameof(reading.Upper))) findings.Wrong(reading, nameof(reading.Leak), "no upper limit", "upper beside leak, the largest leak");
        if (reading.Lower is not null) findings.Wrong(reading, nameof(reading.Lower), "a least leak", "upper alone for a leak");
        if (plan.TestPressurePa == 0) findings.Wrong(plan, nameof(plan.TestPressurePa), "0", "a pressure above or below the room's");
        if (hasSeal) return;
        if (plan.VolumeCm3 is null && findings.Sound(plan, nameof(plan.VolumeCm3))) findings.Wrong(plan, "", "no volumeCm3", "volumeCm3, as the product says nothing of its free volume");
        if (plan.TestPressurePa is null && findings.Sound(plan, nameof(plan.TestPressurePa))) findings.Wrong(plan, "", "no testPressurePa", "testPressurePa, as the product says nothing of it");
    }

    static void Press(StepReading reading, PressPlan plan, Findings findings)
    {
        Unit(reading, "N", nameof(reading.Press), findings);
        Edges(plan, nameof(plan.SlopeLowerNPerMm), nameof(plan.SlopeUpperNPerMm), plan.SlopeLowerNPerMm, plan.SlopeUpperNPerMm, findings);
        Edges(plan, nameof(plan.PressLowerN), nameof(plan.PressUpperN), plan.PressLowerN, plan.PressUpperN, findings);
        Edges(plan, nameof(plan.SeatLowerMm), nameof(plan.SeatUpperMm), plan.SeatLowerMm, plan.SeatUpperMm, findings);
        Edges(plan, nameof(plan.EndLowerMm), nameof(plan.EndUpperMm), plan.EndLowerMm, plan.EndUpperMm, findings);
        RouteRules.CheckDistinct(plan.Bands, nameof(PressBand.Id), b => b.Id, "a band", findings);
        foreach (var band in plan.Bands)
        {
            RouteRules.CheckId(band, nameof(band.Id), band.Id, findings);
            Edges(band, nameof(band.FromMm), nameof(band.ToMm), band.FromMm, band.ToMm, findings);
            Edges(band, nameof(band.LowerN), nameof(band.UpperN), band.LowerN, band.UpperN, findings);
            if ((band.LowerN ?? band.UpperN) is null && findings.Sound(band, nameof(band.LowerN), nameof(band.UpperN))) findings.Wrong(band, "", "a band without edges", "lowerN, upperN or both");
        }
    }

    static void Unit(StepReading reading, string unit, string by, Findings findings)
    {
        if (reading.Unit != unit && findings.Sound(reading, nameof(reading.Unit))) findings.Wrong(reading, by, $"unit '{reading.Unit}'", $"unit '{unit}', which the curve is read in");
    }

    static void Edges(object owner, string lowerKey, string upperKey, double? lower, double? upper, Findings findings)
    {
        if (findings.Sound(owner, lowerKey, upperKey) && lower >= upper) findings.Wrong(owner, lowerKey, $"{Figure(lower)}, not below {Key(upperKey)} {Figure(upper)}", "the lower edge below the upper one");
    }

    /// <summary>A curve comes by the id of its check.</summary>
    static void NamesOnce(RouteStep step, Findings findings)
    {
        foreach (var group in step.Screws.Where(g => g.Curve is not null && step.Readings.Any(r => r.HasOwnCurve && r.Id == g.Id) && findings.Sound(g, nameof(g.Id))))
            findings.Wrong(group, nameof(group.Id), $"'{group.Id}' for screws and for a reading", "an id of its own for each curve of a step");
    }

    static string Key(string property) => System.Text.Json.JsonNamingPolicy.CamelCase.ConvertName(property);

    static string Figure(double? number) => (number ?? double.NaN).ToString("0.######", CultureInfo.InvariantCulture);
}
