using System.Reflection;
using System.Text.RegularExpressions;

namespace Roadproof.App.Tests.House;

/// <summary>The rules of the house. Each test lists every offence, not the first.</summary>
public sealed partial class HouseTests
{
    static readonly string[] EngineeringOrder =
    [
        "Quantities", "Formats", "Statistics", "Signals", "Drive", "Road", "Life", "Quality", "Judging", "Checks", "LoadTest", "CycleDesign", "Marking",
    ];

    [Theory]
    [InlineData("Roadproof.Engineering", "")]
    [InlineData("Roadproof.Records", "Roadproof.Engineering")]
    [InlineData("Roadproof.Plant", "Roadproof.Engineering")]
    [InlineData("Roadproof.App", "Roadproof.Engineering Roadproof.Records Roadproof.Plant")]
    public void A_project_knows_only_what_it_may(string project, string allowed)
    {
        var ours = Assembly.Load(project).GetReferencedAssemblies().Select(a => a.Name!).Where(n => n.StartsWith("Roadproof.", StringComparison.Ordinal));
        Assert.Empty(ours.Except(allowed.Split(' ')));
    }

    [Fact]
    public void An_engineering_folder_uses_only_folders_before_it()
    {
        const string start = "src/Roadproof.Engineering/";
        var offences =
            from file in Checkout.Files(".cs")
            where file.StartsWith(start, StringComparison.Ordinal)
            let folder = file[start.Length..].Split('/')[0]
            let place = Array.IndexOf(EngineeringOrder, folder)
            from used in UsedFolder().Matches(Checkout.Read(file)).Select(m => m.Groups[1].Value).Distinct()
            where place < 0 || Array.IndexOf(EngineeringOrder, used) > place
            select place < 0 ? $"{file}: {folder} is not in the list of folders" : $"{file} uses {used}";
        Assert.Empty(offences.Distinct());
    }

    [Fact]
    public void No_name_says_only_that_it_manages_helps_or_serves()
    {
        var offences =
            from file in Checkout.Files(".cs")
            where file.StartsWith("src/", StringComparison.Ordinal)
            from Match m in EmptyName().Matches(Checkout.Read(file))
            select $"{file}: {m.Groups[1].Value}";
        Assert.Empty(offences);
    }

    [Fact]
    public void No_file_is_longer_than_a_person_reads()
    {
        var offences =
            from file in Checkout.Files(".cs", ".razor")
            where file.StartsWith("src/", StringComparison.Ordinal)
            let lines = Checkout.Read(file).Count(c => c == '\n')
            where lines > 600
            select $"{file}: {lines} lines";
        Assert.Empty(offences);
    }

    [Fact]
    public void Nothing_names_a_machine_or_a_registry()
    {
        // A home or a drive, the place of this checkout (where that is more than one word of a path), and any source of packages.
        string[] places = Checkout.Root.Count(c => c == Path.DirectorySeparatorChar) > 1 ? [Checkout.Root] : [];
        var offences =
            from file in Checkout.Files(".cs", ".razor", ".md", ".yaml", ".json", ".js", ".css", ".props", ".csproj", ".sql", ".sh", "run", "test", "roadproof", "make", "fault-table")
            let text = Checkout.Read(file)
            from found in Machine().Matches(text).Select(m => m.Value).Concat(places.Where(p => text.Contains(p, StringComparison.Ordinal)))
            select $"{file}: {found}";
        Assert.Empty(offences.Distinct());
    }

    [Fact]
    public void No_work_is_left_as_a_promise_in_the_code()
    {
        var offences =
            from file in Checkout.Files(".cs", ".razor", ".js", ".sql")
            where file.StartsWith("src/", StringComparison.Ordinal)
            from Match m in Promise().Matches(Checkout.Read(file))
            select $"{file}: {m.Value}";
        Assert.Empty(offences);
    }

    [Fact]
    public void Every_decision_has_a_number_and_its_sections()
    {
        var files = Checkout.Files(".md").Where(f => f.StartsWith("docs/decisions/", StringComparison.Ordinal)).ToList();
        var offences =
            from file in files
            let text = Checkout.Read(file)
            from section in new[] { "**Status**", "**Context.**", "**Decision.**", "**Consequences.**" }
            where !text.Contains(section, StringComparison.Ordinal) || !Numbered().IsMatch(file)
            select $"{file}: {section}";
        Assert.Empty(offences);
        Assert.Equal(files.Count, files.Select(f => f["docs/decisions/".Length..][..4]).Distinct().Count());
    }

    [GeneratedRegex(@"\bRoadproof\.Engineering\.([A-Z]\w+)")]
    private static partial Regex UsedFolder();

    [GeneratedRegex(@"\b(?:class|record|struct|interface|enum)\s+(\w+(?:Manager|Helper|Helpers|Util|Utils|Utility|Service))\b")]
    private static partial Regex EmptyName();

    [GeneratedRegex(@"(?<![\w.])/(home|root|Users|mnt|media)/\w+|\b[A-Z]:\\\w+|[p]ackageSources|https?://[^\s""]*(nuget|npmjs|registry)[^\s""]*")]
    private static partial Regex Machine();

    [GeneratedRegex(@"\b(TODO|FIXME|HACK|NotImplementedException)\b")]
    private static partial Regex Promise();

    [GeneratedRegex(@"/\d{4}-[a-z0-9-]+\.md$")]
    private static partial Regex Numbered();
}
