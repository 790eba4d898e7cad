using System.CommandLine;
using System.Reflection;
using System.Text.Json;
using System.Text.RegularExpressions;
using Microsoft.AspNetCore.Components.Endpoints;
using Microsoft.AspNetCore.Routing;
using Roadproof.App.Checks;
using Roadproof.App.Definitions;
using Roadproof.App.Demo;
using Roadproof.App.Drive;
using Roadproof.App.Frame;
using Roadproof.App.Judging;
using Roadproof.App.Life;
using Roadproof.App.LoadTest;
using Roadproof.App.LoadTest.Rigs;
using Roadproof.App.Lots;
using Roadproof.App.Orders;
using Roadproof.App.Road;
using Roadproof.Records.Messages;

namespace Roadproof.App.Tests.House;

/// <summary>What outsiders rely on stands in a guide, a guide tells of nothing that is not there, and what it links to exists. Each test lists every offence.</summary>
public sealed partial class DocumentedTests
{
    const string Commands = "docs/guides/commands.md";
    const string Http = "docs/guides/http.md";

    [Fact]
    public void Every_command_and_option_stands_in_the_guide_and_nothing_else_does()
    {
        var told = Sections(Checkout.Read(Commands), "### `", "`");
        var root = CommandLine.Root();
        var shared = OptionsIn(Sections(Checkout.Read(Commands), "## ", "")["Options of every command"]);
        var offences = Compare("every command", root.Options.Where(IsOurs).Select(o => o.Name), shared).ToList();
        var there = Leaves(root, "").ToDictionary(leaf => leaf.Path, leaf => leaf.Command, StringComparer.Ordinal);
        offences.AddRange(Compare("commands", there.Keys, told.Keys));
        foreach (var (path, command) in there)
        {
            if (!command.Description!.Contains("Example: roadproof ", StringComparison.Ordinal)) offences.Add($"{path}: no example in its help");
            if (!told.TryGetValue(path, out var section)) continue;
            if (!section.Contains($"./roadproof {path}", StringComparison.Ordinal)) offences.Add($"{path}: no example in the guide");
            offences.AddRange(Compare(path, command.Options.Where(IsOurs).Select(o => o.Name), OptionsIn(section)));
        }

        Assert.Empty(offences);
    }

    [Fact]
    public void Every_field_of_an_answer_stands_with_its_command()
    {
        (string Command, Type Answer)[] answers =
        [
            ("demo", typeof(RunDemo.Answer)), ("definitions check", typeof(CheckDefinitions.CheckAnswer)), ("definitions approve", typeof(ApproveDefinitions.Answer)),
            ("definitions compare", typeof(CompareRevisions.Answer)), ("definitions list", typeof(ListRevisions.Answer)),
            ("checks judge tightening", typeof(JudgeTightening.Answer)), ("checks judge functional", typeof(JudgeFunctional.Answer)),
            ("rigs status", typeof(RigStatus.Answer)), ("rigs compare", typeof(CompareRigs.Answer)), ("lots hold", typeof(LotCommand.HoldAnswer)), ("lots release", typeof(LotCommand.ReleaseAnswer)), ("lots show", typeof(LotCommand.ShowAnswer)), ("lots receive", typeof(ReceiveDelivery.Answer)),
            ("orders open", typeof(TakeOrders.Answer)), ("orders start", typeof(OrderCommand.StartAnswer)), ("orders end", typeof(OrderCommand.EndAnswer)), ("orders list", typeof(OrderCommand.ListAnswer)),
            ("loadtest judge", typeof(JudgeCapture.Answer)), ("loadtest identify", typeof(IdentifyUnit.Answer)), ("loadtest confusion", typeof(TryDiagnosis.Answer)), ("drive point", typeof(SolvePoint.Answer)), ("drive heat", typeof(PredictHeat.Answer)), ("drive study", typeof(StudyGearTrain.Answer)), ("loadtest orders", typeof(ReadOrders.Answer)), ("loadtest limits", typeof(ShowLimits.Answer)), ("loadtest sensitivity", typeof(ShowSensitivity.Answer)),
            ("checks judge leak", typeof(JudgeLeak.Answer)), ("checks calibrate-leak", typeof(CalibrateLeak.Answer)),
            ("checks judge press", typeof(JudgePress.Answer)), ("checks judge grease", typeof(JudgeGrease.Answer)), ("checks judge winding", typeof(JudgeWinding.Answer)),
            ("road power", typeof(ComputePower.Answer)), ("road load", typeof(LoadRides.Answer)), ("road fit", typeof(FitRider.Answer)), ("life rainflow", typeof(CountCycles.Answer)), ("judge risk", typeof(ComputeRisk.Answer)),
        ];
        var told = Sections(Checkout.Read(Commands), "### `", "`");
        var offences =
            from a in answers
            from field in Fields(a.Answer).Except(["method", "warnings"])
            where !told[a.Command].Contains($"`{field}`", StringComparison.Ordinal)
            select $"{a.Command}: {field}";
        Assert.Empty(offences);
    }

