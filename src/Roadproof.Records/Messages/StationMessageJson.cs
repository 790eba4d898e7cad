using System.Reflection;
using System.Runtime.CompilerServices;
using System.Text.Json;
using System.Text.Json.Serialization;
using Roadproof.Engineering.Quantities;

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
            Unknown(document.RootElement, typeof(StationMessage), "", errors);
            Missing(document.RootElement, errors);
            if (errors.Count > 0) throw new InputException(errors);
            return Complete(JsonSerializer.Deserialize<StationMessage>(text, Options));
        }
        catch (JsonException e)
        {
            throw new InputException(new InputError("message", (int)(e.LineNumber ?? 0) + 1, Field(e), "something that is not what belongs there", "a station message as JSON"));
        }
    }

    static StationMessage Complete(StationMessage? message)
    {
        if (message is null) throw new InputException(new InputError("message", 1, "", "null", "a station message as JSON"));

        // A list that is null in the JSON is as good as one left out.
        return message with { Parts = message.Parts ?? [], Readings = message.Readings ?? [], Screws = message.Screws ?? [], Captures = message.Captures ?? [] };
    }

    static void Unknown(JsonElement element, Type type, string path, List<InputError> errors)
    {
        if (element.ValueKind != JsonValueKind.Object) return;
        var known = type.GetProperties(BindingFlags.Public | BindingFlags.Instance).ToDictionary(p => JsonNamingPolicy.CamelCase.ConvertName(p.Name), p => p.PropertyType, StringComparer.Ordinal);
        foreach (var field in element.EnumerateObject())
        {
            var at = path + field.Name;
            if (!known.TryGetValue(field.Name, out var inside))
                errors.Add(new("message", 0, at, "a field that nobody knows", $"one of {string.Join(", ", known.Keys)}"));
            else if (field.Value.ValueKind == JsonValueKind.Array && inside.IsGenericType)
                Each(field.Value, inside.GetGenericArguments()[0], at, errors);
        }
    }

    static void Missing(JsonElement message, List<InputError> errors)
    {
        if (message.ValueKind != JsonValueKind.Object) return;
        var needed = typeof(StationMessage).GetProperties().Where(p => p.IsDefined(typeof(RequiredMemberAttribute))).Select(p => JsonNamingPolicy.CamelCase.ConvertName(p.Name));
        errors.AddRange(needed.Where(name => !message.TryGetProperty(name, out _)).Select(name => new InputError("message", 0, name, "nothing", "a field that every message has")));
    }

    static void Each(JsonElement list, Type type, string path, List<InputError> errors)
    {
        var i = 0;
        foreach (var item in list.EnumerateArray()) Unknown(item, type, string.Create(System.Globalization.CultureInfo.InvariantCulture, $"{path}[{i++}]."), errors);
    }

    static string Field(JsonException e) => e.Path is { Length: > 2 } path ? path[2..] : "";
}
