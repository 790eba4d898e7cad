using System.CommandLine;
using Roadproof.Engineering.Checks;
using Roadproof.Engineering.Quantities;

namespace Roadproof.App.Checks;

/// <summary>Limits of features on the command line: <c>--limit seat=9.9..10.1</c>; an edge that is left out does not exist.</summary>
static class FeatureLimits
{
    public static Option<string[]> Option(IEnumerable<string> ids) => new("--limit") { Description = $"FEATURE=LOWER..UPPER, one or both edges, once for each feature: {string.Join(", ", ids)}." };

    /// <exception cref="InputException">Everything that is wrong with them.</exception>
    public static Dictionary<string, FeatureWindow> Read(string[]? typed, IReadOnlyList<string> ids)
    {
        var limits = new Dictionary<string, FeatureWindow>(StringComparer.Ordinal);
        var errors = new List<InputError>();
        foreach (var words in typed ?? [])
        {
            var parts = words.Split('=', 2);
            if (parts.Length != 2 || Edges(parts[1]) is not { } edges) errors.Add(new("--limit", 0, "", $"'{words}'", "FEATURE=LOWER..UPPER such as seat=9.9..10.1, numbers with a decimal point, the lower edge below the upper"));
            else if (!ids.Contains(parts[0], StringComparer.Ordinal)) errors.Add(new("--limit", 0, "", $"'{parts[0]}'", $"one of {string.Join(", ", ids)}"));
            else if (!limits.TryAdd(parts[0], new(edges.Lower, edges.Upper, "command line"))) errors.Add(new("--limit", 0, "", $"{parts[0]} twice", "each feature once"));
        }

        return errors.Count == 0 ? limits : throw new InputException(errors);
    }

    /// <summary><c>LOWER..UPPER</c>; null where it cannot be read.</summary>
    public static (double? Lower, double? Upper)? Edges(string words)
    {
        var edges = words.Split("..");
        if (edges.Length != 2 || !Edge(edges[0], out var lower) || !Edge(edges[1], out var upper)) return null;
        return (lower ?? upper) is null || lower >= upper ? null : (lower, upper);
    }

    static bool Edge(string words, out double? edge)
    {
        edge = null;
        if (words.Length == 0) return true;
        if (!double.TryParse(words, NumberStyles.Float, CultureInfo.InvariantCulture, out var value) || !double.IsFinite(value)) return false;
        edge = value;
        return true;
    }
}
