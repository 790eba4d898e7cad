using System.Text.Json;
using Roadproof.App.Frame;

namespace Roadproof.App.Tests.Commands;

/// <summary>A command line run in this process, and what it said.</summary>
sealed record Typed(int Exit, string Output, string Error)
{
    /// <summary>The demo plant's definition files, as they lie beside the program.</summary>
    public static readonly string Definitions = Path.Combine(AppContext.BaseDirectory, "demo");

    /// <summary>Types the words; none of them may hold a space.</summary>
    public static Task<Typed> Line(string words) => Words(words.Split(' ', StringSplitOptions.RemoveEmptyEntries));

    public static async Task<Typed> Words(params string[] words)
    {
        using var output = new StringWriter();
        using var error = new StringWriter();
        var exit = await CommandLine.Run(words, output, error);
        return new(exit, output.ToString(), error.ToString());
    }

    /// <summary>The one JSON document on standard output; more than one, or anything beside it, fails.</summary>
    public JsonElement Json => JsonDocument.Parse(Output).RootElement;

    public double Number(string field) => Json.GetProperty(field).GetDouble();

    /// <summary>The document has these fields, on which outsiders rely, and <c>method</c> and <c>warnings</c>, which every answer has; another one breaks nobody.</summary>
    public void HasFields(params string[] fields)
    {
        var found = Json.EnumerateObject().Select(p => p.Name).ToList();
        Assert.Empty(fields.Append("method").Append("warnings").Except(found));
        Assert.NotEqual("", Json.GetProperty("method").GetString());
        Assert.Equal(JsonValueKind.Array, Json.GetProperty("warnings").ValueKind);
    }

    /// <summary>Wrong input: exit 2, every error as <c>place: found …, expected …</c> on standard error and the same in JSON where it was asked for.</summary>
    public void IsWrong(params string[] sentences)
    {
        Assert.Equal(2, Exit);
        Assert.All(sentences, s => Assert.Contains(s, Error, StringComparison.Ordinal));
        Assert.All(Error.Split('\n', StringSplitOptions.RemoveEmptyEntries).Where(line => !line.StartsWith("See: ", StringComparison.Ordinal)), line => Assert.Matches(".: (.+: )?found .+, expected .+[.?]$", line.TrimEnd('\r')));
        Assert.DoesNotContain("System.", Error, StringComparison.Ordinal);
        Assert.DoesNotContain("   at ", Error, StringComparison.Ordinal);
        if (Output.StartsWith('{')) Assert.NotEqual(0, Json.GetProperty("errors").GetArrayLength());
    }
}
