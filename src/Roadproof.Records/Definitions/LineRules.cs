namespace Roadproof.Records.Definitions;

/// <summary>What must hold between the lines of a plant, what they build and what goes into what.</summary>
static class LineRules
{
    public static void Check(BoundFiles files, Findings findings)
    {
        var (lines, products) = (files.Plant.Lines, files.Products);
        if (lines.Count == 0) findings.Wrong(files.Plant, nameof(PlantFile.Lines), "no line", "at least one line");
        RouteRules.CheckDistinct(lines, nameof(LineDefinition.Id), l => l.Id, "a line", findings);
        RouteRules.CheckDistinct(lines, nameof(LineDefinition.Product), l => l.Product, "a product", findings);
        RouteRules.CheckDistinct(lines.SelectMany(l => l.Stations), nameof(StationDefinition.Id), s => s.Id, "a station", findings);
        RouteRules.CheckDistinct(products, nameof(ProductDefinition.Id), p => p.Id, "a product", findings);
        RouteRules.CheckDistinct(files.Routes, nameof(RouteFile.Product), r => r.Product, "a route of a product", findings);
        CheckNames(files, findings);
        foreach (var line in lines) CheckPrefix(line, lines, files.Routes.FirstOrDefault(r => r.Product == line.Product), findings);
        foreach (var product in products) CheckProduct(product, files, findings);
        CheckBuiltParts(files, findings);
    }

    // A name that is wrong on one side leaves one over on the other: one mistake, told where a name points to nothing.
    static void CheckNames(BoundFiles files, Findings findings)
    {
        var productsKnown = files.Products.Count > 0 && files.Products.All(p => findings.Sound(p, nameof(p.Id)));
        if (!productsKnown || !findings.Sound(files.Plant, nameof(PlantFile.Lines))) return;
        var products = files.Products.Select(p => p.Id).ToList();
        var astray = 0;
        foreach (var line in files.Plant.Lines.Where(l => !products.Contains(l.Product)))
        {
            astray++;
            findings.Wrong(line, nameof(line.Product), $"'{line.Product}'", "a product from products/", NearestWord.Hint(line.Product, products));
        }

        foreach (var route in files.Routes.Where(r => !products.Contains(r.Product)))
        {
            astray++;
            findings.Wrong(route, nameof(route.Product), $"'{route.Product}'", "a product from products/", NearestWord.Hint(route.Product, products));
        }

        if (astray > 0 || files.Routes.Count == 0) return;
        foreach (var product in files.Products)
        {
            if (files.Plant.Lines.All(l => l.Product != product.Id))
                findings.Wrong(product, nameof(product.Id), $"product '{product.Id}' without a line", "a line in plant.yaml that builds it");
            if (files.Routes.All(r => r.Product != product.Id))
                findings.Wrong(product, nameof(product.Id), $"product '{product.Id}' without a route", "a file in routes/ for it");
        }
    }

    static void CheckPrefix(LineDefinition line, IReadOnlyList<LineDefinition> lines, RouteFile? route, Findings findings)
    {
        var prefix = line.SerialPrefix;
        if (!findings.Sound(line, nameof(line.SerialPrefix)) || (route is not null && !findings.Sound(route, nameof(route.Steps)))) return;
        var marks = route?.Steps.Any(s => s.Kind == StepKind.Mark);
        if (prefix.Length == 0)
        {
            if (marks == true) findings.Wrong(line, "", "no key 'serialPrefix'", $"serialPrefix, because '{line.Product}' is marked");
        }
        else if (prefix.Length is < 2 or > 6 || !prefix.All(c => char.IsAsciiLetterUpper(c) || char.IsAsciiDigit(c)))
        {
            findings.Wrong(line, nameof(line.SerialPrefix), $"'{prefix}'", "two to six capital letters or digits");
        }
        else if (prefix.IndexOfAny(['I', 'O', 'Q']) is var at and >= 0)
        {
            findings.Wrong(line, nameof(line.SerialPrefix), $"'{prefix}' with the letter {prefix[at]}", "a serial prefix without I, O and Q", "They are misread as 1 and 0 on a part.");
        }
        else if (marks == false)
        {
            findings.Wrong(line, nameof(line.SerialPrefix), $"'{prefix}', and no step of kind mark in the route of '{line.Product}'", "a serial prefix only where units are marked");
        }
        else if (lines.TakeWhile(l => !ReferenceEquals(l, line)).FirstOrDefault(l => l.SerialPrefix == prefix) is { } first)
        {
            findings.Wrong(line, nameof(line.SerialPrefix), $"'{prefix}', which line '{first.Id}' has", "a serial prefix of its own");
        }
    }

