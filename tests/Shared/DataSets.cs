namespace Roadproof.Tests.Shared;

/// <summary>The real recordings that checks run against; they are nobody's to hand on and never part of the project.</summary>
static class DataSets
{
    /// <summary>The folder named by ROADPROOF_DATA_SETS, or a folder shared/data beside the checkout; without one the check says so and is skipped.</summary>
    public static string Folder(string name)
    {
        var folders = new List<string>();
        if (Environment.GetEnvironmentVariable("ROADPROOF_DATA_SETS") is { Length: > 0 } named) folders.Add(Path.Combine(named, name));
        folders.Add(Path.Combine(Checkout.Root, "..", "shared", "data", name));

        var found = folders.Find(Directory.Exists);
        if (found is null) Assert.Skip($"NOT CHECKED against real recordings: no folder '{name}'. Name the folder of data sets in ROADPROOF_DATA_SETS.");
        return found;
    }
}
