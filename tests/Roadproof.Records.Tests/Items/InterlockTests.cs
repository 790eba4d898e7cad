using Roadproof.Engineering.Quantities;
using Roadproof.Records.Items;
using Roadproof.Records.Messages;

namespace Roadproof.Records.Tests.Items;

/// <summary>Every interlock, refused with its sentence. Which interlocks there are: common practice, no source.</summary>
public sealed class InterlockTests
{
    [Fact]
    public async Task A_step_out_of_order_names_what_is_missing_and_where_to_take_it()
    {
        await using var plant = await Plant("SH-1", "gears-in");
        Is(await plant.Refused("st80", plant.Finish("SH-1", "functional-check")),
            "Gears in is missing on SH-1; it comes before Functional check.", "Take it to st70 for Gears in.", "Gears in", "Functional check");
    }

    [Fact]
    public async Task The_cover_does_not_close_before_the_functional_check_has_passed()
    {
        await using var plant = await Plant("SH-1", "functional-check");
        Is(await plant.Refused("st90", plant.Begin("SH-1", "cover")), "Functional check is missing on SH-1; it comes before Cover.", "Take it to st80 for Functional check.");
        await plant.Do("SH-1", "functional-check", m => m with { Readings = [new("clutch-lock", 30.1, "N·m")] });
        await plant.HoldUnit("SH-1", "look at the clutch");
        Is(await plant.Refused("st90", plant.Begin("SH-1", "cover")),
            "Unit SH-1 is on hold. Functional check: clutch lock torque cannot be decided; look at the clutch.", "Put it on the hold rack; a person releases it with a reason.", "a unit free to move", "on hold");
    }

    [Fact]
    public async Task No_label_before_the_load_test_and_no_mark_before_the_label()
    {
        await using var plant = await Plant("SH-1", "leak-check");
        Is(await plant.Refused("st120", plant.Begin("SH-1", "label")), "Load test is missing on SH-1; it comes before Label.", "Take it to st100 for Leak check.");
        Is(await plant.Refused("st130", plant.Begin("SH-1", "mark")), "Label is missing on SH-1; it comes before Mark.", "Take it to st100 for Leak check.");
        Is(await plant.Refused("st140", plant.Begin("SH-1", "pack")), "The record of SH-1 has gaps: Leak check, Load test, Label, Mark.", "Take it to st100 for Leak check.");
    }

    [Fact]
    public async Task A_part_is_refused_as_it_is_scanned_and_only_the_refusal_is_kept()
    {
        await using var plant = await Plant("SH-1", "gears-in");
        var finish = plant.Finish("SH-1", "gears-in");
        var gears = finish.Parts.First(p => p.Part == "gear-set");
        var size = plant.Ledger.Head.Size;
        var taken = await plant.Send("st70", finish with { Key = "scan-1", Stage = "scan", Parts = [gears], Readings = [], Screws = [] });
        Assert.NotNull(taken.Answer);
        Assert.Equal(size, plant.Ledger.Head.Size);

        var refused = await plant.Send("st70", finish with { Key = "scan-2", Stage = "scan", Parts = [gears with { Lot = "nobody-knows" }], Readings = [], Screws = [] });
        Assert.Equal("Lot nobody-knows is not known.", refused.Refused?.Refusal.Reason);
        Assert.Equal(size + 1, plant.Ledger.Head.Size);
    }

    [Fact]
    public async Task A_step_that_is_done_is_not_done_again()
    {
        await using var plant = await Plant("SH-1", "rotor-in");
        Is(await plant.Refused("st20", plant.Finish("SH-1", "stator-in")), "Stator in is already done on SH-1.", "Next is Rotor in at st30.", "Rotor in", "Stator in");
    }

    [Fact]
    public async Task A_unit_begins_with_its_shell_once()
    {
        await using var plant = await Plant("SH-1", "stator-in");
        Is(await plant.Refused("st20", plant.Finish("SH-9", "stator-in")), "Unit SH-9 is not known.", "Scan the code again; a new unit starts with Shell in at st10.");
        Is(await plant.Refused("st10", plant.Finish("SH-1", "shell-in")),
            "Shell code SH-1 is already in use: that unit started on 2026-03-04.", "Scan the shell again; if the code is right, put this shell aside and tell the shift lead.");
        Is(await plant.Refused("st10", plant.Finish("SH-2", "shell-in") with { Parts = [new("shell", Serial: "SH-3")] }), "Shell SH-3 is not the unit SH-2.", "Scan the shell that lies in the fixture.", "SH-2", "SH-3");
    }

