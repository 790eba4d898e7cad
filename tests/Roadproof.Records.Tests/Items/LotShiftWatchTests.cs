using Roadproof.Engineering.Judging;
using Roadproof.Engineering.LoadTest;
using Roadproof.Records.Items;
using Roadproof.Records.ReadModel;

namespace Roadproof.Records.Tests.Items;

/// <summary>A lot that reads differently is found although each of its units passes. Shift and spread: common practice, no source (flux ±4 % as 3 sigma, weak lot −3 %).</summary>
public sealed class LotShiftWatchTests
{
    // −3 % of flux where the parts spread by 1.33 % (one sigma).
    const double WeakSigma = -3 / 1.33;

    static readonly double[] Noise = [0.3, -0.8, 1.1, -0.2, 0.6, -1.3, 0.1, 0.9, -0.5, -0.4];

    [Fact]
    public async Task A_weak_rotor_lot_is_found_within_ten_units_once_and_raises_a_note()
    {
        await using var plant = new TestPlant();
        await plant.ReceiveLots();
        await plant.ReceiveLot("R-weak", "rotor");
        for (var i = 0; i < 6; i++) await LoadTest(plant, $"SH-1{i}", "L-rotor", Noise[i], i);
        for (var i = 0; i < 10; i++) await LoadTest(plant, $"SH-2{i}", "R-weak", WeakSigma + Noise[i], i);

        using var c = plant.Read();
        var note = Assert.Single(NotesQuery.Run(c, plant.Context, plant.Now), n => n.Kind == "lot-shift");
        Assert.Matches(@"^Rotor lot R-weak reads \d\.\d % low in flux linkage$", note.Title);
        Assert.InRange(double.Parse(note.Title.Split(' ')[4]), 2, 4);
        Assert.Equal(("R-weak", "Hold the lot"), (note.Lot, note.Action));

        await plant.HoldLot("R-weak", "flux 3 % low");
        Assert.DoesNotContain(NotesQuery.Run(c, plant.Context, plant.Now), n => n.Kind == "lot-shift");
        var lot = LotQuery.Run(c, plant.Context, "R-weak")!;
        Assert.Equal(("held", $"{note.Title}. {note.Text}"), (lot.State, Assert.Single(lot.Findings)));
        Assert.Empty(LotQuery.Run(c, plant.Context, "L-rotor")!.Findings);
        var before = plant.Derived();
        await plant.Ledger.Rebuild();
        Assert.Equal(before, plant.Derived());
    }

    // Of a reading that comes from proven units all scatter counts as the reading's own; it once counted as the rig's too, so that no lot could differ in it on one rig.
    [Fact]
    public async Task A_lot_is_found_on_one_rig_in_a_reading_whose_scatter_is_all_noise()
    {
        await using var plant = new TestPlant();
        await plant.ReceiveLots();
        for (var i = 0; i < 10; i++) await LoadTest(plant, $"SH-{i}", "L-rotor", TestPlant.Verdict("mesh-1", RunVerdict.Pass, WeakSigma + Noise[i], readingSigma: 1), number: 0);
        using var c = plant.Read();
        Assert.Single(NotesQuery.Run(c, plant.Context, plant.Now), n => n.Kind == "lot-shift");
    }

    // A crimp fault of 11 sigma among three units once put their controllers' lot on hold.
    [Fact]
    public async Task One_unit_that_is_far_out_makes_no_bad_lot()
    {
        await using var plant = new TestPlant();
        await plant.ReceiveLots();
        await LoadTest(plant, "SH-1", "L-rotor", 0.4, 0);
        await LoadTest(plant, "SH-2", "L-rotor", -0.3, 1);
        await LoadTest(plant, "SH-3", "L-rotor", 20, 2);
        using var c = plant.Read();
        Assert.DoesNotContain(NotesQuery.Run(c, plant.Context, plant.Now), n => n.Kind == "lot-shift");
    }

