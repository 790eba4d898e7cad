using System.Reflection;
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
            var unknown = new List<InputError>();
            Unknown(document.RootElement, typeof(StationMessage), "", unknown);
            if (unknown.Count > 0) throw new InputException(unknown);
            return Complete(JsonSerializer.Deserialize<StationMessage>(text, Options));
        }
        catch (JsonException e)
        {
            throw new InputException(new InputError("message", (int)(e.LineNumber ?? 0) + 1, Field(e), Found(e), "a station message as JSON"));
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

    static void Each(JsonElement list, Type type, string path, List<InputError> errors)
    {
        var i = 0;
        foreach (var item in list.EnumerateArray()) Unknown(item, type, string.Create(System.Globalization.CultureInfo.InvariantCulture, $"{path}[{i++}]."), errors);
    }

    static string Field(JsonException e) => e.Path is { Length: > 2 } path ? path[2..] : "";

    static string Found(JsonException e) => e.Message.Contains("required", StringComparison.Ordinal) ? e.Message.TrimEnd('.') : "something that is not what belongs there";
}