    [Fact]
    public async Task A_scrapped_or_shipped_unit_does_not_come_back()
    {
        await using var plant = await Plant("SH-1", null);
        await plant.Build("SH-2", "rotor-in");
        await plant.ScrapUnit("SH-2", "dropped");
        Is(await plant.Refused("st140", plant.Finish("SH-1", "pack")), "Unit SH-1 is already packed and shipped.", "Scan the code again; a returned unit does not re-enter the line.");
        Is(await plant.Refused("st30", plant.Finish("SH-2", "rotor-in")), "Unit SH-2 is scrapped.", "Put it aside; it does not come back to the line.");
        Is(await plant.RefusedAct(t => ScrapUnit.Decide(t, new("scrap", "SH-1", "s", "no", plant.Now), plant.Context)), "Unit SH-1 is shipped.", "Tell the customer; the line cannot stop it any more.");
    }

    [Fact]
    public async Task A_station_does_its_own_step_on_one_unit_at_a_time()
    {
        await using var plant = await Plant("SH-1", "stator-in");
        await plant.Build("SH-2", "stator-in");
        Is(await plant.Refused("st30", plant.Begin("SH-1", "stator-in")), "st30 does Rotor in, not Stator in.", "Take SH-1 to st20.", "st20", "st30");
        await plant.Take("st20", plant.Begin("SH-1", "stator-in"));
        Is(await plant.Refused("st20", plant.Begin("SH-2", "stator-in")), "st20 is busy with SH-1.", "Finish SH-1 first.");
        Is(await plant.Refused("st20", plant.Finish("SH-2", "stator-in")), "st20 is busy with SH-1.", "Finish SH-1 first.");
        Is(await plant.Refused("st20", plant.Finish("SH-1", "stator-in") with { OccurredAt = plant.Now.AddSeconds(-30) }),
            "Stator in of SH-1 cannot end before it began.", "Set the clock of st20 and send it again with a new key.");
    }

    [Fact]
    public async Task A_run_ends_at_the_rig_where_it_began()
    {
        await using var plant = await Plant("SH-1", "load-test");
        await plant.Take("rig2", plant.Begin("SH-1", "load-test"));
        Is(await plant.Refused("rig3", plant.Finish("SH-1", "load-test")), "SH-1 has begun Load test at rig2.", "Finish it there.", "rig2", "rig3");
        Is(await plant.Refused("rig2", plant.Finish("SH-1", "load-test") with { Captures = [] }), "Load test of SH-1 names no capture.", "Send the captures of the run and name them by their hashes.");
    }

    [Fact]
    public async Task Parts_are_those_of_the_step_each_once()
    {
        await using var plant = await Plant("SH-1", "controller-in");
        var good = plant.Finish("SH-1", "controller-in");
        await Is(plant, "st50", good with { Parts = [good.Parts[0]] }, "Thermal paste is missing.", "Scan the thermal paste.", "Thermal paste", "not scanned");
        await Is(plant, "st50", good with { Parts = [.. good.Parts, good.Parts[0]] }, "Controller was scanned twice.", "Scan each part once.");
        await Is(plant, "st50", good with { Parts = [.. good.Parts, new("grease", "L-grease")] }, "Grease does not belong to Controller in.", "Put it back and scan what the step asks for.");
        await Is(plant, "st50", good with { Parts = [good.Parts[0] with { Serial = null }, good.Parts[1]] }, "The number of the controller is missing.", "Scan the code on the part itself.");
        await Is(plant, "st50", good with { Parts = [good.Parts[0] with { Lot = null }, good.Parts[1]] }, "The lot of the controller is missing.", "Scan the lot label.");
    }

    [Fact]
    public async Task A_wrong_variant_says_which_is_needed_and_which_was_found()
    {
        await using var plant = await Plant("SH-1", "gears-in");
        var good = plant.Finish("SH-1", "gears-in");
        await Is(plant, "st70", good with { Parts = [new("gear-set-339", "L-gear-set-339"), good.Parts[1]] },
            "Wrong gear set: ratio 36.18 needed, ratio 33.9 found.", "Put it back and take the right one; check what else lies in the tray.", "ratio 36.18", "ratio 33.9");
        await Is(plant, "st70", good with { Parts = [new("gear-set", "L-gear-set-339"), good.Parts[1]] },
            "Wrong gear set: ratio 36.18 needed, ratio 33.9 found.", "Put it back and take the right one; check what else lies in the tray.", "ratio 36.18", "ratio 33.9");
    }

