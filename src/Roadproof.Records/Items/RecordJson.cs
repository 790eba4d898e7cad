using System.Text.Json;
using System.Text.Json.Serialization;
using Roadproof.Records.Ledger;

namespace Roadproof.Records.Items;

/// <summary>How the body of a record is written and read back: camelCase, enums as kebab-case words, nothing for null.</summary>
public static class RecordJson
{
    public static JsonSerializerOptions Options { get; } = new(JsonSerializerDefaults.Web)
    {
        DefaultIgnoreCondition = JsonIgnoreCondition.WhenWritingNull,
        NumberHandling = JsonNumberHandling.AllowNamedFloatingPointLiterals,
        Converters = { new JsonStringEnumConverter(JsonNamingPolicy.KebabCaseLower) },
    };

    /// <summary>The content as canonical JSON: equal content gives equal text.</summary>
    public static string Write<T>(T content) => CanonicalJson.From(content, Options);

    /// <summary>The content as JSON, for a table or for the ledger, which puts it into canonical form itself.</summary>
    public static string Text<T>(T content) => JsonSerializer.Serialize(content, Options);

    /// <exception cref="InvalidOperationException">Bug: the text is not what was written here.</exception>
    public static T Read<T>(string text) => JsonSerializer.Deserialize<T>(text, Options)
        ?? throw new InvalidOperationException($"Bug in Roadproof: a {typeof(T).Name} was kept as nothing.");
}