    [Fact]
    public void Every_command_that_a_page_shows_can_be_typed()
    {
        var root = CommandLine.Root();
        var offences =
            from file in Checkout.Files(".md")
            from Match m in Typed().Matches(Checkout.Read(file))
            let words = m.Groups["words"].Value.Split('#')[0].TrimEnd(' ', '\\')
            where words.Length > 0 && !words.Contains("AREA", StringComparison.Ordinal)
            from error in root.Parse(words).Errors
            select $"{file}: {words}: {error.Message}";
        Assert.Empty(offences);
    }

    [Fact]
    public async Task Every_door_stands_in_the_http_guide_and_nothing_else_does()
    {
        var folder = Directory.CreateTempSubdirectory("roadproof-doors-").FullName;
        try
        {
            await using var line = await OpenLine.Open(folder, TimeProvider.System);
            await using var app = WebHost.Build(line, "http://127.0.0.1:0", quiet: true);
            var endpoints = ((IEndpointRouteBuilder)app).DataSources.SelectMany(d => d.Endpoints).OfType<RouteEndpoint>()
                .Where(e => !Pattern(e).StartsWith("/_", StringComparison.Ordinal))
                .Where(e => !Pattern(e).Contains("{*", StringComparison.Ordinal)) // what answers "not here" is no door
                .ToList();
            var (pages, doors) = (endpoints.Where(IsPage).ToList(), endpoints.Where(e => !IsPage(e)).ToList());
            Assert.NotEmpty(pages);

            var guide = Checkout.Read(Http);
            var offences = Compare(Http, doors.SelectMany(Doors), Door().Matches(guide).Select(m => m.Groups["door"].Value))
                .Concat(from page in pages where !guide.Contains($"`{Pattern(page)}`", StringComparison.Ordinal) select $"{Http}: page {Pattern(page)} is not told");
            Assert.Empty(offences.Distinct());
        }
        finally
        {
            Directory.Delete(folder, recursive: true);
        }
    }

