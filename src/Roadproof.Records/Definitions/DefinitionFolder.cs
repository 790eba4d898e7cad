using Roadproof.Engineering.Quantities;

namespace Roadproof.Records.Definitions;

/// <summary>The folder in which a line engineer writes definitions: plant.yaml, parts.yaml, and for each line one products/*.yaml and one routes/*.yaml.</summary>
public static class DefinitionFolder
{
    const string PlantFileName = "plant.yaml";
    const string PartsFileName = "parts.yaml";

    /// <summary>The definition files of a folder, by name relative to it with forward slashes.</summary>
    /// <exception cref="InputException">The folder is not there.</exception>
    public static IReadOnlyList<(string Name, string Text)> Files(string folder)
    {
        if (!Directory.Exists(folder))
            throw new InputException(new InputError(folder, 0, "", "no such folder", "a folder with plant.yaml, parts.yaml, products/ and routes/"));
        var files =
            from part in new[] { "", "products/", "routes/" }
            let path = Path.Combine(folder, part)
            where Directory.Exists(path)
            from file in Directory.EnumerateFiles(path, "*.y*ml")
            select (Name: part + Path.GetFileName(file), Text: File.ReadAllText(file));
        return [.. files.OrderBy(f => f.Name, StringComparer.Ordinal)];
    }

    /// <summary>Reads and checks definitions.</summary>
    /// <param name="files">Names relative to the folder, with forward slashes, and their texts; other files than definitions are not looked at.</param>
    /// <returns>The drafts, one for each line in the plant's order: number 0, id such as <c>af-85/0</c>.</returns>
    /// <exception cref="InputException">Every mistake there is, each with file, line, column, what was found and what was expected.</exception>
    public static IReadOnlyList<RouteRevision> Read(IEnumerable<(string Name, string Text)> files)
    {
        var findings = new Findings();
        var bound = Bind(files, findings);
        RouteRules.Check(bound, findings);
        foreach (var product in bound.Products)
        {
            if (product.LoadTest is { } plan) LoadTestRules.Check(plan, findings);
            LifeRules.Check(product, findings);
        }

        ReferenceRules.Check(bound, findings);

        return findings.InOrder is { Count: > 0 } errors ? throw new InputException(errors) : bound.Drafts;
    }

    /// <summary>Reads the definitions of one revision that was approved before: a rule that came later does not undo an approval.</summary>
    /// <exception cref="InputException">A file cannot be bound to its type any more.</exception>
    internal static RouteRevision ReadApproved(IEnumerable<(string Name, string Text)> files)
    {
        var findings = new Findings();
        var bound = Bind(files, findings);
        return findings.InOrder is { Count: > 0 } errors ? throw new InputException(errors) : bound.Drafts.Single();
    }

    /// <summary>A file of ours by its name; notes, rides and pictures may lie beside them.</summary>
    internal static bool IsOurs(string name) => name is PlantFileName or PartsFileName
        || (name.EndsWith(".yaml", StringComparison.Ordinal) && name.Split('/') is ["products" or "routes", _]);

    /// <summary>The files that one revision was read from: what all share, and its own product and route.</summary>
    internal static IEnumerable<(string Name, string Text)> Of(RouteRevision draft, IEnumerable<(string Name, string Text)> files)
    {
        var findings = new Findings();
        return files.Where(f => f.Name switch
        {
            PlantFileName or PartsFileName => true,
            _ when f.Name.StartsWith("products/", StringComparison.Ordinal) => One<ProductDefinition>(f, findings).Id == draft.Product.Id,
            _ => One<RouteFile>(f, findings).Product == draft.Product.Id,
        });
    }

    static BoundFiles Bind(IEnumerable<(string Name, string Text)> files, Findings findings)
    {
        var all = files.OrderBy(f => f.Name, StringComparer.Ordinal).ToList();
        var ours = all.Where(f => IsOurs(f.Name)).ToList();
        foreach (var (name, _) in all.Where(f => !IsOurs(f.Name)))
        {
            if (NearestWord.To(name, [PlantFileName, PartsFileName]) is { } nearest)
                findings.Wrong(new(name, 0, 0), $"the file {name}", "plant.yaml, parts.yaml, products/*.yaml or routes/*.yaml", $"Did you mean '{nearest}'?");
        }

        return new(Only<PlantFile>(PlantFileName), Only<PartsFile>(PartsFileName), Each<ProductDefinition>("products/"), Each<RouteFile>("routes/"));

        T Only<T>(string file)
            where T : class
        {
            if (ours.Find(f => f.Name == file) is { Name: not null } there) return One<T>(there, findings);
            findings.Wrong(new(file, 0, 0), "no file", file);
            return new YamlBinder(findings).File<T>(file, null);
        }

        IReadOnlyList<T> Each<T>(string folder)
            where T : class
        {
            var of = ours.FindAll(f => f.Name.StartsWith(folder, StringComparison.Ordinal));
            if (of.Count == 0) findings.Wrong(new(folder, 0, 0), "no file", $"one .yaml file for each line in {folder}");
            return of.ConvertAll(f => One<T>(f, findings));
        }
    }

    static T One<T>((string Name, string Text) file, Findings findings)
        where T : class =>
        new YamlBinder(findings).File<T>(file.Name, YamlTree.Read(file.Name, file.Text, findings));
}

/// <summary>plant.yaml: what all lines share, and the lines.</summary>
public sealed record PlantFile
{
    public required string Name { get; init; }
    public required IReadOnlyList<string> Customers { get; init; }

    /// <inheritdoc cref="PlantDefinition.KeepPassedCaptures"/>
    public required int KeepPassedCaptures { get; init; }

    /// <inheritdoc cref="PlantDefinition.KeepStoppedCaptures"/>
    public required int KeepStoppedCaptures { get; init; }
    public required IReadOnlyList<LineDefinition> Lines { get; init; }

    public PlantDefinition Plant => new() { Name = Name, Customers = Customers, KeepPassedCaptures = KeepPassedCaptures, KeepStoppedCaptures = KeepStoppedCaptures };
}

/// <summary>parts.yaml: a list of parts.</summary>
public sealed record PartsFile
{
    public required IReadOnlyList<PartDefinition> Parts { get; init; }
}

/// <summary>routes/*.yaml: whose route it is, and its steps.</summary>
public sealed record RouteFile
{
    public required string Product { get; init; }
    public required IReadOnlyList<RouteStep> Steps { get; init; }
}

/// <summary>All files of a folder, bound and not yet held against each other.</summary>
sealed record BoundFiles(PlantFile Plant, PartsFile Parts, IReadOnlyList<ProductDefinition> Products, IReadOnlyList<RouteFile> Routes)
{
    /// <summary>Every part that goes into a product, of any variant.</summary>
    public IEnumerable<string> PartsOf(string product) =>
        Routes.Where(r => r.Product == product).SelectMany(r => r.Steps).SelectMany(s => s.Parts).Select(p => p.Part)
            .Concat(Products.Where(p => p.Id == product).SelectMany(p => p.Variants).SelectMany(v => v.Parts).Select(p => p.Take));

    /// <summary>What has a line, a product and a route, in the order of the lines.</summary>
    public IReadOnlyList<RouteRevision> Drafts =>
    [
        .. from line in Plant.Lines
           let product = Products.FirstOrDefault(p => p.Id == line.Product)
           let route = Routes.FirstOrDefault(r => r.Product == line.Product)
           where product is not null && route is not null
           select new RouteRevision { Id = $"{product.Id}/0", Number = 0, Plant = Plant.Plant, Line = line, Product = product, Steps = route.Steps, Parts = Parts.Parts },
    ];
}
