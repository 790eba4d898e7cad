namespace Roadproof.Tests.Shared;

/// <summary>The project's own files, as the tests find them beside their build output.</summary>
static class Checkout
{
    public static readonly string Root = Find();

    /// <summary>Source files by path relative to the root, with forward slashes; build output left out.</summary>
    public static IEnumerable<string> Files(params string[] endings) => Directory
        .EnumerateFiles(Root, "*", SearchOption.AllDirectories)
        .Select(f => Path.GetRelativePath(Root, f).Replace('\\', '/'))
        .Where(f => !f.StartsWith(".git/", StringComparison.Ordinal) && !f.StartsWith("data/", StringComparison.Ordinal) && !f.StartsWith(".build/", StringComparison.Ordinal)
            && !f.Contains("/bin/", StringComparison.Ordinal) && !f.Contains("/obj/", StringComparison.Ordinal))
        .Where(f => endings.Length == 0 || endings.Any(e => f.EndsWith(e, StringComparison.Ordinal)))
        .Order(StringComparer.Ordinal);

    public static string Read(string file) => File.ReadAllText(Path.Combine(Root, file));

    static string Find()
    {
        var at = new DirectoryInfo(AppContext.BaseDirectory);
        while (at is not null && !File.Exists(Path.Combine(at.FullName, "Roadproof.slnx"))) at = at.Parent;
        return at?.FullName ?? throw new InvalidOperationException("Roadproof.slnx was not found above the tests' build output.");
    }
}