    [Fact]
    public void Every_field_of_a_station_message_and_its_answer_stands_in_the_http_guide()
    {
        var guide = Checkout.Read(Http);
        var offences =
            from type in new[] { typeof(StationMessage), typeof(MessageAnswer) }
            from field in Fields(type)
            where !guide.Contains($"`{field}`", StringComparison.Ordinal) && !guide.Contains($"\"{field}\"", StringComparison.Ordinal)
            select $"{type.Name}: {field}";
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

    [Fact]
    public void Every_page_that_the_code_points_at_is_there()
    {
        var offences =
            from file in Checkout.Files(".cs", ".razor", ".yaml", ".md")
            from Match m in Page().Matches(Checkout.Read(file))
            where !File.Exists(Path.Combine(Checkout.Root, m.Value))
            select $"{file}: {m.Value}";
        Assert.Empty(offences);
    }

    static bool IsOurs(Option option) => option.Name is not ("--help" or "--version");

    static IEnumerable<(string Path, Command Command)> Leaves(Command command, string path) => command.Subcommands.SelectMany(sub =>
    {
        var name = $"{path} {sub.Name}".Trim();
        return sub.Subcommands.Count == 0 ? [(name, sub)] : Leaves(sub, name);
    });

    static bool IsPage(RouteEndpoint endpoint) => endpoint.Metadata.GetMetadata<ComponentTypeMetadata>() is not null;

    static string Pattern(RouteEndpoint endpoint) => "/" + endpoint.RoutePattern.RawText!.TrimStart('/');

    static IEnumerable<string> Doors(RouteEndpoint endpoint) =>
        (endpoint.Metadata.GetMetadata<IHttpMethodMetadata>()?.HttpMethods ?? ["GET"]).Select(method => $"{method} {Pattern(endpoint)}");

    /// <summary>Text after each heading that begins so, up to the next heading of the same or a higher rank.</summary>
    static Dictionary<string, string> Sections(string text, string opening, string closing)
    {
        var rank = opening.TakeWhile(c => c == '#').Count();
        var sections = new Dictionary<string, string>(StringComparer.Ordinal);
        string? name = null;
        foreach (var row in text.Split('\n'))
        {
            var depth = row.TakeWhile(c => c == '#').Count();
            if (depth > 0 && depth <= rank) name = row.StartsWith(opening, StringComparison.Ordinal) ? row[opening.Length..].TrimEnd() : null;
            if (name is null) continue;
            var key = closing.Length > 0 ? name.Split(closing)[0] : name;
            sections[key] = sections.GetValueOrDefault(key, "") + row + "\n";
        }

        return sections;
    }

    /// <summary>Options that a section's table explains.</summary>
    static IEnumerable<string> OptionsIn(string section) => Explained().Matches(section).Select(m => m.Groups["option"].Value);

    static IEnumerable<string> Compare(string where, IEnumerable<string> there, IEnumerable<string> told)
    {
        var (a, b) = (there.ToHashSet(StringComparer.Ordinal), told.ToHashSet(StringComparer.Ordinal));
        return a.Except(b).Select(x => $"{where}: {x} is not told").Concat(b.Except(a).Select(x => $"{where}: {x} is told and not there"));
    }

    /// <summary>Names of a record's fields as JSON has them, and of the records of ours inside it.</summary>
    static IEnumerable<string> Fields(Type type) => type.GetProperties(BindingFlags.Public | BindingFlags.Instance).SelectMany(p =>
        (Inner(p.PropertyType) is { } inner ? Fields(inner) : []).Prepend(JsonNamingPolicy.CamelCase.ConvertName(p.Name)));

    static Type? Inner(Type type)
    {
        var one = Nullable.GetUnderlyingType(type) ?? (type.IsGenericType && type.GetGenericArguments() is [var element] ? element : type);
        return !one.IsEnum && one.Namespace?.StartsWith("Roadproof.", StringComparison.Ordinal) == true ? one : null;
    }

    [GeneratedRegex(@"^\s*\./roadproof ?(?<words>.*)$", RegexOptions.Multiline | RegexOptions.ExplicitCapture)]
    private static partial Regex Typed();

    [GeneratedRegex(@"^\| `(?<option>--[a-z0-9-]+)", RegexOptions.Multiline | RegexOptions.ExplicitCapture)]
    private static partial Regex Explained();

    [GeneratedRegex(@"`(?<door>(GET|POST|PUT|DELETE|PATCH) /[^`\s]*)`", RegexOptions.ExplicitCapture)]
    private static partial Regex Door();

    [GeneratedRegex(@"\]\(([^)\s]+)\)")]
    private static partial Regex Link();

    [GeneratedRegex(@"(?<![\w/.-])docs/[a-z]+/[a-z0-9-]+\.md", RegexOptions.ExplicitCapture)]
    private static partial Regex Page();
}
