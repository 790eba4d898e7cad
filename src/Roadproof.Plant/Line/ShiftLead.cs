namespace Roadproof.Plant.Line;

/// <summary>The shift lead: reads what needs a person every few minutes, holds lots that read differently, decides on the rack, and starts and ends orders.</summary>
/// <remarks>
/// The rule of the rack: what failed before the cover stays closed (gears, cover, leak) goes back once for repair; a run that could not be read is run again; whatever else failed is
/// scrapped after twenty minutes, never tested again without repair; what is undecided, unusual or held for its lot stays until somebody outside the demo decides.
/// </remarks>
sealed class ShiftLead(DemoDay day, bool othersDecideToo)
{
    const double RoundMin = 3, RepairAfterMin = 6, RunAgainAfterMin = 4, ScrapAfterMin = 20, StandstillRounds = 60;
    const int LooksInARound = 20;

    int _looked;

    public async IAsyncEnumerable<Pause> Work()
    {
        var (messages, quietRounds) = (0, 0);
        while (!IsAllDecided())
        {
            yield return Pause.Minutes(RoundMin);
            await ReadNotes();
            await RunAgain();
            await DecideOnRack();
            foreach (var line in day.Lines)
                if (line.Orders is { } orders) await orders.Round();
            if (othersDecideToo) await LookForReleased();

            quietRounds = day.Options.Units is not null && messages == day.Door.Messages ? quietRounds + 1 : 0;
            messages = day.Door.Messages;
            if (quietRounds > StandstillRounds)
                throw new InvalidOperationException($"Bug in Roadproof: the demo line stands still with {string.Join(", ", day.Units.Where(u => u.End == "building").Select(u => u.Shell).Take(5))} on it.");
        }
    }

    bool IsAllDecided() => day.IsLastStarted && day.Units.All(u => u.End != "building") && day.Rack.Places.All(p => p.Stays) && day.Lines.All(l => l.Orders is not { IsDone: false });

    async Task ReadNotes()
    {
        foreach (var note in await day.Door.Notes())
        {
            if (note is not { Kind: "lot-shift", Lot: { } lot }) continue;
            day.Reported(lot);
            var held = await day.Door.HoldLot(day.Key("office"), lot, note.Title, day.Time.Now, day.Crew.ShiftLead);
            if (held is null) continue;
            foreach (var unit in day.Units.Where(u => held.Contains(u.Shell))) unit.HeldForLot = true;
            await day.Lots.PutAside(lot, day.Crew.GoodsIn);
        }
    }

    /// <summary>What a rig judged wrong is run again as soon as the rig reads right.</summary>
    async Task RunAgain()
    {
        foreach (var rig in day.Units.Select(u => u.HeldForRig).OfType<string>().Distinct(StringComparer.Ordinal).ToList())
        {
            var held = await day.Door.HeldForRig(rig);
            if (held.Count > 0 && (!await day.Door.MayJudge(rig) || !await day.Door.Retest(day.Key("office"), rig, "The rig was put right and calibrated; what it judged before is run again.", day.Time.Now, day.Crew.ShiftLead))) continue;
            foreach (var place in day.Rack.Places.Where(p => p.Unit.HeldForRig == rig).ToList())
            {
                // What the wrong rig found was no finding.
                if (place.Unit.StoppedAt >= 0 && place.Unit.Line.Route.Steps[place.Unit.StoppedAt].Kind == "load-test") place.Unit.Found = false;
                place.Unit.HeldForRig = null;
                place.Stays = !await GoesOn(place);
            }
        }
    }

    async Task DecideOnRack()
    {
        foreach (var place in day.Rack.Places.Where(p => !p.Stays && p.Unit.HeldForRig is null).ToList())
        {
            var unit = place.Unit;
            var waited = (day.Time.Now - place.Since).TotalMinutes;
            switch (unit.StoppedAs)
            {
                case "unreadable":
                    if (waited >= RunAgainAfterMin) await SendBack(place, null, "The rig's computer stopped while it wrote; the run is done again.");
                    break;
                case "fail" when !unit.Repaired && unit.Line.Route.RepairAt(unit.Line.Route.Steps[unit.StoppedAt]) is { } backTo:
                    if (waited >= RepairAfterMin) await Mend(place, backTo);
                    break;
                case "fail":
                    if (waited >= ScrapAfterMin) await Scrap(place);
                    break;
                default:
                    place.Stays = true;
                    break;
            }
        }
    }

    // What was read at a later step than the one that is done again lies in the parts of that one: a leak in the gasket.
    async Task Mend(HoldRack.Place place, string backTo)
    {
        var unit = place.Unit;
        var step = unit.Line.Route.Steps[unit.Line.Route.IndexOf(backTo)];
        var worn = step == unit.Line.Route.Steps[unit.StoppedAt] ? null : step.Parts?.Select(p => p.Part).FirstOrDefault(p => step.Screws?.Any(s => p == $"{s.Id}-screw") != true);
        if (worn is not null) await day.Door.TakeOut(day.Key("office"), unit.Shell, worn, "Did not seal.", day.Time.Now, day.Crew.ShiftLead);
        await SendBack(place, backTo, "Opened and mended; from here all is done again.", worn);
    }

    async Task SendBack(HoldRack.Place place, string? backTo, string reason, string? cause = null)
    {
        var unit = place.Unit;
        await day.Door.ActOnUnit("release", day.Key("office"), unit.Shell, reason, day.Time.Now, day.Crew.ShiftLead, backTo, cause);
        if (backTo is not null) unit.Repair();
        place.Stays = !await GoesOn(place);
    }

    async Task Scrap(HoldRack.Place place)
    {
        var reason = place.Unit.Reasons.LastOrDefault() ?? "failed";
        if (await day.Door.ActOnUnit("scrap", day.Key("office"), place.Unit.Shell, reason, day.Time.Now, day.Crew.ShiftLead)) End(place, "scrapped");
        else place.Stays = !await GoesOn(place);
    }

    /// <summary>Where pages are open, a visitor may have released or scrapped what stands on the rack.</summary>
    async Task LookForReleased()
    {
        var rack = day.Rack.Places.Where(p => p.Stays).ToList();
        for (var i = 0; i < Math.Min(LooksInARound, rack.Count); i++) await GoesOn(rack[_looked++ % rack.Count]);
    }

    /// <returns>True where the unit has left the rack.</returns>
    async Task<bool> GoesOn(HoldRack.Place place)
    {
        var unit = place.Unit;
        switch (await day.Door.Look(unit.Shell))
        {
            case { State: "scrapped" or "shipped" } seen:
                End(place, seen.State);
                return true;
            case { State: not "held", NextStep: { } next }:
                day.Rack.Places.Remove(place);
                unit.StoppedAs = "";
                unit.End = "building";
                unit.Next = unit.Line.Route.IndexOf(next);
                unit.Line.Before[unit.Next].Bring(unit);
                return true;
            default:
                return false;
        }
    }

    void End(HoldRack.Place place, string end)
    {
        day.Rack.Places.Remove(place);
        day.Ended(place.Unit, end);
    }
}