    [Fact]
    public async Task A_lot_is_known_open_unexpired_and_of_the_part()
    {
        await using var plant = await Plant("SH-1", "gears-in");
        await plant.ReceiveLot("G-old", "grease", expiresAt: plant.Now.AddDays(-1));
        await plant.ReceiveLot("G-held", "grease");
        await plant.HoldLot("G-held", "wrong base oil");
        var good = plant.Finish("SH-1", "gears-in");
        StationMessage With(string lot) => good with { Parts = [good.Parts[0], new("grease", lot)] };
        await Is(plant, "st70", With("G-none"), "Lot G-none is not known.", "Scan the lot label again, or receive the lot first.");
        await Is(plant, "st70", With("G-old"), "Lot G-old expired on 2026-03-03.", "Put it aside and take a lot that has not expired.");
        await Is(plant, "st70", With("G-held"), "Lot G-held is on hold: wrong base oil.", "Put it aside and take another lot.");
        await Is(plant, "st70", With("L-rotor"), "Lot L-rotor is Rotor, not Grease.", "Put it back and scan a lot of grease.", "Grease", "Rotor");
    }

    [Fact]
    public async Task A_lot_that_is_used_up_is_a_warning_only()
    {
        await using var plant = await Plant("SH-1", "cover");
        await plant.ReceiveLot("CS-7", "cover-screw", quantity: 7);
        var answer = await plant.Take("st90", plant.Finish("SH-1", "cover") with { Parts = [new("cover-screw", "CS-7")] });
        Assert.Equal(["Lot CS-7 was received with 7 and is used up: count what is left."], answer.Warnings);
    }

    [Fact]
    public async Task A_part_is_in_one_unit_only_until_it_has_come_out()
    {
        await using var plant = await Plant("SH-1", "controller-in");
        await plant.Build("SH-2", "rotor-in");
        var taken = plant.Finish("SH-2", "rotor-in") with { Parts = [new("rotor", "L-rotor", "rotor-of-SH-1")] };
        await Is(plant, "st30", taken, "Rotor rotor-of-SH-1 is already in unit SH-1.", "Scan the part again; if the code is right, put both aside and tell the shift lead.");

        await plant.HoldUnit("SH-1", "rotor scratched");
        await plant.ReleaseUnit("SH-1", "new rotor", "rotor-in");
        await plant.Take("st30", plant.Finish("SH-1", "rotor-in") with { Parts = [new("rotor", "L-rotor", "rotor-B")] });
        await plant.Take("st30", taken with { Key = plant.NextKey() });
    }

    [Fact]
    public async Task Screw_results_are_complete_and_each_is_there_once()
    {
        await using var plant = await Plant("SH-1", "cover");
        var good = plant.Finish("SH-1", "cover");
        await Is(plant, "st90", good with { Screws = good.Screws.Where(s => s.Number is not (3 or 5)).ToList() },
            "Cover screws: screws 3, 5 have no result.", "Tighten what is missing and send all results.", "8 of 8", "6 of 8");
        await Is(plant, "st90", good with { Screws = [.. good.Screws, good.Screws[1]] }, "Cover screws: screw 2 was reported twice.", "Check which screw was tightened twice; never tighten again to make it pass.");
        var answer = await plant.Take("st90", good with { Key = plant.NextKey(), Screws = good.Screws.Select(s => s.Number == 4 ? s with { TorqueNm = 3.3 } : s).ToList() });
        Assert.Equal(["Cover: cover screws, torque too low"], answer.Holds);
    }

    [Fact]
    public async Task A_stripped_thread_shows_in_the_angle_although_the_torque_is_right()
    {
        await using var plant = await Plant("SH-1", "cover");
        var answer = await plant.Do("SH-1", "cover", m => m with { Screws = m.Screws.Select(s => s.Number == 4 ? s with { AngleDeg = 95 } : s).ToList() });
        Assert.Equal("fail", answer.Verdict);
        Assert.Equal(["Cover: cover screws, angle too large"], answer.Holds);
    }

    [Fact]
    public async Task A_reading_that_the_step_takes_is_there()
    {
        await using var plant = await Plant("SH-1", "gears-in");
        Is(await plant.Refused("st70", plant.Finish("SH-1", "gears-in") with { Readings = [] }), "Grease mass is missing.", "Read it and send Gears in again with a new key.");
    }

