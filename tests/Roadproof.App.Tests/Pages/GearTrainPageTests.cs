using System.Net;
using Roadproof.App.Drive;
using Roadproof.App.Frame;
using Roadproof.App.Tests.Server;
using Roadproof.Records.Definitions;

namespace Roadproof.App.Tests.Pages;

public sealed class GearTrainPageTests
{
    static readonly IReadOnlyList<RouteRevision> Plant = DefinitionFolder.Read(DemoFolder.Files);

    static readonly ComputedTrains Computed = new();

    static async Task<(AskGearTrain.View View, string Text)> Asked(params (string Name, string Value)[] typed)
    {
        var view = await AskGearTrain.Run(Plant, Path.GetTempPath() + "no-such-plant", Computed, "af-85", name => typed.FirstOrDefault(t => t.Name == name).Value, TestContext.Current.CancellationToken);
        return (view!, WebUtility.HtmlDecode(await PageText.Document<Layout, GearTrainSheet>("/gear-train", ("View", view))));
    }

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
        var query = Microsoft.AspNetCore.WebUtilities.QueryHelpers.ParseQuery(point.Href[point.Href.IndexOf('?', StringComparison.Ordinal)..]);
        var (chosen, _) = await Asked([.. query.Select(q => (q.Key, q.Value.ToString()))]);
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
    public async Task Rides_that_the_plant_keeps_are_taken_in_place_of_the_example()
    {
        var folder = Directory.CreateTempSubdirectory("roadproof-rides-");
        try
        {
            var kept = folder.CreateSubdirectory("rides").FullName;
            await File.WriteAllTextAsync(Path.Combine(kept, "journal.csv"), "at,act,ride,person\n", TestContext.Current.CancellationToken);
            for (var i = 0; i < 5; i++)
            {
                File.Copy(Path.Combine(AppContext.BaseDirectory, "demo", "rides", "hill-and-dale.csv"), Path.Combine(kept, $"r{i}.csv"));
                await File.WriteAllTextAsync(Path.Combine(kept, $"r{i}.yaml"), "id: r\n", TestContext.Current.CancellationToken);
            }

            var view = await AskGearTrain.Run(Plant, folder.FullName, Computed, null, _ => null, TestContext.Current.CancellationToken);
            Assert.Equal("3 of 5 rides of this plant; drive study takes all", view!.Rides);
            Assert.Equal(3 * 12_000, view.Answer!.DistanceM, 30.0);
        }
        finally
        {
            folder.Delete(recursive: true);
        }
    }

    [Fact]
    public async Task A_plant_without_a_life_is_told_so()
    {
        var view = await AskGearTrain.Run([], "", Computed, null, _ => null, TestContext.Current.CancellationToken);
        Assert.Null(view);
    }

    [Fact]
    public async Task What_was_computed_is_not_computed_again_unless_it_failed()
    {
        using var computed = new ComputedTrains();
        var (calls, train) = (0, new ComputedTrain(null!, []));
        Assert.Same(await computed.Of("a", () => Count(train)), await computed.Of("a", () => Count(train)));
        Assert.Equal(1, calls);
        await computed.Of("b", () => Count(train));
        Assert.Equal(2, calls);
        await Assert.ThrowsAsync<InvalidOperationException>(() => computed.Of("c", () => throw new InvalidOperationException()));
        Assert.Same(train, await computed.Of("c", () => Count(train)));

        ComputedTrain Count(ComputedTrain made)
        {
            calls++;
            return made;
        }
    }
}
