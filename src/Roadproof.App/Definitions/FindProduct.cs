using System.CommandLine;
using Roadproof.Engineering.LoadTest;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Definitions;

namespace Roadproof.App.Definitions;

/// <summary>A product by its id, from a folder of definition files.</summary>
public static class FindProduct
{
    public static Option<string> Option() => new("--product") { Required = true, Description = "Product id, as its definition file names it." };

    /// <exception cref="InputException">No such folder or product, or mistakes in its files.</exception>
    public static ProductDefinition Run(string folder, string product)
    {
        var products = ReadFolder(folder).Select(r => r.Product).ToList();
        return products.Find(p => p.Id == product)
            ?? throw new InputException(new InputError("--product", 0, "", $"'{product}'", $"a product of {folder}: {string.Join(", ", products.Select(p => p.Id))}"));
    }

    /// <summary>The load test of a product that has one, with the drive unit that it tests.</summary>
    /// <exception cref="InputException">No such folder or product, mistakes in its files, or a product without a load test.</exception>
    public static LoadTestPlan LoadTest(string folder, string product) => Run(folder, product).LoadTest
        ?? throw new InputException(new InputError("--product", 0, "", $"'{product}', which has no load test", $"a drive unit: {string.Join(", ", ReadFolder(folder).Where(r => r.Product.LoadTest is not null).Select(r => r.Product.Id))}"));

    /// <summary>Reads every definition file of a folder.</summary>
    public static IReadOnlyList<RouteRevision> ReadFolder(string folder) => DefinitionFolder.Read(Files(folder));

    public static IReadOnlyList<(string Name, string Text)> Files(string folder) => DefinitionFolder.Files(folder);
}