    [Fact]
    public async Task The_mark_reads_back_as_the_number_that_was_issued()
    {
        await using var plant = await Plant("SH-1", "mark");
        await Is(plant, "st130", plant.Finish("SH-1", "mark", "AF85260000017"), "No serial number has been issued for SH-1.", "Begin Mark at st130: the number comes with the answer.");
        var serial = (await plant.Take("st130", plant.Begin("SH-1", "mark"))).Serial!;
        await Is(plant, "st130", plant.Finish("SH-1", "mark", "AF85269999999"),
            $"The mark reads AF85269999999, but {serial} was issued for SH-1.", "Read it again; if it stands so on the metal, report the mark as spoiled.", serial, "AF85269999999");
    }

    [Fact]
    public async Task A_firmware_of_the_wrong_region_fails_the_step_and_holds_the_unit()
    {
        await using var plant = await Plant("SH-1", "firmware");
        var answer = await plant.Do("SH-1", "firmware", m => m with { Readings = [new("region", Text: "us")] });
        Assert.Equal(("fail", "Firmware: region is not as required"), (answer.Verdict, answer.Holds.Single()));
    }

    [Fact]
    public async Task A_report_is_kept_and_holds_the_unit_with_the_same_sentence()
    {
        await using var plant = await Plant("SH-1", "functional-check");
        var refused = await plant.Refused("st90", plant.Finish("SH-1", "cover"));
        var answer = await plant.Take("st90", plant.Finish("SH-1", "cover") with { Kind = "report" });
        Assert.Equal([refused.Reason], answer.Holds);
        Assert.Equal("pass", answer.Verdict);
        Assert.Equal("functional-check", (await plant.ReleaseUnit("SH-1", "check is made up for")).Next);
    }

    [Fact]
    public async Task A_report_on_a_unit_that_nobody_knows_starts_it_on_hold()
    {
        await using var plant = await Plant("SH-1", "stator-in");
        var answer = await plant.Take("st30", plant.Finish("SH-7", "rotor-in") with { Kind = "report" });
        Assert.Equal(["Unit SH-7 is not known."], answer.Holds);
        Is(await plant.Refused("st10", plant.Begin("SH-7", "shell-in")), "Unit SH-7 is on hold. Unit SH-7 is not known.", "Put it on the hold rack; a person releases it with a reason.");
    }

    [Fact]
    public async Task A_repeat_gets_the_first_answer_again_and_another_content_is_refused()
    {
        await using var plant = await Plant("SH-1", "rotor-in");
        var message = plant.Finish("SH-1", "rotor-in");
        var first = await plant.Take("st30", message);
        plant.Wait(3);
        var again = await plant.Take("st30", message with { Parts = [.. message.Parts] });
        Assert.Equal(Text(first with { Repeat = true }), Text(again));

        var other = message with { Readings = [new("insertion-force", 251, "N")] };
        var no = (await plant.Send("st30", other)).Refused!;
        Assert.Equal($"Key {message.Key} was used before for something else; the first stands.", no.Refusal.Reason);
        Assert.Equal((no.Sequence, true), ((await plant.Send("st30", other)).Refused!.Sequence, (await plant.Send("st30", other)).Refused!.Repeat));
        Assert.Equal(no.Refusal.Reason, (await plant.Refused("st20", message)).Reason);
    }

    [Fact]
    public async Task A_refusal_is_repeated_as_it_was_although_the_way_is_free_now()
    {
        await using var plant = await Plant("SH-1", "stator-in");
        var early = plant.Finish("SH-1", "rotor-in");
        var first = (await plant.Send("st30", early)).Refused!;
        await plant.Do("SH-1", "stator-in");
        var again = (await plant.Send("st30", early)).Refused!;
        Assert.Equal(first with { Repeat = true }, again);
        await plant.Take("st30", early with { Key = plant.NextKey() });
    }

    [Fact]
    public async Task Held_for_a_lot_goes_on_with_the_lot_or_when_the_part_has_come_out()
    {
        await using var plant = await Plant("SH-1", "controller-in");
        await plant.Build("SH-2", "controller-in");
        await plant.Build("SH-3");
        await plant.HoldUnit("SH-2", "scratch");
        var held = await plant.HoldLot("L-rotor", "reads low");
        Assert.Equal(["SH-1", "SH-2"], held.UnitsHeld);
        Assert.Equal("SH-3", held.UnitsShipped.Single().Unit);
        Is(await plant.RefusedAct(t => ReleaseUnit.Decide(t, new("release", "SH-1", "r", "fine", plant.Now), plant.Context)),
            "Unit SH-1 is on hold because lot L-rotor is.", "Release the lot, or send the unit back to the step where its part comes out.");

        var back = await plant.ReleaseUnit("SH-1", "rotor out", "rotor-in");
        Assert.Equal(("building", "rotor-in"), (back.State, back.Next));
        Assert.Empty((await plant.ReleaseLot("L-rotor", "gauge was wrong")).UnitsReleased);
        Assert.Equal("controller-in", (await plant.ReleaseUnit("SH-2", "polished")).Next);
    }

