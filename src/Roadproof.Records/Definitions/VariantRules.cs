namespace Roadproof.Records.Definitions;

/// <summary>What must hold between a product's variants and its route: what a step asks of the variant every variant answers, and what a variant says some step asks.</summary>
static class VariantRules
{
    public static void Check(BoundFiles files, Findings findings)
    {
        foreach (var product in files.Products)
        {
            foreach (var variant in product.Variants) RouteRules.CheckId(variant, nameof(variant.Id), variant.Id, findings);
            RouteRules.CheckDistinct(product.Variants, nameof(ProductVariant.Id), v => v.Id, "a variant", findings);
            if (files.Routes.FirstOrDefault(r => r.Product == product.Id) is not { } route || !findings.Sound(route, nameof(route.Steps)) || !findings.Sound(product, nameof(product.Variants))) continue;
            CheckReadings(product, route, findings);
            CheckParts(product, route, files.Parts.Parts, findings);
            foreach (var variant in product.Variants) CheckTaken(variant, route, files, findings);
        }
    }

    static void CheckReadings(ProductDefinition product, RouteFile route, Findings findings)
    {
        var asking = route.Steps.SelectMany(s => s.Readings).Where(r => r.OfVariant is not null && findings.Sound(r, nameof(r.OfVariant))).ToList();
        foreach (var reading in asking)
        {
            var word = Word(reading.OfVariant!.Value);
            if (product.Variants.Count == 0)
                findings.Wrong(reading, nameof(reading.OfVariant), $"'{word}' of the variant, and '{product.Id}' has no variants", "variants in the product's file");
            else if (!reading.Text && findings.Sound(reading, nameof(reading.Text)))
                findings.Wrong(reading, nameof(reading.OfVariant), $"'{word}' for a number", "ofVariant with text: true only");
            else if (reading.Equal is not null)
                findings.Wrong(reading, nameof(reading.Equal), $"'{reading.Equal}' beside ofVariant", "one of the two: a text for all, or the variant's own");
        }

        foreach (var variant in product.Variants)
        {
            foreach (var text in Enum.GetValues<VariantText>())
            {
                var property = text.ToString();
                var asked = asking.Find(r => r.OfVariant == text);
                if (asked is not null && variant.TextOf(text) is null && findings.Sound(variant, property))
                    findings.Wrong(variant, "", $"no key '{Word(text)}' in variant '{variant.Id}'", $"the key '{Word(text)}', because reading '{asked.Id}' asks for it");

                // A label is also shown to whoever packs; a region that nothing is compared with would only look safe.
                if (asked is null && text != VariantText.Label && variant.TextOf(text) is { } unasked && route.Steps.SelectMany(s => s.Readings).All(r => findings.Sound(r, nameof(r.OfVariant))))
                    findings.Wrong(variant, property, $"'{unasked}', which no reading is compared with", $"a text reading with ofVariant: {Word(text)} in the route");
            }
        }
    }

    static void CheckParts(ProductDefinition product, RouteFile route, IReadOnlyList<PartDefinition> parts, Findings findings)
    {
        foreach (var put in route.Steps.SelectMany(s => s.Parts).Where(p => p.OfVariant))
        {
            var what = parts.Any(p => p.Id == put.Part && p.Shell) ? "a shell" : put.Part.EndsWith(ScrewGroup.ScrewPart, StringComparison.Ordinal) ? "the screws of a group" : null;
            if (what is not null)
                findings.Wrong(put, nameof(put.OfVariant), $"{what} of the variant", "a part that is one piece in a unit and not its shell");
            else if (product.Variants.All(v => v.Takes(put.Part) == put.Part && v.Parts.All(p => findings.Sound(p, nameof(p.Part), nameof(p.Take)))) && !Misnamed(product, route))
                findings.Wrong(put, nameof(put.OfVariant), $"'{put.Part}' of the variant, and no variant takes another one", $"a variant of '{product.Id}' that takes another part in its place");
        }
    }

    // A variant that names no part of the route was most likely meant for the one that is left over: one mistake.
    static bool Misnamed(ProductDefinition product, RouteFile route) => product.Variants.SelectMany(v => v.Parts).Any(p => !Asked(route).Contains(p.Part));

    static void CheckTaken(ProductVariant variant, RouteFile route, BoundFiles files, Findings findings)
    {
        RouteRules.CheckDistinct(variant.Parts, nameof(VariantPart.Part), p => p.Part, "a part of the variant", findings);
        var (asked, parts) = (Asked(route), files.Parts.Parts);
        var partsKnown = parts.Count > 0 && parts.All(p => findings.Sound(p, nameof(p.Id)));
        foreach (var taken in variant.Parts)
        {
            if (!asked.Contains(taken.Part))
            {
                var there = route.Steps.SelectMany(s => s.Parts).Any(p => p.Part == taken.Part);
                findings.Wrong(taken, nameof(taken.Part), $"'{taken.Part}'", "a part that the route asks of the variant", there ? "Write ofVariant: true at the part of the step." : NearestWord.Hint(taken.Part, asked));
            }

            if (parts.FirstOrDefault(p => p.Id == taken.Take) is not { } part)
            {
                if (partsKnown) findings.Wrong(taken, nameof(taken.Take), $"'{taken.Take}'", "a part from parts.yaml", NearestWord.Hint(taken.Take, parts.Select(p => p.Id).ToList()));
                continue;
            }

            if (part.Shell || part.Id.EndsWith(ScrewGroup.ScrewPart, StringComparison.Ordinal))
                findings.Wrong(taken, nameof(taken.Take), $"'{taken.Take}'", "a part that is one piece in a unit and not its shell");
            foreach (var step in route.Steps.Where(s => s.Parts.Any(p => p.OfVariant && p.Part == taken.Part)))
            {
                if (step.Parts.Any(p => p.Part == taken.Take))
                    findings.Wrong(taken, nameof(taken.Take), $"'{taken.Take}', which step '{step.Id}' takes already", "another part", taken.Take == taken.Part ? "Leave it out: the variant takes the route's own part." : null);
                if (part.Product is not null && step.Parts.Any(p => p.Part == taken.Part && p.OneLot))
                    findings.Wrong(taken, nameof(taken.Take), $"'{taken.Take}', of which each is known by its own code, for a part with oneLot", "a part that comes in lots");
                var line = files.Plant.Lines.FirstOrDefault(l => l.Product == route.Product);
                TradeRules.CheckZone(taken, nameof(taken.Take), part, step, line?.Stations.Where(s => s.Step == step.Id) ?? [], findings);
            }
        }
    }

    static List<string> Asked(RouteFile route) => [.. route.Steps.SelectMany(s => s.Parts).Where(p => p.OfVariant).Select(p => p.Part)];

    static string Word(VariantText text) => DefinitionKeys.Words(typeof(VariantText))[(int)text];
}
