using System.Collections;
using System.Globalization;

namespace Roadproof.Records.Definitions;

/// <summary>One difference between two revisions.</summary>
/// <param name="Path">Where it is, by keys and ids: <c>product.loadTest.cycle.points[50-60].holdS</c>.</param>
/// <param name="Before">The value before, or nothing where it was added.</param>
/// <param name="After">The value now, or nothing where it was taken out.</param>
/// <param name="Kind">What it touches.</param>
/// <param name="Wider">True where more units pass than before, false where fewer do, null where the change alone does not say.</param>
public sealed record RevisionChange(string Path, string? Before, string? After, ChangeKind Kind = ChangeKind.Other, bool? Wider = null);

/// <summary>What changed between two revisions, item by item, the most dangerous first: lists are matched by their items' ids, not by position.</summary>
public static class RevisionComparison
{
    // What tells the items of a list apart, where they have no id.
    static readonly string[] Names = ["Id", "Channel", "Part", "Kind"];

    public static IReadOnlyList<RevisionChange> Of(RouteRevision before, RouteRevision after)
    {
        var changes = new List<RevisionChange>();
        foreach (var key in DefinitionKeys.Of(typeof(RouteRevision)).Where(k => k.Property.Name is not (nameof(RouteRevision.Id) or nameof(RouteRevision.Number))))
            Compare(key.Key, key, key.Property.GetValue(before), key.Property.GetValue(after), changes);
        return ChangeWeight.Sorted(changes, before, after);
    }

    static void Compare(string path, DefinitionKey key, object? before, object? after, List<RevisionChange> changes)
    {
        if (before is null || after is null)
        {
            if (!ReferenceEquals(before, after) && !Equals(before, after)) changes.Add(new(path, Said(key, before), Said(key, after)));
        }
        else if (key.List) CompareLists(path, key.ValueType, (IEnumerable)before, (IEnumerable)after, changes);
        else if (DefinitionKeys.IsRecord(key.ValueType)) CompareRecords(path, key.ValueType, before, after, changes);
        else if (!Equals(before, after)) changes.Add(new(path, Written(before), Written(after)));
    }

    static void CompareRecords(string path, Type type, object before, object after, List<RevisionChange> changes)
    {
        foreach (var key in DefinitionKeys.Of(type))
        {
            // A type that is written as its only list adds no key to the path.
            var inner = DefinitionKeys.OnlyList(type) is null ? $"{path}.{key.Key}" : path;
            Compare(inner, key, key.Property.GetValue(before), key.Property.GetValue(after), changes);
        }
    }

    static void CompareLists(string path, Type type, IEnumerable before, IEnumerable after, List<RevisionChange> changes)
    {
        var (old, now) = (Named(type, before), Named(type, after));
        foreach (var (name, item) in old)
        {
            if (now.FirstOrDefault(n => n.Name == name).Item is not { } still) changes.Add(new($"{path}[{name}]", Whole(type, item), null));
            else if (DefinitionKeys.IsRecord(type)) CompareRecords($"{path}[{name}]", type, item, still, changes);
        }

        foreach (var (name, item) in now.Where(n => old.All(o => o.Name != n.Name))) changes.Add(new($"{path}[{name}]", null, Whole(type, item)));

        var (kept, keptNow) = (InBoth(old, now), InBoth(now, old));
        if (!kept.SequenceEqual(keptNow)) changes.Add(new($"{path} (order)", string.Join(", ", kept), string.Join(", ", keptNow)));
    }

    static List<string> InBoth(List<(string Name, object Item)> these, List<(string Name, object Item)> those) =>
        [.. these.Select(t => t.Name).Where(n => those.Exists(t => t.Name == n))];

    static List<(string Name, object Item)> Named(Type type, IEnumerable items)
    {
        var all = items.Cast<object>().ToList();
        if (!DefinitionKeys.IsRecord(type)) return [.. all.Select(i => (Written(i)!, i))];
        var name = DefinitionKeys.Of(type).FirstOrDefault(k => Names.Contains(k.Property.Name));
        return [.. all.Select((item, i) => (name is null ? (i + 1).ToString(CultureInfo.InvariantCulture) : Written(name.Property.GetValue(item))!, item))];
    }

    static string? Said(DefinitionKey key, object? value) => value is null ? null : DefinitionKeys.IsRecord(key.ValueType) && !key.List ? Whole(key.ValueType, value) : Written(value);

    /// <summary>An item that came or went, on one line.</summary>
    static string Whole(Type type, object item) => DefinitionKeys.IsRecord(type)
        ? string.Join(", ", DefinitionKeys.Of(type).Where(k => !k.List && !DefinitionKeys.IsRecord(k.ValueType)).Select(k => (k.Key, Text: Written(k.Property.GetValue(item)))).Where(k => k.Text is { Length: > 0 }).Select(k => $"{k.Key} {k.Text}"))
        : Written(item)!;

    static string? Written(object? value) => value switch
    {
        null => null,
        bool yes => yes ? "true" : "false",
        Enum word => DefinitionKeys.Words(word.GetType())[Array.IndexOf(Enum.GetValues(word.GetType()), word)],
        IFormattable number => number.ToString(null, CultureInfo.InvariantCulture),
        _ => value.ToString(),
    };
}
