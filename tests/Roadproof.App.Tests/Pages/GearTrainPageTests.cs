using System.Globalization;
using System.Net;
using System.Text;
using Microsoft.AspNetCore.WebUtilities;
using Roadproof.App.Drive;
using Roadproof.App.Frame;
using Roadproof.App.Road;
using Roadproof.App.Tests.Server;
using Roadproof.Records.Definitions;
using Roadproof.Records.Rides;

namespace Roadproof.App.Tests.Pages;

public sealed class GearTrainPageTests : IDisposable
{
    static readonly IReadOnlyList<RouteRevision> Plant = DefinitionFolder.Read(DemoFolder.Files);

    static readonly RoadStudies Studies = new();

    readonly DirectoryInfo folder = Directory.CreateTempSubdirectory("roadproof-gears-");

    public void Dispose() => folder.Delete(recursive: true);

    RideStore Kept => new(folder.FullName, TimeProvider.System);

    /// <summary>The page once all is worked out.</summary>
    async Task<(AskGearTrain.View View, string Text)> Asked(params (string Name, string Value)[] typed)
    {
        AskGearTrain.View view;
        do view = (await AskGearTrain.Run(Plant, Kept, Studies, "af-85", name => typed.FirstOrDefault(t => t.Name == name).Value))!;
        while (view.Study is { AtWork: true });
        return (view, await Page(view));
    }

    static async Task<string> Page(AskGearTrain.View view) => WebUtility.HtmlDecode(await PageText.Document<Layout, GearTrainSheet>("/gear-train", ("View", view)));

    [Fact]
    public async Task The_train_as_drawn_says_what_breaks_first_for_whom()
    {
        var (view, page) = await Asked();
        Assert.Null(view.Variant);
        Assert.Contains("The first to break is stage 1 wheel, tooth root, after", page);
        Assert.Contains("for the heavy rider with much help.", page);
        foreach (var words in new[] { "value=\"0.8\"", "name=\"module-1\"", "Root safety".ToLowerInvariant(), "every 83 turns (hunting)", "an invented ride", "never a permission" }) Assert.Contains(words, page);
        Assert.DoesNotContain("NaN", page);
        Assert.DoesNotContain("∞", page);
        // Every design is a link with a sentence of its own, light to heavy.
        Assert.Equal(view.Points.Count, page.Split("<circle class=\"hit\"").Length - 1);
        Assert.Contains(view.Points, p => p is { Kind: "drawn" });
    }

    [Fact]
    public async Task What_is_changed_stands_beside_what_is_drawn()
    {
        var (view, page) = await Asked(("width-1", "18"), ("wheel-material-2", "case-hardened"));
        Assert.Equal(0.018, Assert.Single(view.Form.Changes).FaceWidthM);
        Assert.True(view.Variant!.TrainLifeM > view.Drawn!.TrainLifeM);
        Assert.Contains("Changed, the first to break is", page);
        Assert.Contains("(drawn 14)", page);
        Assert.Contains("value=\"18\"", page);
    }

    [Fact]
    public async Task Choosing_a_design_fills_the_form_with_it()
    {
        var (view, _) = await Asked();
        var point = view.Points.First(p => p.Kind == "around");
        var (chosen, _) = await Asked(Typed(point.Href));
        Assert.Equal(point.Train, chosen.Variant!.Train);
        Assert.Equal(point.MassKg, chosen.Variant.MassKg, 1e-9);
    }

    [Fact]
    public async Task What_cannot_be_is_told_and_what_was_typed_stays()
    {
        var (view, page) = await Asked(("module-1", "0,9"), ("pinion-2", "12.5"), ("width-2", "1e9"), ("wheel-material-1", "<script>alert(1)</script>"));
        Assert.Null(view.Answer);
        Assert.Equal(4, view.Errors.Count);
        Assert.Contains("found '0,9', expected a number in mm from 0.2 to 10. Write a decimal point, not a comma.", page);
        Assert.Contains("found '12.5', expected a whole number from 4 to 500", page);
        Assert.Contains("value=\"0,9\"", page);
        var (undercut, _) = await Asked(("pinion-1", "6"), ("shift-1", "0"));
        Assert.Contains(undercut.Errors, e => e.Found.Contains("undercut", StringComparison.Ordinal));
    }

