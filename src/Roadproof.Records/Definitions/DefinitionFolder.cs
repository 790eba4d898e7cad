using Roadproof.Engineering.Quantities;

namespace Roadproof.Records.Definitions;

/// <summary>The folder in which a line engineer writes definitions: plant.yaml, parts.yaml, one products/*.yaml and one routes/*.yaml.</summary>
public static class DefinitionFolder
{
    const string PlantFile = "plant.yaml";
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
    /// <returns>The draft: number 0, id such as <c>af-85/0</c>.</returns>
    /// <exception cref="InputException">Every mistake there is, each with file, line, column, what was found and what was expected.</exception>
    public static RouteRevision Read(IEnumerable<(string Name, string Text)> files)
    {
        var findings = new Findings();
        var draft = Bind(files, findings);
        RouteRules.Check(draft, findings);
        LoadTestRules.Check(draft.Product.LoadTest, findings);
        return findings.InOrder is { Count: > 0 } errors ? throw new InputException(errors) : draft;
    }

    /// <summary>Reads definitions that were approved before: a rule that came later does not undo an approval.</summary>
    /// <exception cref="InputException">A file cannot be bound to its type any more.</exception>
    internal static RouteRevision ReadApproved(IEnumerable<(string Name, string Text)> files)
    {
        var findings = new Findings();
        var revision = Bind(files, findings);
        return findings.InOrder is { Count: > 0 } errors ? throw new InputException(errors) : revision;
    }

    /// <summary>A file of ours by its name; notes, rides and pictures may lie beside them.</summary>
    internal static bool IsOurs(string name) => name is PlantFile or PartsFileName
        || (name.EndsWith(".yaml", StringComparison.Ordinal) && name.Split('/') is ["products" or "routes", _]);

    static RouteRevision Bind(IEnumerable<(string Name, string Text)> files, Findings findings)
    {
        var all = files.OrderBy(f => f.Name, StringComparer.Ordinal).ToList();
        var ours = all.Where(f => IsOurs(f.Name)).ToList();
        foreach (var (name, _) in all.Where(f => !IsOurs(f.Name)))
        {
            if (NearestWord.To(name, [PlantFile, PartsFileName]) is { } nearest)
                findings.Wrong(new(name, 0, 0), $"the file {name}", "plant.yaml, parts.yaml, products/*.yaml or routes/*.yaml", $"Did you mean '{nearest}'?");
        }

        var binder = new YamlBinder(findings);
        var plant = One<PlantDefinition>(PlantFile);
        var parts = One<PartsFile>(PartsFileName);
        var product = One<ProductDefinition>("products/");
        var route = One<RouteFile>("routes/");

        RouteRules.CheckId(product, nameof(product.Id), product.Id, findings);
        if (route.Product != product.Id && findings.Sound(product, nameof(product.Id)))
            findings.Wrong(route, nameof(route.Product), $"'{route.Product}'", "the product of the folder", NearestWord.Hint(route.Product, [product.Id]));

        var draft = new RouteRevision { Id = $"{product.Id}/0", Number = 0, Plant = plant, Product = product, Steps = route.Steps, Parts = parts.Parts };
        if (!findings.Sound(route, nameof(route.Steps))) findings.Break(draft, nameof(draft.Steps));
        return draft;

        T One<T>(string where)
            where T : class
        {
            var of = ours.Where(f => where.EndsWith('/') ? f.Name.StartsWith(where, StringComparison.Ordinal) : f.Name == where).ToList();
            foreach (var (name, _) in of.Skip(1))
                findings.Wrong(new(name, 0, 0), $"a second file in {where}", $"one file in {where}", "One folder describes one product and its route.");
            if (of.Count > 0) return binder.File<T>(of[0].Name, YamlTree.Read(of[0].Name, of[0].Text, findings));
            findings.Wrong(new(where, 0, 0), "no file", where.EndsWith('/') ? $"one .yaml file in {where}" : where);
            return binder.File<T>(where, null);
        }
    }
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
