using System.CommandLine;
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
        var revision = ReadFolder(folder);
        return revision.Product.Id == product
            ? revision.Product
            : throw new InputException(new InputError("--product", 0, "", $"'{product}'", $"a product of {folder}: {revision.Product.Id}"));
    }

    /// <summary>Reads every definition file of a folder.</summary>
    public static RouteRevision ReadFolder(string folder) => DefinitionFolder.Read(Files(folder));

    public static IReadOnlyList<(string Name, string Text)> Files(string folder) => DefinitionFolder.Files(folder);
}