    [Fact]
    public async Task The_page_answers_at_its_address_and_shows_what_was_typed_as_text()
    {
        await using var line = await ServedLine.Start();
        var page = await line.Page("gear-train?module-1=%3Cscript%3Ealert(1)%3C%2Fscript%3E");
        Assert.DoesNotContain("<script>alert", page, StringComparison.OrdinalIgnoreCase);
        Assert.Contains("This train cannot be computed.", page, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_gearbox_says_what_it_does_to_each_element_each_rider_and_the_efficiency()
    {
        var (view, page) = await Asked(("gears", "0.8 1, 1.3"), ("gear-efficiency", "97 98.5 97"), ("gear-rpm", "3150"), ("gearbox-mass", "350"));
        var box = view.Form.Gearbox.Box!;
        Assert.Equal([(0.8, 0.97), (1, 0.985), (1.3, 0.97)], box.Gears.Select(g => (g.Ratio, g.Efficiency)));
        Assert.Equal(3150 * Math.PI / 30, box.RotorRadPerS, 1e-9);
        Assert.Equal(0.35, box.MassKg);
        Assert.True(view.Form.IsChanged);

        var (drawn, changed) = (view.Drawn!, view.Variant!);
        Assert.Equal(0.35, changed.MassKg - drawn.MassKg, 1e-9);
        Assert.True(changed.Efficiency < drawn.Efficiency);
        Assert.All(changed.Riders, r => Assert.Equal(1, r.Gears.Sum(g => g.TurnsShare), 1e-9));
        Assert.Contains(view.Points, p => p.Kind == "around");
        Assert.All(view.Points.Where(p => p.Kind != "drawn"), p => Assert.Contains("3 gears 0.8 1 1.3", p.Train));
        foreach (var words in new[] { "The gearbox", "Gear 3 (1.3), %", "Shifts per km", "times as drawn", "value=\"0.8 1, 1.3\"", "Mass of the gears and the gearbox, g", "The life of a transmission's own gears" }) Assert.Contains(words, page);
        Assert.DoesNotContain("NaN", page);

        // The address of a design keeps the gearbox in front of which it stands.
        var (again, _) = await Asked(Typed(view.Points.First(p => p.Kind == "changed").Href));
        Assert.Equal(box.Gears, again.Form.Gearbox.Box!.Gears);
        Assert.Equal(box.RotorRadPerS, again.Form.Gearbox.Box.RotorRadPerS, 1e-4);
        Assert.Equal(changed.ShortestLifeM!.Value, again.Variant!.ShortestLifeM!.Value, 1e-6 * changed.ShortestLifeM.Value);
    }

    [Fact]
    public async Task A_gearbox_of_one_to_one_without_loss_leaves_every_life_as_drawn()
    {
        var (view, page) = await Asked(("gears", "1"), ("gear-efficiency", "100"));
        Assert.Equal(view.Drawn!.Elements, view.Variant!.Elements);
        Assert.Equal(view.Drawn.Efficiency, view.Variant.Efficiency);
        Assert.Contains("Changed or as drawn, the first to break is", page);
        // Motor speed that nobody typed: the rider's usual cadence at 1 : 1.
        Assert.Equal(36.179 * 75, double.Parse(view.Form.Gearbox.Rpm, CultureInfo.InvariantCulture), 10.0);
    }

    [Theory]
    [InlineData("gears", "0,8 1", "gearbox, Gear ratios found '0,8', expected numbers from 0.1 to 10, a space between two, such as 0.8 1 1.3. Write a decimal point, not a comma.")]
    [InlineData("gears", "0.8 11", "found '11'")]
    [InlineData("gears", "1 1 1 1 1 1 1 1 1 1 1 1 1 1 1 1 1 1 1 1 1", "found 21 gears, expected at most 20")]
    [InlineData("gear-efficiency", "97 98", "found 2 numbers for 3 gears, expected one for all gears, or one for each")]
    [InlineData("gear-efficiency", "50", "found '50', expected numbers in % above 50 and up to 100")]
    [InlineData("gear-efficiency", "NaN", "found 'NaN'")]
    [InlineData("gear-rpm", "3000 4000", "found '3000 4000', expected one number in rpm from 10 to 28000")]
    [InlineData("gearbox-mass", "-1", "found '-1', expected one number in g from 0 to 20000")]
    public async Task What_no_gearbox_can_have_is_told_and_what_was_typed_stays(string name, string value, string said)
    {
        var (view, page) = await Asked(name == "gears" ? [(name, value)] : [("gears", "0.8 1 1.3"), (name, value)]);
        Assert.Null(view.Answer);
        Assert.Contains(said, System.Text.RegularExpressions.Regex.Replace(page, "<[^>]+>", ""));
        Assert.Contains($"value=\"{value}\"", page);
    }

    [Fact]
    public async Task A_unit_in_the_wheel_has_no_gearbox_behind_it()
    {
        var hub = Plant.First(r => r.Product.Id == "af-85").Product.LoadTest!.Unit with { CrankSide = null };
        Assert.Equal("a gearbox behind a unit that sits in the wheel", Assert.Single(GearboxForm.Read(hub, name => name == "gears" ? "1" : null).Errors).Found);
        Assert.Empty(GearboxForm.Read(hub, _ => null).Errors);

        // Its page does not offer one.
        var (view, page) = await Asked();
        Assert.Contains("Gearbox behind the motor", page);
        var inWheel = view.Product with { LoadTest = view.Product.LoadTest! with { Unit = view.Product.LoadTest.Unit with { CrankSide = null } } };
        Assert.DoesNotContain("Gearbox behind the motor", await Page(view with { Product = inWheel }));
    }

    [Fact]
    public async Task Rides_that_the_plant_keeps_are_taken_in_place_of_the_example_as_many_as_are_asked_for()
    {
        var lengthsM = Keep(5);
        var (all, page) = await Asked();
        Assert.Equal("all 5 rides of this plant", all.RidesShown);
        Assert.Equal(lengthsM.Sum(), all.Answer!.DistanceM, 0.01);
        Assert.Contains("<option value=\"all\" selected>all 5 rides</option>", page);
        Assert.Contains("<option value=\"3\">3 rides, quick</option>", page);
        Assert.All(all.Points, p => Assert.Contains("&rides=all", p.Href));

        // First, last and the one in the middle of when they came.
        var (few, words) = await Asked(("rides", "3"));
        Assert.Equal(lengthsM[0] + lengthsM[2] + lengthsM[4], few.Answer!.DistanceM, 0.01);
        Assert.Contains("On 3 of 5 rides of this plant", words);

        var (wrong, told) = await Asked(("rides", "some"));
        Assert.Null(wrong.Answer);
        Assert.Contains("found 'some', expected a whole number from 1, or all.", told);
    }

    /// <summary>Read as a bare table, a recorder's own speed is not trusted: this recording asked the motor for a fifth less, and the train's life came out a fifth off.</summary>
    [Fact]
    public async Task A_kept_ride_loads_the_train_as_the_recording_that_was_sent()
    {
        var recording = Path.Combine(DataSets.Folder("rides"), "outdoor", "flat.fit");
        Kept.Keep("flat.fit", await File.ReadAllBytesAsync(recording, TestContext.Current.CancellationToken), null);
        var (view, _) = await Asked();
        using var place = new Commands.Folder();
        var study = place.Write("study.yaml", $$"""
            name: the page's riders
            product: af-85
            rides: ["{{recording}}"]
            riders:
              - { name: light rider with little help, riderMassKg: 58, bikeMassKg: 24, assistanceFactor: 0.8 }
              - { name: light rider with much help, riderMassKg: 58, bikeMassKg: 24, assistanceFactor: 3 }
              - { name: heavy rider with little help, riderMassKg: 105, bikeMassKg: 27, assistanceFactor: 0.8 }
              - { name: heavy rider with much help, riderMassKg: 105, bikeMassKg: 27, assistanceFactor: 3 }
            variants: [{ name: wider, stages: [{ stage: 1, faceWidthM: 0.018 }] }]

            """);
        var said = await Commands.Typed.Words("drive", "study", study, "--json");
        var drawn = said.Json.GetProperty("variants")[0];
        Assert.Equal(drawn.GetProperty("riders").EnumerateArray().Select(r => r.GetProperty("rider").GetString()), view.Drawn!.Riders.Select(r => r.Rider));
        Assert.Equal(1, view.Drawn.TrainLifeM!.Value / drawn.GetProperty("trainLifeM").GetDouble(), 0.02);
        Assert.Equal(1, view.Drawn.Efficiency / drawn.GetProperty("efficiency").GetDouble(), 0.001);
    }

    [Fact]
    public void Rides_are_spread_over_all_that_are_kept()
    {
        IReadOnlyList<string> ids = [.. Enumerable.Range(0, 101).Select(i => i.ToString(CultureInfo.InvariantCulture))];
        Assert.Equal(["0", "25", "50", "75", "100"], RideChoice.Spread(ids, 5));
        Assert.Equal(["50"], RideChoice.Spread(ids, 1));
        Assert.Equal(ids, RideChoice.Spread(ids, 1000));
    }

    [Fact]
    public async Task The_page_stands_at_once_on_a_few_rides_and_the_whole_can_be_stopped_and_begun_again()
    {
        Keep(4);
        using var studies = new RoadStudies();
        using var free = new ManualResetEventSlim();
        var token = TestContext.Current.CancellationToken;
        // Another person's long computation goes first.
        await studies.Of("another", 1, (_, _) => { free.Wait(token); return ""; }, TimeSpan.Zero);
        async Task<AskGearTrain.View> Look() => (await AskGearTrain.Run(Plant, Kept, studies, "af-85", _ => null))!;

        var early = await Look();
        Assert.True(early.Study is { AtWork: true, Waits: true, Done: 0, Total: 4 });
        Assert.NotNull(early.Drawn);
        Assert.Empty(early.Points);
        var page = await Page(early);
        foreach (var words in new[] { "On 3 of 4 rides of this plant", "Another computation is worked out first", "Until then the figures rest on 3 rides", $"/road/studies/{early.Study!.Id}/stop" }) Assert.Contains(words, page);

        studies.Stop(early.Study.Id);
        var stopped = await Look();
        Assert.True(stopped.Study!.Stopped);
        Assert.NotNull(stopped.Drawn);
        page = await Page(stopped);
        foreach (var words in new[] { "Stopped after 0 of 4 rides.", $"/road/studies/{early.Study.Id}/again" }) Assert.Contains(words, page);

        free.Set();
        studies.Forget(early.Study.Id);
        AskGearTrain.View whole;
        do whole = await Look();
        while (whole.Study!.AtWork);
        Assert.Null(whole.First);
        Assert.Equal((4, 4), (whole.Study.Done, whole.Study.Total));
        Assert.True(whole.Answer!.DistanceM > early.Answer!.DistanceM);
        Assert.DoesNotContain("/road/studies/", await Page(whole));
    }

    [Fact]
    public async Task A_plant_without_a_life_is_told_so()
    {
        var view = await AskGearTrain.Run([], Kept, Studies, null, _ => null);
        Assert.Null(view);
    }

    /// <summary>Rides that differ in length, sent one after the other; their lengths in m.</summary>
    List<double> Keep(int rides)
    {
        var lines = File.ReadAllLines(Path.Combine(AppContext.BaseDirectory, "demo", "rides", "hill-and-dale.csv"));
        var (store, lengthsM) = (Kept, new List<double>());
        for (var i = 0; i < rides; i++)
        {
            var table = Encoding.UTF8.GetBytes(string.Join('\n', lines.Take(lines.Length / 4 + 40 * i)) + '\n');
            lengthsM.Add(store.Keep($"r{i}.csv", table, null).Ride.DistanceM);
        }

        return lengthsM;
    }

    static (string, string)[] Typed(string href) => [.. QueryHelpers.ParseQuery(href[href.IndexOf('?', StringComparison.Ordinal)..]).Select(q => (q.Key, q.Value.ToString()))];
}
