using System.CommandLine;
using System.Text.RegularExpressions;
using Roadproof.App.Frame;

namespace Roadproof.App.Tests.House;

/// <summary>What outsiders rely on stands in a guide, and what a guide links to is there.</summary>
public sealed partial class DocumentedTests
{
    [Fact]
    public void Every_command_and_option_stands_in_the_guide()
    {
        var guide = Checkout.Read("docs/guides/commands.md");
        var offences = new List<string>();
        Walk(CommandLine.Root(), "");
        Assert.Empty(offences);

        void Walk(Command command, string path)
        {
            foreach (var option in command.Options.Where(o => o.Name.StartsWith("--", StringComparison.Ordinal)))
                if (!guide.Contains(option.Name, StringComparison.Ordinal)) offences.Add($"{path} {option.Name}");
            foreach (var sub in command.Subcommands)
            {
                var name = $"{path} {sub.Name}".Trim();
                if (sub.Subcommands.Count == 0 && !guide.Contains($"`{name}", StringComparison.Ordinal)) offences.Add(name);
                if (sub.Subcommands.Count == 0 && !sub.Description!.Contains("Example: roadproof ", StringComparison.Ordinal)) offences.Add($"{name}: no example in its help");
                Walk(sub, name);
            }
        }
    }

    [Fact]
    public void Every_route_of_the_interface_stands_in_the_guide()
    {
        var guide = Checkout.Read("docs/guides/http.md");
        var offences =
            from file in Checkout.Files(".cs")
            where file.StartsWith("src/Roadproof.App/", StringComparison.Ordinal)
            from Match m in Route().Matches(Checkout.Read(file))
            let route = m.Groups[1].Value
            where !guide.Contains(route, StringComparison.Ordinal)
            select $"{file}: {route}";
        Assert.Empty(offences);
    }

    [Fact]
    public void Every_link_leads_to_a_file()
    {
        var offences =
            from file in Checkout.Files(".md")
            from Match m in Link().Matches(Checkout.Read(file))
            let target = m.Groups[1].Value.Split('#')[0]
            where target.Length > 0 && !target.Contains("://", StringComparison.Ordinal)
            let path = Path.Combine(Checkout.Root, Path.GetDirectoryName(file)!, target)
            where !File.Exists(path) && !Directory.Exists(path)
            select $"{file}: {target}";
        Assert.Empty(offences);
    }

    [GeneratedRegex(@"Map(?:Get|Post|Put|Delete)\(""(/api/[^""]+)""")]
    private static partial Regex Route();

    [GeneratedRegex(@"\]\(([^)\s]+)\)")]
    private static partial Regex Link();
}