    [Fact]
    public async Task Lots_that_the_readings_cannot_tell_apart_are_named_and_the_likeliest_part_comes_first()
    {
        await using var plant = new TestPlant();
        await plant.ReceiveLots();
        for (var i = 0; i < 8; i++) await LoadTest(plant, $"SH-{i}", "L-rotor", WeakSigma + Noise[i], i);
        using var c = plant.Read();
        var note = Assert.Single(NotesQuery.Run(c, plant.Context, plant.Now), n => n.Kind == "lot-shift");
        Assert.Equal("L-rotor", note.Lot);
        Assert.Contains("Not told apart from ", note.Text, StringComparison.Ordinal);
        Assert.Contains("L-stator", note.Text, StringComparison.Ordinal);
    }

    // Until the definitions said which parts move what, a table of part names did: the parts of another product were never watched.
    [Fact]
    public async Task Only_lots_of_parts_that_name_what_they_move_are_watched()
    {
        var silent = TestRoute.Revision with { Parts = [.. TestRoute.Revision.Parts.Select(p => p.Id == "rotor" ? p with { Moves = [] } : p)] };
        await using var plant = new TestPlant(context: new([silent], _ => null));
        await plant.ReceiveLots();
        for (var i = 0; i < 8; i++) await LoadTest(plant, $"SH-{i}", "L-rotor", WeakSigma + Noise[i], i);
        using var c = plant.Read();
        var note = Assert.Single(NotesQuery.Run(c, plant.Context, plant.Now), n => n.Kind == "lot-shift");
        Assert.Equal("L-stator", note.Lot);
        Assert.DoesNotContain("L-rotor", note.Text, StringComparison.Ordinal);
    }

    // A stator lot was once held because its first units had weak rotors.
    [Fact]
    public async Task Units_that_a_lot_found_before_explains_say_nothing_of_their_other_lots()
    {
        await using var plant = new TestPlant();
        await plant.ReceiveLots();
        await plant.ReceiveLot("R-weak", "rotor");
        for (var i = 0; i < 4; i++) await LoadTest(plant, $"SH-1{i}", "R-weak", WeakSigma - 0.6 + Noise[i], i);
        for (var i = 0; i < 8; i++) await LoadTest(plant, $"SH-2{i}", "L-rotor", Noise[i] - 0.4, i);
        using var c = plant.Read();
        Assert.Equal(["R-weak"], NotesQuery.Run(c, plant.Context, plant.Now).Where(n => n.Kind == "lot-shift").Select(n => n.Lot));
    }

    [Fact]
    public async Task A_second_attempt_says_nothing_of_the_lot()
    {
        await using var plant = new TestPlant();
        await plant.ReceiveLots();
        await LoadTest(plant, "SH-1", "L-rotor", -1, 0);
        await plant.HoldUnit("SH-1", "look");
        await plant.ReleaseUnit("SH-1", "again", "load-test");
        await plant.Do("SH-1", "load-test", loadTest: LoadTestOutcome.Judged(TestPlant.Verdict(fluxSigma: -9)));
        Assert.Contains("""unit_residual: unit=SH-1|rig=rig1|sigmas={"flux-20":-1}""", plant.Derived(), StringComparison.Ordinal);
    }

    static Task LoadTest(TestPlant plant, string unit, string rotorLot, double fluxSigma, int number) =>
        LoadTest(plant, unit, rotorLot, TestPlant.Verdict(fluxSigma: fluxSigma), number);

    static async Task LoadTest(TestPlant plant, string unit, string rotorLot, LoadTestVerdict verdict, int number)
    {
        await plant.Build(unit, "load-test", m => m with { Parts = m.Parts.Select(p => p.Part == "rotor" ? p with { Lot = rotorLot } : p).ToList() });
        await plant.Do(unit, "load-test", loadTest: LoadTestOutcome.Judged(verdict), station: $"rig{1 + number % 3}");
    }
}