    [Fact]
    public async Task A_lot_whose_part_has_come_out_stops_the_unit_no_more()
    {
        await using var plant = await Plant("SH-1", "rotor-in");
        await plant.ReceiveLot("R-2", "rotor");
        await plant.Do("SH-1", "rotor-in", m => m with { Parts = [new("rotor", "R-2", "rotor-A")] });
        await plant.HoldUnit("SH-1", "rotor scratched");
        await plant.ReleaseUnit("SH-1", "new rotor", "rotor-in");
        await plant.Do("SH-1", "rotor-in", m => m with { Parts = [new("rotor", "L-rotor", "rotor-B")] });
        Assert.Empty((await plant.HoldLot("R-2", "reads low")).UnitsHeld);
        Assert.Equal(["SH-1"], (await plant.HoldLot("L-rotor", "reads low")).UnitsHeld);
    }

    [Fact]
    public async Task A_lot_released_lets_those_go_on_that_were_held_for_nothing_else()
    {
        await using var plant = await Plant("SH-1", "controller-in");
        await plant.Build("SH-2", "controller-in");
        await plant.HoldLot("L-rotor", "reads low");
        await plant.HoldUnit("SH-2", "scratch");
        Assert.Equal(["SH-1"], (await plant.ReleaseLot("L-rotor", "gauge was wrong")).UnitsReleased);
        await plant.Do("SH-1", "controller-in");
    }

    [Fact]
    public async Task A_message_that_cannot_be_understood_says_everything_at_once()
    {
        await using var plant = await Plant("SH-1", "gears-in");
        var errors = await plant.NotUnderstood("st7O", plant.Finish("SH-1", "gears-in") with
        {
            Kind = "ask",
            Parts = [new("greese", "L-grease"), new("gear-set", "L-gear\n")],
            Readings = [new("grease-mass", -1, "g"), new("grease-mass", double.NaN, "kg"), new("torque", 3, "N·m")],
            Captures = [new("XYZ", "slow")],
        });
        Assert.Equal(
        [
            "message: kind: found 'ask', expected request or report.",
            "message: station: found 'st7O', expected a station of this plant. Did you mean 'st70'?",
            "message: parts[0].part: found 'greese', expected a part of this product. Did you mean 'grease'?",
            "message: parts[1].lot: found a control character, expected the code on the lot label, or leave it out. A scanner may send a line end with the code; set it to send the code alone.",
            "message: readings[0].value: found -1 g, expected 0 g or more. Tare the instrument and read again.",
            "message: readings[1].id: found 'grease-mass' a second time, expected each reading once.",
            "message: readings[1].value: found NaN, expected a finite number in g. A reading that was not taken is left out.",
            "message: readings[1].unit: found 'kg', expected g.",
            "message: readings[2].id: found 'torque', expected a reading of gears-in. Known are: grease-mass.",
            "message: captures[0].sha256: found 'XYZ', expected 64 hexadecimal digits in lower case.",
        ], errors.Select(e => e.ToString()));
    }

    static async Task<TestPlant> Plant(string unit, string? until)
    {
        var plant = new TestPlant();
        await plant.ReceiveLots();
        await plant.Build(unit, until);
        return plant;
    }

    // Each try has a key of its own: a refusal stands for its key.
    static async Task Is(TestPlant plant, string station, StationMessage message, string reason, string remedy, string? needed = null, string? found = null) =>
        Is(await plant.Refused(station, message with { Key = plant.NextKey() }), reason, remedy, needed, found);

    static void Is(Refusal refusal, string reason, string remedy, string? needed = null, string? found = null)
    {
        Assert.Equal((reason, remedy), (refusal.Reason, refusal.Remedy));
        if (needed is not null) Assert.Equal((needed, found ?? refusal.Found), (refusal.Needed, refusal.Found));
        Assert.NotEmpty(refusal.Needed);
        Assert.NotEmpty(refusal.Found);
    }

    static string Text(MessageAnswer answer) => RecordJson.Write(answer);
}
