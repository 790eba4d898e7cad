using System.CommandLine;
using Roadproof.Engineering.LoadTest;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Definitions;

namespace Roadproof.App.Definitions;

/// <summary>A product by its id, from a folder of definition files.</summary>
public static class FindProduct
{
    public static Option<string> Option() => new("--product") { Required = true, Description = "Product id, as its definition file names it." };

    /// <summary>What a product is built by.</summary>
    /// <exception cref="InputException">No such folder or product, or mistakes in its files.</exception>
    public static RouteRevision Route(string folder, string product)
    {
        var lines = ReadFolder(folder);
        return lines.FirstOrDefault(r => r.Product.Id == product)
            ?? throw new InputException(new InputError("--product", 0, "", $"'{product}'", $"a product of {folder}: {string.Join(", ", lines.Select(r => r.Product.Id))}"));
    }

    /// <summary>The load test of a product that has one, with the drive unit that it tests.</summary>
    /// <exception cref="InputException">No such folder or product, mistakes in its files, or a product without a load test.</exception>
    public static LoadTestPlan LoadTest(string folder, string product) => Route(folder, product).Product.LoadTest
        ?? throw new InputException(new InputError("--product", 0, "", $"'{product}', which has no load test", $"a drive unit: {string.Join(", ", ReadFolder(folder).Where(r => r.Product.LoadTest is not null).Select(r => r.Product.Id))}"));

    /// <summary>A product that is a drive unit: its definition with load test and, where given, the figures of its life.</summary>
    /// <exception cref="InputException">As <see cref="LoadTest"/>.</exception>
    public static ProductDefinition WithUnit(string folder, string product)
    {
        LoadTest(folder, product);
        return Route(folder, product).Product;
    }

    /// <summary>Reads every definition file of a folder.</summary>
    public static IReadOnlyList<RouteRevision> ReadFolder(string folder) => DefinitionFolder.Read(Files(folder));

    public static IReadOnlyList<(string Name, string Text)> Files(string folder) => DefinitionFolder.Files(folder);
}
