using Roadproof.Engineering.Quantities;
using Roadproof.Records.Definitions;

namespace Roadproof.Records.Tests.Definitions;

/// <summary>A study file is read like a definition: whole, or with every mistake and its place.</summary>
public sealed class GearStudyTests
{
    const string Sound = """
        name: Wider
        product: af-85
        rides: [ride.csv]
        riders:
          - { name: one, riderMassKg: 80 }
        variants:
          - name: wider
            stages: [{ stage: 1, faceWidthM: 0.018 }]
        """;

    static readonly IReadOnlyList<RouteRevision> Plant = DefinitionFolder.Read(DemoFolder.Files);

    static GearStudy Read(string text) => GearStudy.Read("study.yaml", text, Plant);

    static IReadOnlyList<string> Wrong(string text) => [.. Assert.Throws<InputException>(() => Read(text)).Errors.Select(e => e.ToString())];

    static string Ended(string sentence) => sentence.EndsWith('.') || sentence.EndsWith('?') ? sentence : sentence + ".";

    static string With(string from, string to)
    {
        Assert.Equal(2, Sound.Split(from).Length);
        return Sound.Replace(from, to, StringComparison.Ordinal);
    }

    [Fact]
    public void A_study_holds_the_train_as_drawn_first_and_its_variants_behind()
    {
        var study = Read(Sound);
        Assert.Equal(["as drawn", "wider"], study.Trains.Select(t => t.Name));
        Assert.Equal((0.014, 0.018), (study.Trains[0].Unit.Gears[0].FaceWidthM, study.Trains[1].Unit.Gears[0].FaceWidthM));
        Assert.Equal((80, 25, 1.5), (study.File.Riders[0].AsRider.RiderMassKg, study.File.Riders[0].AsRider.BikeMassKg, study.File.Riders[0].AsRider.AssistanceFactor));
        Assert.Null(study.Swept);
    }

    [Fact]
    public void The_demo_s_study_is_sound()
    {
        var study = GearStudy.Read("af-85-train.yaml", Checkout.Read("demo/studies/af-85-train.yaml"), DefinitionFolder.Read(DemoFolder.Whole));
        Assert.Equal(8, study.Trains.Count);
        Assert.NotEmpty(study.Swept!.Possible);
    }

    [Theory]
    [InlineData("faceWidthM: 0.018", "faceWidthMm: 18", "study.yaml:8:26: found the key 'faceWidthMm', expected a key of an item of stages. Did you mean 'faceWidthM'?")]
    [InlineData("faceWidthM: 0.018", "faceWidthM: 18", "study.yaml:8:38: found 18, expected faceWidthM as a number in m above 0 to 0.2. It stands in m.")]
    [InlineData("stage: 1", "stage: 3", "study.yaml:8:23: found 3, expected a stage from 1 at the rotor to 2 at the output")]
    [InlineData("stages: [{ stage: 1, faceWidthM: 0.018 }]", "stages: []", "study.yaml:8:13: found a variant that changes nothing, expected stages, a transmission, or both")]
    [InlineData("faceWidthM: 0.018", "wheelMaterial: polyamid-66", "study.yaml:8:41: found material 'polyamid-66', expected one of the product's materials: case-hardened, polyamide-fibre, polyamide-66. Did you mean 'polyamide-66'?")]
    [InlineData("faceWidthM: 0.018", "pinionTeeth: 7, pinionShift: 0", "study.yaml:8:13: found stage 1: pinion undercut, more profile shift or teeth are needed, expected a train that can be cut and put together")]
    [InlineData("faceWidthM: 0.018", "pinionShift: 1", "study.yaml:8:13: found teeth that cannot be, expected teeth with a root and a tip. No tooth: 14.2 teeth with a profile shift of 1 modules are pointed.")]
    [InlineData("faceWidthM: 0.018", "planetTeeth: 20", "study.yaml:8:39: found planetTeeth of a plain pair, expected planetTeeth only at a stage with planets")]
    [InlineData("product: af-85", "product: af-84", "study.yaml:2:10: found 'af-84', expected a product with life: af-85. Did you mean 'af-85'?")]
    [InlineData("rides: [ride.csv]", "rides: []", "study.yaml:3:8: found no ride, expected one ride file or folder at least")]
    [InlineData("riderMassKg: 80", "riderMassKg: -80", "study.yaml:5:31: found -80, expected riderMassKg as a number in kg above 0 to 300. It stands in kg.")]
    [InlineData("name: wider", "name: as drawn", "study.yaml:7:11: found 'as drawn', expected another name. The product itself is told under this one, without being named.")]
    public void A_mistake_is_told_with_its_place(string from, string to, string sentence) => Assert.Contains(Ended(sentence), Wrong(With(from, to)));

    [Fact]
    public void All_mistakes_are_told_at_once_and_a_missing_key_with_what_it_is_for()
    {
        var wrong = Wrong(Sound.Replace("product: af-85\n", "").Replace("riderMassKg: 80", "riderMassKg: heavy", StringComparison.Ordinal));
        Assert.Equal(["study.yaml:1:1: found no key 'product', expected the key 'product' in the study.", "study.yaml:4:31: found 'heavy', expected riderMassKg as a number in kg above 0 to 300."], wrong);
    }

    [Theory]
    [InlineData("kind: full, ranges: [{ stage: 1, what: face-width-m, from: 0.02, to: 0.01 }]", "found from 0.02 to 0.01, expected from below to. The two may have been swapped.")]
    [InlineData("ranges: [{ stage: 1, what: face-width-mm, from: 10, to: 20 }]", "found 'face-width-mm', expected one of pinion-teeth, wheel-teeth, ratio, normal-module-m, face-width-m, helix-deg, pinion-shift, wheel-shift for what. Did you mean 'face-width-m'?")]
    [InlineData("ranges: [{ stage: 1, what: face-width-m, from: 10, to: 20 }]", "found from 10 to 20, expected a range within 0.001 and 0.2 m")]
    [InlineData("ranges: [{ stage: 1, what: ratio, from: 5, to: 8 }, { stage: 1, what: wheel-teeth, from: 70, to: 90 }]", "found a second range for the same teeth or size of the stage, expected one range for each")]
    [InlineData("kind: full, ranges: [{ stage: 1, what: face-width-m, from: 0.01, to: 0.02, steps: 90 }, { stage: 2, what: face-width-m, from: 0.01, to: 0.02, steps: 90 }]", "found 8100 designs, expected at most 2000. Take fewer steps, or kind: latin-hypercube.")]
    public void A_sweep_s_mistake_is_told(string sweep, string sentence) => Assert.Contains(Wrong($"{Sound}\nsweep: {{ {sweep} }}\n"), e => e.EndsWith(Ended(sentence), StringComparison.Ordinal));

    [Fact]
    public void A_transmission_needs_gears_and_a_unit_at_the_crank()
    {
        Assert.Contains(Wrong(With("stages: [{ stage: 1, faceWidthM: 0.018 }]", "transmission: { rotorRadPerS: 300, gears: [] }")), e => e.Contains("found no gear"));
        Assert.Single(Read(With("stages: [{ stage: 1, faceWidthM: 0.018 }]", "transmission: { rotorRadPerS: 300, gears: [{ ratio: 1, efficiency: 0.98 }] }")).Trains[1].Transmission!.Gears);
    }
}
