using System.Collections.Concurrent;
using System.Globalization;
using System.Reflection;
using System.Runtime.CompilerServices;
using System.Text.Json;
using System.Text.Json.Serialization;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Definitions;

namespace Roadproof.Records.Messages;

/// <summary>Reads a station message from JSON as it came over any door, strictly: a field that nobody knows is a mistake of the sender.</summary>
public static class StationMessageJson
{
    public static JsonSerializerOptions Options { get; } = new(JsonSerializerDefaults.Web)
    {
        NumberHandling = JsonNumberHandling.Strict,
        AllowDuplicateProperties = false,
        DefaultIgnoreCondition = JsonIgnoreCondition.WhenWritingNull,
    };

    /// <exception cref="InputException">The text is not JSON, has fields that nobody knows, lacks one that is needed, or holds the wrong kind of value.</exception>
    public static StationMessage Read(string text)
    {
        try
        {
            using var document = JsonDocument.Parse(text);
            var errors = new List<InputError>();
            Check(document.RootElement, typeof(StationMessage), "", errors);
            if (errors.Count > 0) throw new InputException(errors);
            return Complete(JsonSerializer.Deserialize<StationMessage>(text, Options));
        }
        catch (InvalidOperationException)
        {
            // A field's name is put together only when it is asked for.
            throw new InputException(new InputError("message", 0, "", "half a character in the name of a field", "a station message as JSON"));
        }
        catch (JsonException e)
        {
            throw new InputException(new InputError("message", (int)(e.LineNumber ?? 0) + 1, Field(e), "something that is not what belongs there", "a station message as JSON"));
        }
    }

    static readonly ConcurrentDictionary<Type, IReadOnlyDictionary<string, FieldRule>> Known = new();

    static StationMessage Complete(StationMessage? message)
    {
        if (message is null) throw new InputException(new InputError("message", 1, "", "null", "a station message as JSON"));
        return message with { Parts = message.Parts ?? [], Readings = message.Readings ?? [], Screws = message.Screws ?? [], Captures = message.Captures ?? [] };
    }

    // A value of another kind is told by the reader, with its place; a null would pass it.
    static void Check(JsonElement element, Type type, string path, List<InputError> errors)
    {
        if (element.ValueKind != JsonValueKind.Object) return;
        var known = FieldsOf(type);
        foreach (var field in element.EnumerateObject())
        {
            var at = path + field.Name;
            if (!known.TryGetValue(field.Name, out var rule))
                errors.Add(new("message", 0, at, "a field that nobody knows", $"one of {string.Join(", ", known.Keys)}"));
            else if (field.Value.ValueKind == JsonValueKind.Null && !rule.MayBeNull)
                errors.Add(new("message", 0, at, "null", "a value"));
            else if (field.Value.ValueKind == JsonValueKind.Array && rule.Item is not null)
                Each(field.Value, rule.Item, at, errors);
        }

        foreach (var name in known.Where(p => p.Value.Needed && !element.TryGetProperty(p.Key, out _)).Select(p => p.Key))
            errors.Add(new("message", 0, path + name, "nothing", path.Length == 0 ? "a field that every message has" : "a field that is always there"));
    }

    static void Each(JsonElement list, Type type, string path, List<InputError> errors)
    {
        var i = 0;
        foreach (var item in list.EnumerateArray())
        {
            var at = string.Create(CultureInfo.InvariantCulture, $"{path}[{i++}]");
            if (item.ValueKind == JsonValueKind.Null) errors.Add(new("message", 0, at, "null", "an item, or nothing at all"));
            Check(item, type, $"{at}.", errors);
        }
    }

    static IReadOnlyDictionary<string, FieldRule> FieldsOf(Type type) => Known.GetOrAdd(type, static t =>
        t.GetProperties(BindingFlags.Public | BindingFlags.Instance).ToDictionary(p => JsonNamingPolicy.CamelCase.ConvertName(p.Name), FieldRule.Of, StringComparer.Ordinal));

    static string Field(JsonException e) => e.Path is { Length: > 2 } path ? path[2..] : "";

    /// <summary>What a field of the message must be, as its property says it.</summary>
    /// <param name="Item">The kind of its items, where it is a list; a list that is null is as good as one left out.</param>
    sealed record FieldRule(Type? Item, bool MayBeNull, bool Needed)
    {
        public static FieldRule Of(PropertyInfo property)
        {
            var item = DefinitionKeys.ItemOf(property.PropertyType);
            return new(item, item is not null || new NullabilityInfoContext().Create(property).ReadState == NullabilityState.Nullable, IsNeeded(property));
        }

        // In the message itself by its word, in what stands inside by having no default.
        static bool IsNeeded(PropertyInfo property) => property.IsDefined(typeof(RequiredMemberAttribute))
            || property.DeclaringType!.GetConstructors().SelectMany(c => c.GetParameters()).Any(p => p.Name == property.Name && !p.HasDefaultValue);
    }
}