    static void CheckProduct(ProductDefinition product, BoundFiles files, Findings findings)
    {
        if (files.Routes.FirstOrDefault(r => r.Product == product.Id) is not { Steps: [var first, ..] steps } route) return;
        if (!findings.Sound(route, nameof(route.Steps)) || !steps.All(s => findings.Sound(s, nameof(s.Kind))) || !findings.Sound(product, nameof(product.LoadTest))) return;

        if (product.LoadTest is null && steps.FirstOrDefault(s => s.Kind == StepKind.LoadTest) is { } tested)
            findings.Wrong(product, "", "no key 'loadTest'", $"loadTest, because step '{tested.Id}' of the route is one");
        if (product.LoadTest is not null && steps.All(s => s.Kind != StepKind.LoadTest))
            findings.Wrong(first, "", "no step of kind load-test in the route", $"one step of kind load-test, because '{product.Id}' has a loadTest");

        // What leaves the plant under its own name has been judged, labelled, marked and packed.
        if (product.LoadTest is not null || steps.Any(s => s.Kind == StepKind.Pack))
        {
            foreach (var kind in new[] { StepKind.Label, StepKind.Mark, StepKind.Pack }.Where(k => steps.All(s => s.Kind != k)))
                findings.Wrong(first, "", $"no step of kind {RouteRules.Word(kind)} in the route", $"one step of kind {RouteRules.Word(kind)}");
        }
        else if (files.Parts.Parts.All(p => p.Product != product.Id) && files.Parts.Parts.All(p => findings.Sound(p, nameof(p.Product))))
        {
            findings.Wrong(product, nameof(product.Id), $"'{product.Id}', which is neither packed nor put into anything", "a pack step in its route, or a part with product: " + product.Id);
        }
    }

    static void CheckBuiltParts(BoundFiles files, Findings findings)
    {
        var products = files.Products.Select(p => p.Id).ToList();
        foreach (var part in files.Parts.Parts)
        {
            if (part.Product is not { } built) continue;
            if (!products.Contains(built) && files.Products.All(p => findings.Sound(p, nameof(p.Id))))
                findings.Wrong(part, nameof(part.Product), $"'{built}'", "a product from products/", NearestWord.Hint(built, products));
            else if (!part.Serialised && findings.Sound(part, nameof(part.Serialised)))
                findings.Wrong(part, nameof(part.Product), $"'{built}' for a part without a number of its own", "serialised: true beside product", "Each one is known by the code it was built under.");
            else if (part.Shell && findings.Sound(part, nameof(part.Shell)))
                findings.Wrong(part, nameof(part.Product), $"'{built}' for a shell", "a shell that is bought", "A unit that starts as another unit goes on under that unit's route.");
        }

        foreach (var route in files.Routes)
        {
            foreach (var put in route.Steps.SelectMany(s => s.Parts)) CheckWayBack(put, nameof(put.Part), route.Product, put.Part);
            foreach (var put in files.Products.Where(p => p.Id == route.Product).SelectMany(p => p.Variants).SelectMany(v => v.Parts)) CheckWayBack(put, nameof(put.Take), route.Product, put.Take);
        }

        void CheckWayBack(object put, string property, string product, string part)
        {
            if (WayBack(files, product, part) is { } way)
                findings.Wrong(put, property, $"'{part}' in '{product}', which goes into itself: {string.Join(" in ", way)}", "parts that come from products further up");
        }
    }

    /// <summary>How a product comes to be inside itself by way of a part; null where it does not.</summary>
    static List<string>? WayBack(BoundFiles files, string product, string part)
    {
        var waiting = new Queue<List<string>>();
        var seen = new HashSet<string>(StringComparer.Ordinal);
        Add(part, [product]);
        while (waiting.TryDequeue(out var way))
        {
            if (way[^1] == product) return way;
            if (!seen.Add(way[^1])) continue;
            foreach (var inner in files.PartsOf(way[^1])) Add(inner, way);
        }

        return null;

        void Add(string of, List<string> way)
        {
            if (files.Parts.Parts.FirstOrDefault(p => p.Id == of)?.Product is { } built) waiting.Enqueue([.. way, built]);
        }
    }
}
