namespace Roadproof.App.Tests.Commands;

/// <summary>A gear-train study through its door, on the demo's invented ride.</summary>
public sealed class GearStudyCommandTests
{
    const string Study = """
        name: two variants
        product: af-85
        rides: [rides]
        riders:
          - { name: light, riderMassKg: 60, assistanceFactor: 1 }
          - { name: heavy, riderMassKg: 105, assistanceFactor: 3 }
        variants:
          - name: wider
            stages: [{ stage: 1, faceWidthM: 0.018 }]
          - name: direct
            transmission: { rotorRadPerS: 280, gears: [{ ratio: 1, efficiency: 1 }] }
        sweep: { designs: 8, seed: 2, ranges: [{ stage: 1, what: pinion-teeth, from: 11, to: 13 }, { stage: 2, what: face-width-m, from: 0.010, to: 0.016 }] }

        """;

    static async Task<(Folder Place, string File)> Written(string? study = null)
    {
        var place = new Folder();
        Directory.CreateDirectory(place["rides"]);
        File.Copy(Path.Combine(Typed.Definitions, "rides", "hill-and-dale.csv"), Path.Combine(place["rides"], "hills.csv"));
        await File.WriteAllTextAsync(place["study.yaml"], study ?? Study);
        return (place, place["study.yaml"]);
    }

    [Fact]
    public async Task A_study_tells_every_variant_and_the_front()
    {
        var (place, file) = await Written();
        using var _ = place;
        var said = await Typed.Words("drive", "study", file, "--json");
        Assert.Equal((0, ""), (said.Exit, said.Error));
        said.HasFields("name", "product", "distanceM", "variants", "pareto", "sweptDesigns", "leftOut");
        var variants = said.Json.GetProperty("variants").EnumerateArray().ToList();
        Assert.Equal(["as drawn", "wider", "direct"], variants.Take(3).Select(v => v.GetProperty("name").GetString()));
        Assert.Equal(3 + said.Number("sweptDesigns"), variants.Count);
        Assert.Equal(8, said.Number("sweptDesigns") + said.Json.GetProperty("leftOut").EnumerateArray().Sum(l => l.GetProperty("designs").GetInt32()));
        foreach (var v in variants)
        {
            var elements = v.GetProperty("elements").EnumerateArray().ToList();
            var lives = elements.Select(e => e.GetProperty("lifeM").GetDouble()).ToList();
            Assert.Equal(lives.Order(), lives);
            Assert.Equal((v.GetProperty("shortestLifeM").GetDouble(), v.GetProperty("shortestBy").GetString()), (lives[0], elements[0].GetProperty("name").GetString()));
            var interval = elements[0].GetProperty("interval");
            Assert.InRange(lives[0], interval.GetProperty("lowerM").GetDouble(), interval.GetProperty("upperM").GetDouble());
            Assert.Equal(2, v.GetProperty("riders").GetArrayLength());
        }

        // A box of one to one without loss is the train as drawn, in every digit.
        Assert.Equal(variants[0].GetProperty("elements").GetRawText(), variants[2].GetProperty("elements").GetRawText());
        Assert.True(variants[1].GetProperty("trainLifeM").GetDouble() > variants[0].GetProperty("trainLifeM").GetDouble());
        Assert.Equal("heavy", variants[0].GetProperty("worstRider").GetString());
        Assert.True(variants[0].GetProperty("reachesRatedPoint").GetBoolean());
        Assert.Equal([83, 68], variants[0].GetProperty("hunting").EnumerateArray().Select(h => h.GetProperty("turnsToMeetAgain").GetInt32()));
        Assert.Equal(["rotor", "stage-1 mesh", "stage-2 mesh"], variants[0].GetProperty("orders").EnumerateArray().Select(o => o.GetProperty("name").GetString()));
        var front = said.Json.GetProperty("pareto").EnumerateArray().Select(p => p.GetString()).ToList();
        Assert.NotEmpty(front);
        Assert.Subset(variants.Select(v => v.GetProperty("name").GetString()).ToHashSet(), front.ToHashSet());
        Assert.Equal(said.Output, (await Typed.Words("drive", "study", file, "--json")).Output);
    }

    [Fact]
    public async Task A_person_reads_what_breaks_first_for_whom()
    {
        var (place, file) = await Written();
        using var _ = place;
        var said = await Typed.Words("drive", "study", file);
        Assert.Equal(0, said.Exit);
        foreach (var words in new[] { "as drawn", "12:83 m 0.8 b 14 β 20, 13:68 m 1.25 b 14", "heavy", "tooth root", "Sweep: ", "never a permission" }) Assert.Contains(words, said.Output);
    }

    [Fact]
    public async Task Mistakes_are_told_with_their_place_and_nothing_is_computed()
    {
        var (place, file) = await Written(Study.Replace("faceWidthM: 0.018", "faceWidthM: 18", StringComparison.Ordinal).Replace("product: af-85", "product: rotor-85", StringComparison.Ordinal));
        using var _ = place;
        (await Typed.Words("drive", "study", file, "--json")).IsWrong($"{file}:2:10: found 'rotor-85', which has no life in its definition, expected a product with life: ", $"{file}:9:38: found 18, expected faceWidthM as a number in m");
        (await Typed.Words("drive", "study", "/no/such/study.yaml")).IsWrong("/no/such/study.yaml: found no such file, expected a study file (YAML)");
    }

    [Fact]
    public async Task A_file_that_is_no_ride_is_left_out_and_told_and_none_at_all_is_refused()
    {
        var (place, file) = await Written();
        using var _ = place;
        var words = Path.Combine(place["rides"], "words.csv");
        await File.WriteAllTextAsync(words, "seconds,power\n0,100\n1,100\n2,100\n", TestContext.Current.CancellationToken);
        var said = await Typed.Words("drive", "study", file, "--json");
        Assert.Equal(0, said.Exit);
        Assert.Contains("words.csv: found a ride without a way", said.Error);
        Assert.Contains(said.Json.GetProperty("warnings").EnumerateArray(), w => w.GetString() == "1 of 2 files were refused and count for nothing here.");
        File.Delete(Path.Combine(place["rides"], "hills.csv"));
        (await Typed.Words("drive", "study", file)).IsWrong("words.csv: found a ride without a way");
    }
}
