using System.Globalization;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Definitions;

namespace Roadproof.Records.Tests.Definitions;

/// <summary>Variants of a product and what a route asks of them: how they read, and one slip of the hand each.</summary>
public sealed class VariantRulesTests
{
    const string Parts = OrderFolder.Parts, Product = OrderFolder.Product, Route = OrderFolder.Route;

    /// <summary>‸ stands where the error must point.</summary>
    public static TheoryData<string, string, string, string> Slips => new()
    {
        { Product, "id: us-20", "id: ‸US 20", "found 'US 20', expected an id of small letters, digits and hyphens, at most 40 long." },
        { Product, "id: us-20", "id: ‸eu-25", "found 'eu-25' a second time, expected a variant once only." },
        { Product, "    region: US-20\n", "    ‸regoin: US-20\n", "found the key 'regoin', expected a key of an item of variants. Did you mean 'region'?" },
        { Product, "  - { id: eu-25, name: \"EU, 25 km/h\", region: EU-25,", "  - ‸{ id: eu-25, name: \"EU, 25 km/h\",", "found no key 'region' in variant 'eu-25', expected the key 'region', because reading 'region' asks for it." },
        { Product, "  - id: us-20\n    name: US, 20 mph\n    region: US-20\n    firmware: 91b04cde77a1f208\n    label: AF-85 US\n", "  - ‸id: us-20\n    name: US, 20 mph\n    region: US-20\n    firmware: 91b04cde77a1f208\n", "found no key 'label' in variant 'us-20', expected the key 'label', because reading 'label-read' asks for it." },
        { Product, "firmware: 91b04cde77a1f208\n", "firmware: 91b04cde77a1f208\n    parameters: ‸5d11\n", "found '5d11', which no reading is compared with, expected a text reading with ofVariant: parameters in the route." },
        { Product, "part: gear-set, take: gear-set-339", "part: ‸gear-sett, take: gear-set-339", "found 'gear-sett', expected a part that the route asks of the variant. Did you mean 'gear-set'?" },
        { Product, "part: gear-set, take: gear-set-339", "part: ‸clutch, take: gear-set-339", "found 'clutch', expected a part that the route asks of the variant. Write ofVariant: true at the part of the step." },
        { Product, "part: gear-set, take: gear-set-339", "part: gear-set, take: ‸gear-set-393", "found 'gear-set-393', expected a part from parts.yaml. Did you mean 'gear-set-339'?" },
        { Product, "part: gear-set, take: gear-set-339", "part: gear-set, take: ‸clutch", "found 'clutch', which step 'gears-in' takes already, expected another part." },
        { Product, "part: gear-set, take: gear-set-339", "part: gear-set, take: ‸shell", "found 'shell', expected a part that is one piece in a unit and not its shell." },
        { Product, "part: label, take: label-us", "part: ‸gear-set, take: label-us", "found 'gear-set' a second time, expected a part of the variant once only." },
        { Route, "ofVariant: region", "ofVariant: ‸regoin", "found 'regoin', expected one of region, firmware, parameters, label for ofVariant. Did you mean 'region'?" },
        { Route, "ofVariant: region", "equal: ‸EU-25, ofVariant: region", "found 'EU-25' beside ofVariant, expected one of the two: a text for all, or the variant's own." },
        { Route, "name: Label read back, text: true, ofVariant: label", "name: Label read back, ofVariant: ‸label", "found 'label' for a number, expected ofVariant with text: true only." },
        { Route, "part: clutch, say: Scan the clutch tray", "part: clutch, say: Scan the clutch tray, ofVariant: ‸true", "found 'clutch' of the variant, and no variant takes another one, expected a variant of 'af-85' that takes another part in its place." },
        { Route, "part: shell, say: Scan the shell,", "part: shell, say: Scan the shell, ofVariant: ‸true,", "found a shell of the variant, expected a part that is one piece in a unit and not its shell." },
        { Route, "part: cover-screw, say: Scan the screw tray", "part: cover-screw, say: Scan the screw tray, ofVariant: ‸true", "found the screws of a group of the variant, expected a part that is one piece in a unit and not its shell." },
    };

