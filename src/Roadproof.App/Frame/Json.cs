using System.Text.Encodings.Web;
using System.Text.Json;
using System.Text.Json.Serialization;

namespace Roadproof.App.Frame;

/// <summary>How Roadproof writes and reads JSON at every door: camelCase, enums as words, unknown fields refused, no NaN.</summary>
public static class Json
{
    public static readonly JsonSerializerOptions Options = Make(indented: false);
    public static readonly JsonSerializerOptions Indented = Make(indented: true);

    static JsonSerializerOptions Make(bool indented)
    {
        var options = new JsonSerializerOptions(JsonSerializerDefaults.Web) { WriteIndented = indented };
        Set(options);
        return options;
    }

    /// <summary>Gives a host's own options the same manners.</summary>
    public static void Set(JsonSerializerOptions options)
    {
        options.Converters.Add(new JsonStringEnumConverter(JsonNamingPolicy.KebabCaseLower));
        options.UnmappedMemberHandling = JsonUnmappedMemberHandling.Disallow;
        options.NumberHandling = JsonNumberHandling.Strict;
        // Units such as N·m and m/s² are read by people: they stand as they are. The text never goes into a page unescaped.
        options.Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping;
    }
}
