using System.Collections;
using System.Globalization;
using System.Runtime.CompilerServices;
using static Roadproof.Records.Definitions.YamlTree;

namespace Roadproof.Records.Definitions;

/// <summary>Fills typed definitions from a YAML tree and goes on after each mistake, so that all of them are told at once.</summary>
/// <remarks>
/// What cannot be read becomes a blank (NaN, 0, empty text, empty list) that is marked broken, never null:
/// rules can walk the whole definition and stay silent about what has been told already.
/// </remarks>
public sealed class YamlBinder(Findings findings)
{
    /// <summary>A file as its type; a blank where the file cannot be read.</summary>
    public T File<T>(string source, YamlTree? tree)
        where T : class
    {
        var place = tree?.Place ?? new Place(source, 0, 0);
        return (T)(tree is null ? Blank(typeof(T), place) : Record(typeof(T), tree, Article(typeof(T).Name)));
    }

    object Record(Type type, YamlTree tree, string what)
    {
        if (DefinitionKeys.OnlyList(type) is { } only && tree is ListOf)
        {
            var bare = New(type, tree.Place);
            Set(bare, only, tree);
            return bare;
        }

        if (tree is not Keys keys)
        {
            if (tree is not Told) findings.Wrong(tree.Place, Seen(tree), $"keys with their values for {what}");
            return Blank(type, tree.Place);
        }

        var record = New(type, keys.Place);
        var known = DefinitionKeys.Of(type);
        var names = known.Select(k => k.Key).ToList();
        var meant = new HashSet<string>(StringComparer.Ordinal);
        var given = new Dictionary<string, Place>(StringComparer.Ordinal);
        foreach (var (key, under) in keys.All)
        {
            if (known.FirstOrDefault(k => k.Key == key.Text) is not { } slot)
            {
                findings.Wrong(key.Place, $"the key '{key.Text}'", $"a key of {what}", NearestWord.Hint(key.Text, names));
                if (NearestWord.To(key.Text, names) is { } nearest) meant.Add(nearest);
            }
            else if (given.TryGetValue(key.Text, out var first))
            {
                findings.Wrong(key.Place, $"the key '{key.Text}' again", "each key once", string.Create(CultureInfo.InvariantCulture, $"It stands in line {first.Line} already."));
            }
            else
            {
                given[key.Text] = key.Place;
                Set(record, slot, under);
            }
        }

        foreach (var slot in known.Where(k => !given.ContainsKey(k.Key) && (k.Required || meant.Contains(k.Key)))) Missing(record, slot, keys.Place, what, told: meant.Contains(slot.Key));
        return record;
    }

    void Missing(object record, DefinitionKey slot, Place place, string what, bool told)
    {
        // A mistyped key and the key it was meant to be are one mistake.
        if (!told) findings.Wrong(place, $"no key '{slot.Key}'", $"the key '{slot.Key}' in {what}");
        SetBlank(record, slot, place);
    }

    void SetBlank(object record, DefinitionKey slot, Place place)
    {
        findings.Break(record, slot.Property.Name);
        slot.Property.SetValue(record, slot.List ? NewList(slot.ValueType) : slot.MayBeNull ? null : BlankValue(slot.ValueType, place));
    }

    void Set(object record, DefinitionKey slot, YamlTree tree)
    {
        findings.Keep(record, slot.Property.Name, tree.Place);
        if (slot.List)
        {
            slot.Property.SetValue(record, List(record, slot, tree));
            return;
        }

        if (One(slot, tree) is { } value) slot.Property.SetValue(record, value);
        else SetBlank(record, slot, tree.Place);
    }

    IList List(object record, DefinitionKey slot, YamlTree tree)
    {
        var list = NewList(slot.ValueType);
        if (tree is not ListOf items)
        {
            if (tree is not Told) findings.Wrong(tree.Place, Seen(tree), $"a list for {slot.Key}", "Each item of a list stands in a line of its own behind '- ', or all stand in [ ].");
            findings.Break(record, slot.Property.Name);
            return list;
        }

        for (var i = 0; i < items.All.Count; i++)
        {
            findings.Keep(record, Findings.Item(slot.Property.Name, i), items.All[i].Place);
            if (One(slot, items.All[i]) is { } item) list.Add(item);
            else findings.Break(record, slot.Property.Name);
        }

        return list;
    }

    /// <summary>One value of a property or list; null when it cannot be read, which has then been told.</summary>
    object? One(DefinitionKey slot, YamlTree tree)
    {
        if (DefinitionKeys.IsRecord(slot.ValueType)) return Record(slot.ValueType, tree, slot.List ? $"an item of {slot.Key}" : slot.Key);
        if (tree is not Value value)
        {
            if (tree is not Told) findings.Wrong(tree.Place, Seen(tree), $"one value for {slot.Key}");
            return null;
        }

        if (value.Nothing)
        {
            findings.Wrong(value.Place, "nothing", $"a value for {slot.Key}", slot.Required ? null : "Leave the key out where there is none.");
            return null;
        }