    [Theory]
    [MemberData(nameof(Slips))]
    public void Points_at_one_slip_and_says_what_belongs_there(string file, string from, string to, string sentence)
    {
        // A doubled part leaves the other one without: two mistakes of which the first is the slip.
        var errors = Errors(OrderFolder.With((file, from, to.Replace("‸", "", StringComparison.Ordinal))));
        var error = Assert.Single(errors, e => e.ToString().EndsWith(": " + sentence, StringComparison.Ordinal));
        var before = OrderFolder.With((file, from, to)).Single(f => f.Name == file).Text.Split('‸')[0];
        Assert.Equal((file, before.Count(c => c == '\n') + 1, before.Length - before.LastIndexOf('\n')), (error.Source, error.Line, int.Parse(error.Column, CultureInfo.InvariantCulture)));
    }

    [Fact]
    public void A_part_that_only_a_variant_takes_keeps_the_rules_of_its_zone_and_never_leads_back_into_the_product()
    {
        var zone = Assert.Single(Errors(OrderFolder.With((Parts, "name: Quality label, variant: US", "name: Quality label, variant: US, zone: clean"))));
        Assert.EndsWith("found 'label-us' of zone 'clean' at st120, which is in none, expected stations in zone 'clean' for step 'label'.", zone.ToString());
        var back = Errors(OrderFolder.With((Parts, "id: label-us, name: Quality label,", "id: label-us, name: Quality label, serialised: true, product: af-85,")));
        Assert.Contains(back, e => e.ToString().Contains("'label-us' in 'af-85', which goes into itself", StringComparison.Ordinal));
    }

    [Fact]
    public void A_product_whose_route_asks_of_variants_has_some()
    {
        var files = DemoFolder.With((Route, "equal: EU-25", "ofVariant: region"), (Route, "part: clutch, say: Scan the clutch tray", "part: clutch, say: Scan the clutch tray, ofVariant: true"));
        Assert.Equal(
            ["found 'region' of the variant, and 'af-85' has no variants, expected variants in the product's file.", "found 'clutch' of the variant, and no variant takes another one, expected a variant of 'af-85' that takes another part in its place."],
            Errors(files).Select(e => e.ToString()[(e.ToString().IndexOf(": ", StringComparison.Ordinal) + 2)..]));
    }

    [Fact]
    public void The_route_of_a_variant_has_its_own_parts_and_texts_and_a_product_without_variants_is_as_before()
    {
        var revision = Assert.Single(DefinitionFolder.Read(OrderFolder.Files));
        var us = revision.For(revision.VariantOf("us-20"));
        Assert.Equal(["gear-set-339", "clutch", "grease"], us.StepOf("gears-in")!.Parts.Select(p => p.Part));
        Assert.Equal(["91b04cde77a1f208", "US-20"], us.StepOf("firmware")!.Readings.Select(r => r.Equal).OfType<string>());
        Assert.Equal("gear-set", revision.For(revision.VariantOf("eu-25")).StepOf("gears-in")!.Parts[0].Part);
        string[] differing = ["firmware", "gears-in", "label"];
        Assert.Equal(differing, revision.Steps.Where(s => revision.Differs(s.Id, "eu-25", "us-20")).Select(s => s.Id));
        Assert.DoesNotContain(revision.Steps, s => revision.Differs(s.Id, "eu-25", "eu-25"));
        // A variant that is no more is another one.
        Assert.Equal(differing, revision.Steps.Where(s => revision.Differs(s.Id, "eu-25", "gone")).Select(s => s.Id));

        var plain = DemoFolder.Read(DemoFolder.Files);
        Assert.Empty(plain.Product.Variants);
        Assert.Same(plain, plain.For(null));
    }

    [Fact]
    public void A_changed_region_is_told_among_the_safety_functions_and_another_part_among_the_interlocks()
    {
        var before = Assert.Single(DefinitionFolder.Read(OrderFolder.Files));
        var after = Assert.Single(DefinitionFolder.Read(OrderFolder.With((Product, "region: US-20", "region: US-28"), (Product, "    label: AF-85 US\n", "    label: AF-85 USA\n"))));
        Assert.Equal(
            [("product.variants[us-20].region", ChangeKind.Safety), ("product.variants[us-20].label", ChangeKind.Interlock)],
            RevisionComparison.Of(before, after).Select(c => (c.Path, c.Kind)));
    }

    static IReadOnlyList<InputError> Errors(IEnumerable<(string Name, string Text)> files) => Assert.Throws<InputException>(() => DefinitionFolder.Read(files)).Errors;
}
