using System.Text.Encodings.Web;
using System.Text.Json;
using System.Text.Json.Serialization;

namespace Roadproof.Records.Definitions;

/// <summary>How a route revision stands in JSON: camelCase, enums as kebab-case words, only what was defined (nothing computed), unknown fields refused.</summary>
public static class RouteRevisionJson
{
    public static readonly JsonSerializerOptions Options = new(JsonSerializerDefaults.Web)
    {
        Converters = { new JsonStringEnumConverter(JsonNamingPolicy.KebabCaseLower, allowIntegerValues: false) },
        IgnoreReadOnlyProperties = true,
        NumberHandling = JsonNumberHandling.Strict,
        UnmappedMemberHandling = JsonUnmappedMemberHandling.Disallow,
        // Units such as N·m are read by people. The text never goes into a page unescaped.
        Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping,
    };
}