        return slot.ValueType switch
        {
            var t when t == typeof(string) => Text(slot, value),
            var t when t == typeof(double) => Number(slot, value),
            var t when t == typeof(int) => WholeNumber(slot, value),
            var t when t == typeof(bool) => YesOrNo(slot, value),
            { IsEnum: true } t => Word(slot, t, value),
            var t => throw new InvalidOperationException($"Bug in Roadproof: definitions cannot hold {t.Name} ({slot.Key})."),
        };
    }

    string? Text(DefinitionKey slot, Value value)
    {
        if (!string.IsNullOrWhiteSpace(value.Text)) return value.Text.Trim();
        findings.Wrong(value.Place, "empty text", $"a text for {slot.Key}");
        return null;
    }

    object? Number(DefinitionKey slot, Value value)
    {
        var range = NumberRange.Of(slot.Property);
        if (value.Plain && double.TryParse(value.Text, NumberStyles.AllowLeadingSign | NumberStyles.AllowDecimalPoint | NumberStyles.AllowExponent, CultureInfo.InvariantCulture, out var number) && double.IsFinite(number))
        {
            if (range.Holds(number)) return number;
            findings.Wrong(value.Place, value.Text, $"{slot.Key} {range}", range.Hint);
            return null;
        }

        findings.Wrong(value.Place, Quoted(value), $"{slot.Key} {range}", NumberHint(value));
        return null;
    }

    object? WholeNumber(DefinitionKey slot, Value value)
    {
        var range = NumberRange.Of(slot.Property);
        if (value.Plain && int.TryParse(value.Text, NumberStyles.AllowLeadingSign, CultureInfo.InvariantCulture, out var number) && range.Holds(number)) return number;
        findings.Wrong(value.Place, Quoted(value), $"{slot.Key} {range.WholeNumber}", value.Plain ? null : NumberHint(value));
        return null;
    }

    object? YesOrNo(DefinitionKey slot, Value value)
    {
        if (value is { Plain: true, Text: "true" or "false" }) return value.Text == "true";
        findings.Wrong(value.Place, Quoted(value), $"true or false for {slot.Key}", value.Text.ToLowerInvariant() is "yes" or "on" ? "Write true." : value.Text.ToLowerInvariant() is "no" or "off" ? "Write false." : null);
        return null;
    }

    object? Word(DefinitionKey slot, Type type, Value value)
    {
        var words = DefinitionKeys.Words(type);
        for (var i = 0; i < words.Count; i++)
        {
            if (words[i] == value.Text) return Enum.Parse(type, Enum.GetNames(type)[i]);
        }

        findings.Wrong(value.Place, Quoted(value), $"one of {string.Join(", ", words)} for {slot.Key}", NearestWord.To(value.Text, words) is { } near ? $"Did you mean '{near}'?" : null);
        return null;
    }

    static string? NumberHint(Value value)
    {
        if (!value.Plain) return "Write the number without quotes.";
        if (value.Text.TrimStart('-', '+').All(c => char.IsAsciiDigit(c) || c == ',')) return "Write a decimal point, not a comma.";
        if (value.Text.Length > 0 && (char.IsAsciiDigit(value.Text[0]) || value.Text[0] is '-' or '.') && value.Text.Any(char.IsLetter) && !value.Text.Contains("nan", StringComparison.OrdinalIgnoreCase) && !value.Text.Contains("inf", StringComparison.OrdinalIgnoreCase))
            return "The unit stands in the key: write the number alone, in that unit.";
        return null;
    }

    object New(Type type, Place place)
    {
        var made = Activator.CreateInstance(type)!;
        findings.Keep(made, "", place);
        return made;
    }

    object Blank(Type type, Place place)
    {
        var blank = New(type, place);
        findings.Break(blank, "");
        foreach (var slot in DefinitionKeys.Of(type)) SetBlank(blank, slot, place);
        return blank;
    }

    object BlankValue(Type type, Place place) =>
        type == typeof(string) ? "" : type == typeof(double) ? double.NaN : DefinitionKeys.IsRecord(type) ? Blank(type, place) : RuntimeHelpers.GetUninitializedObject(type);

    static IList NewList(Type item) => (IList)Activator.CreateInstance(typeof(List<>).MakeGenericType(item))!;

    static string Seen(YamlTree tree) => tree switch
    {
        ListOf => "a list",
        Keys => "keys with values",
        Value { Nothing: true } => "nothing",
        Value value => Quoted(value),
        _ => throw new InvalidOperationException("Bug in Roadproof: a kind of YAML node without a name."),
    };

    static string Quoted(Value value) => $"'{(value.Text.Length > 60 ? value.Text[..57] + "…" : value.Text).ReplaceLineEndings(" ")}'";

    static string Article(string typeName) => typeName switch
    {
        nameof(PlantFile) => "the plant",
        nameof(ProductDefinition) => "the product",
        nameof(RouteFile) => "the route",
        nameof(PartsFile) => "the parts",
        nameof(GearStudyFile) => "the study",
        _ => typeName,
    };
}
