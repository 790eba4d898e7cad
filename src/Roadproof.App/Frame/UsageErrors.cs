using System.CommandLine;
using System.CommandLine.Parsing;
using System.Numerics;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Definitions;

namespace Roadproof.App.Frame;

/// <summary>What is wrong with a command line, in the one shape that every wrong input has.</summary>
static class UsageErrors
{
    const string Number = "a number with a decimal point, such as 31.8", WholeNumber = "a whole number", Count = "a whole number, 0 or more";
    const string Moment = "a day and time with its offset, such as 2031-03-05T06:00+01:00";

    /// <summary>Numbers behind an option are read strictly: a comma is never skipped, it could be a decimal comma or a thousands mark.</summary>
    public static void ReadStrictly(Option option)
    {
        switch (option)
        {
            case Option<double> o: o.CustomParser = r => Read<double>(r, NumberStyles.Float) ?? 0; break;
            case Option<double?> o: o.CustomParser = r => Read<double>(r, NumberStyles.Float); break;
            case Option<int?> o: o.CustomParser = r => Read<int>(r, NumberStyles.AllowLeadingSign); break;
            case Option<DateTimeOffset?> o: o.CustomParser = Instant; break;
            case Option<ulong> o: o.CustomParser = r => Read<ulong>(r, NumberStyles.None) ?? 0; break;
            default: break;
        }
    }

    /// <summary>Everything wrong with the words that were typed; empty where nothing is.</summary>
    public static IReadOnlyList<InputError> Of(ParseResult parsed)
    {
        var command = parsed.CommandResult.Command;
        var verbs = command.Subcommands.Select(c => c.Name).ToList();
        if (verbs.Count > 0 && parsed.Errors.Count > 0) return [NoVerb(parsed, verbs)];

        // An option that nobody knows leaves its value lying about and is missed itself: the first word says it all.
        if (parsed.UnmatchedTokens.Count > 0 && parsed.UnmatchedTokens[0].StartsWith('-')) return [UnknownWord(parsed, command)];
        var wrong = parsed.Errors.Where(e => e.SymbolResult is not CommandResult || parsed.UnmatchedTokens.Count == 0).Select(e => Of(e, parsed)).Distinct();
        return parsed.UnmatchedTokens.Count > 0 ? [.. wrong, UnknownWord(parsed, command)] : [.. wrong];
    }

    /// <summary>The words that led to the command, such as <c>roadproof drive point</c>.</summary>
    public static string PathOf(ParseResult parsed)
    {
        var names = new Stack<string>();
        for (var r = parsed.CommandResult; r?.Command is { } c and not RootCommand; r = r.Parent as CommandResult) names.Push(c.Name);
        return string.Join(' ', names.Prepend("roadproof"));
    }

    static InputError NoVerb(ParseResult parsed, List<string> verbs) => parsed.UnmatchedTokens.Count == 0
        ? new(PathOf(parsed), 0, "", "nothing behind it", $"one of {string.Join(", ", verbs)}")
        : new(PathOf(parsed), 0, "", Quote(parsed.UnmatchedTokens[0]), $"one of {string.Join(", ", verbs)}", Near(parsed.UnmatchedTokens[0], verbs));

    static InputError UnknownWord(ParseResult parsed, Command command)
    {
        var word = parsed.UnmatchedTokens[0];
        var options = Options(parsed, command);
        return word.StartsWith('-')
            ? new(PathOf(parsed), 0, "", Quote(word), $"one of {string.Join(", ", options)}", Near(word, options))
            : new(PathOf(parsed), 0, "", Quote(word), "only options and their values behind what was given");
    }

    static InputError Of(ParseError error, ParseResult parsed) => error.SymbolResult switch
    {
        OptionResult option => Of(option.Option, option.Tokens),
        ArgumentResult { Parent: OptionResult option } => Of(option.Option, option.Tokens),
        ArgumentResult { Tokens.Count: 0 } argument => new(PathOf(parsed), 0, "", "nothing", $"{argument.Argument.Name}: {argument.Argument.Description}".TrimEnd('.')),
        CommandResult when Missing(parsed) is { } missing => new(missing.Name, 0, "", "nothing", Described(missing)),
        _ => new(PathOf(parsed), 0, "", Quote(string.Join(' ', parsed.Tokens.Select(t => t.Value))), error.Message.TrimEnd('.')),
    };

    static InputError Of(Option option, IReadOnlyList<Token> tokens) => tokens.Count switch
    {
        0 => new(option.Name, 0, "", "nothing", Described(option)),
        1 => new(option.Name, 0, "", Quote(tokens[0].Value), Expected(option)),
        _ => new(option.Name, 0, "", $"{tokens.Count.ToString(CultureInfo.InvariantCulture)} values", $"{Expected(option)}, once"),
    };

    static Option? Missing(ParseResult parsed) =>
        parsed.CommandResult.Command.Options.FirstOrDefault(o => o.Required && parsed.GetResult(o) is null or { Implicit: true });

    static string Described(Option option) => $"{Expected(option)} ({option.Description?.TrimEnd('.')})";

    static string Expected(Option option)
    {
        var type = Nullable.GetUnderlyingType(option.ValueType) ?? option.ValueType;
        return type == typeof(double) ? Number : type == typeof(int) ? WholeNumber : type == typeof(ulong) ? Count : type == typeof(DateTimeOffset) ? Moment : type == typeof(bool) ? "nothing behind it, true or false" : "a word";
    }

    static List<string> Options(ParseResult parsed, Command command) =>
        [.. command.Options.Concat(parsed.RootCommandResult.Command.Options.Where(o => o.Recursive)).Select(o => o.Name).Distinct(StringComparer.Ordinal)];

    static string? Near(string word, IReadOnlyCollection<string> known) => NearestWord.To(word, known) is { } near ? $"Did you mean '{near}'?" : null;

    static string Quote(string word) => $"'{word}'";

    // Without its offset a time means another moment on another machine.
    static DateTimeOffset? Instant(ArgumentResult typed)
    {
        var word = typed.Tokens[0].Value;
        if (DateTimeOffset.TryParseExact(word, ["yyyy-MM-dd'T'HH:mmK", "yyyy-MM-dd'T'HH:mm:ssK"], CultureInfo.InvariantCulture, DateTimeStyles.None, out var at) && (word.EndsWith('Z') || word[^6] is '+' or '-')) return at;
        typed.AddError($"'{word}' is no day and time.");
        return null;
    }

    static T? Read<T>(ArgumentResult typed, NumberStyles style)
        where T : struct, INumberBase<T>
    {
        if (T.TryParse(typed.Tokens[0].Value, style, CultureInfo.InvariantCulture, out var value)) return value;
        typed.AddError($"'{typed.Tokens[0].Value}' is no number.");
        return null;
    }
}
