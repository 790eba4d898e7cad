using YamlDotNet.Core;
using YamlDotNet.Core.Events;

namespace Roadproof.Records.Definitions;

/// <summary>A YAML file as a tree in which every node knows its place, and in which keys that stand twice are still there.</summary>
/// <remarks>Read from the parser's events: the library's own tree stops at the first key that stands twice.</remarks>
public abstract record YamlTree(Place Place)
{
    const int DeepestNesting = 32;

    /// <summary>One value as written; <paramref name="Plain"/> is false when it stands in quotes or as a block of text.</summary>
    public sealed record Value(Place Place, string Text, bool Plain) : YamlTree(Place)
    {
        /// <summary>Nothing stands there, or a word of YAML for nothing.</summary>
        public bool Nothing => Plain && Text is "" or "~" or "null";
    }

    public sealed record ListOf(Place Place, IReadOnlyList<YamlTree> All) : YamlTree(Place);

    public sealed record Keys(Place Place, IReadOnlyList<(Value Key, YamlTree Under)> All) : YamlTree(Place);

    /// <summary>Something that cannot stand there and has been told.</summary>
    public sealed record Told(Place Place) : YamlTree(Place);

    /// <summary>Reads one file; null when its text is not YAML, which has then been told.</summary>
    public static YamlTree? Read(string source, string text, Findings findings)
    {
        var parser = new Parser(new StringReader(text));
        try
        {
            parser.Consume<StreamStart>();
            if (!parser.TryConsume<DocumentStart>(out _))
            {
                findings.Wrong(new(source, 1, 1), "an empty file", "definitions as YAML");
                return null;
            }

            var root = Node(parser, source, findings, depth: 0);
            parser.Consume<DocumentEnd>();
            if (parser.Accept<DocumentStart>(out var second))
                findings.Wrong(At(source, second.Start), "a second document", "one YAML document in a file", "Put it into a file of its own.");
            return root;
        }
        catch (YamlException e)
        {
            NotYaml(At(source, e.Start), text, $" ({e.Message.TrimEnd('.')})", findings);
            return null;
        }
        catch (InvalidOperationException)
        {
            // The library's scanner throws this, without a place, on some unfinished flow lists.
            NotYaml(At(source, parser.Current?.End ?? Mark.Empty), text, "", findings);
            return null;
        }
    }

    static void NotYaml(Place place, string text, string why, Findings findings)
    {
        // The parser notices a tab lines later, where the structure no longer fits.
        var tab = Array.FindIndex(text.Split('\n'), line => line.TakeWhile(char.IsWhiteSpace).Contains('\t'));
        if (tab >= 0)
            findings.Wrong(place with { Line = tab + 1, Column = 1 }, "a tab in the indentation", "spaces", "YAML allows no tabs there.");
        else
            findings.Wrong(place, $"text that cannot be read as YAML{why}", "YAML", "Look at this line and the one above it: a colon, a quote, a bracket or the indentation is amiss.");
    }

    static YamlTree Node(Parser parser, string source, Findings findings, int depth)
    {
        if (depth > DeepestNesting)
            throw new YamlException(parser.Current!.Start, parser.Current.End, $"nested more than {DeepestNesting} deep");

        switch (parser.Consume<ParsingEvent>())
        {
            case Scalar scalar:
                return new Value(At(source, scalar.Start), scalar.Value, scalar.Style == ScalarStyle.Plain);

            case SequenceStart start:
                var items = new List<YamlTree>();
                while (!parser.TryConsume<SequenceEnd>(out _)) items.Add(Node(parser, source, findings, depth + 1));
                return new ListOf(At(source, start.Start), items);

            case MappingStart start:
                var keys = new List<(Value, YamlTree)>();
                while (!parser.TryConsume<MappingEnd>(out _))
                {
                    var key = Node(parser, source, findings, depth + 1);
                    var under = Node(parser, source, findings, depth + 1);
                    if (key is Value word) keys.Add((word, under));
                    else findings.Wrong(key.Place, "a list or keys in place of a key", "a key");
                }

                return new Keys(At(source, start.Start), keys);

            case AnchorAlias alias:
                findings.Wrong(At(source, alias.Start), $"'*{alias.Value}'", "the values themselves", "Definitions are read by people one line at a time: write them out.");
                return new Told(At(source, alias.Start));

            case var other:
                throw new YamlException(other.Start, other.End, $"unexpected {other.GetType().Name}");
        }
    }

    static Place At(string source, Mark mark) => new(source, (int)mark.Line, (int)mark.Column);
}
