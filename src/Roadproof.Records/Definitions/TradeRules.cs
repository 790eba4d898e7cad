using System.Globalization;
using Roadproof.Engineering.Judging;

namespace Roadproof.Records.Definitions;

/// <summary>What must hold so that the interlocks of shelf life, rework, zones and gauges can be kept.</summary>
static class TradeRules
{
    public static void Check(BoundFiles files, Findings findings)
    {
        foreach (var part in files.Parts.Parts) CheckPart(part, findings);
        foreach (var line in files.Plant.Lines)
        {
            foreach (var station in line.Stations) CheckStation(station, findings);
            if (files.Routes.FirstOrDefault(r => r.Product == line.Product) is not { } route) continue;
            foreach (var step in route.Steps) CheckStep(step, [.. line.Stations.Where(s => s.Step == step.Id)], files.Parts.Parts, findings);
        }
    }

    static void CheckPart(PartDefinition part, Findings findings)
    {
        if (part.Zone is { } zone) RouteRules.CheckId(part, nameof(part.Zone), zone, findings);
        for (var i = 0; i < part.Moves.Count && findings.Sound(part, nameof(part.Moves)); i++)
            if (part.Moves.Take(i).Contains(part.Moves[i])) findings.Wrong(part, Findings.Item(nameof(part.Moves), i), $"'{part.Moves[i].Word()}' a second time", "each family of readings once");
        var single = part.Shell ? "a shell" : part.Product is not null ? "a part that is built here" : null;
        if (single is null) return;
        if (part.OpenH is not null) findings.Wrong(part, nameof(part.OpenH), $"an open time for {single}", "openH at material that is used out of a drum, a cartridge or a roll");
        if (part.FirstExpiredFirst) findings.Wrong(part, nameof(part.FirstExpiredFirst), $"firstExpiredFirst for {single}", "firstExpiredFirst at a part that comes in lots");
    }

    static void CheckStation(StationDefinition station, Findings findings)
    {
        if (station.Zone is { } zone) RouteRules.CheckId(station, nameof(station.Zone), zone, findings);
        for (var i = 0; i < station.Instruments.Count && findings.Sound(station, nameof(station.Instruments)); i++)
        {
            var at = Findings.Item(nameof(station.Instruments), i);
            RouteRules.CheckId(station, at, station.Instruments[i], findings);
            if (station.Instruments.Take(i).Contains(station.Instruments[i], StringComparer.Ordinal))
                findings.Wrong(station, at, $"'{station.Instruments[i]}' a second time", "each instrument of a station once");
        }
    }

    static void CheckStep(RouteStep step, IReadOnlyList<StationDefinition> stations, IReadOnlyList<PartDefinition> parts, Findings findings)
    {
        if (step.Qualification is { } qualification) RouteRules.CheckId(step, nameof(step.Qualification), qualification, findings);
        if (step.RetestsAtMost != 1 && step.Kind is not (StepKind.Check or StepKind.LoadTest) && findings.Sound(step, nameof(step.Kind)))
            findings.Wrong(step, nameof(step.RetestsAtMost), $"retests of '{step.Id}', which tests nothing", "retestsAtMost at a check or a load test", "Work that is done again is its own repair.");
        CheckRetests(step, findings);
        foreach (var put in step.Parts)
        {
            if (parts.FirstOrDefault(p => p.Id == put.Part) is not { } part) continue;
            if (put.OneLot && (part.Shell || part.Product is not null))
                findings.Wrong(put, nameof(put.OneLot), $"oneLot for '{put.Part}', of which each is known by its own code", "oneLot at a part that comes in lots");
            CheckZone(put, nameof(put.Part), part, step, stations, findings);
        }
    }

    static void CheckRetests(RouteStep step, Findings findings)
    {
        if (!findings.Sound(step, nameof(step.Kind))) return;
        if (step.RetestScheme is RetestScheme.Single or RetestScheme.Free)
            findings.Wrong(step, nameof(step.RetestScheme), $"'{(step.RetestScheme == RetestScheme.Free ? "free" : "single")}'", "two-of-two or mean",
                step.RetestScheme == RetestScheme.Free ? "A plain second chance lifts a unit half a standard uncertainty outside from 31 % to 52 %." : "A test that is never tried again has retestsAtMost: 0.");
        else if (step.RetestScheme == RetestScheme.Mean && step.Kind != StepKind.LoadTest)
            findings.Wrong(step, nameof(step.RetestScheme), $"the mean of tries of '{step.Id}'", "two-of-two, or a load test", "Only of a load test's readings is it known which part of the uncertainty another run draws anew.");
        else if (step.RetestScheme == RetestScheme.Mean && step.RetestsAtMost > 1)
            findings.Wrong(step, nameof(step.RetestsAtMost), $"{step.RetestsAtMost.ToString(CultureInfo.InvariantCulture)} retests judged by their mean", "1 at most beside retestScheme: mean", "Stopping at the first mean that passes is a choice of the best.");
        if (step.CoolDownS is not null && step.Kind is not (StepKind.Check or StepKind.LoadTest)) findings.Wrong(step, nameof(step.CoolDownS), $"a cool-down of '{step.Id}', which tests nothing", "coolDownS at a check or a load test");
        if (step.CoolDownK is not null && step.Kind != StepKind.LoadTest) findings.Wrong(step, nameof(step.CoolDownK), $"coolDownK of '{step.Id}', whose winding nobody reads", "coolDownK at a load test");
    }

    /// <summary>A part of a zone goes in only at stations of that zone.</summary>
    /// <param name="put">What names the part, in its property.</param>
    public static void CheckZone(object put, string property, PartDefinition part, RouteStep step, IEnumerable<StationDefinition> stations, Findings findings)
    {
        if (part.Zone is { } zone && findings.Sound(part, nameof(part.Zone)) && stations.FirstOrDefault(s => s.Zone != zone && findings.Sound(s, nameof(s.Zone))) is { } outside)
            findings.Wrong(put, property, $"'{part.Id}' of zone '{zone}' at {outside.Id}, which is {(outside.Zone is { } other ? $"in zone '{other}'" : "in none")}", $"stations in zone '{zone}' for step '{step.Id}'");
    }
}
