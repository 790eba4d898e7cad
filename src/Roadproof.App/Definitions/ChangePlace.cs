using System.Text.RegularExpressions;
using Roadproof.Records.Definitions;

namespace Roadproof.App.Definitions;

/// <summary>Where a change is, in the names that the plant gave its things; keys stay as they are written, with the unit that a limit is in.</summary>
public static partial class ChangePlace
{
    /// <param name="path">By keys and ids.</param>
    public static string Of(string path, RouteRevision revision)
    {
        var words = new List<string>();
        var step = (RouteStep?)null;
        var unit = "";
        foreach (var piece in Piece().Matches(path).Select(m => (List: m.Groups["list"].Value, Id: m.Groups["id"].Value, Word: m.Groups["word"].Value)))
        {
            if (piece.List == "steps") step = revision.StepOf(piece.Id);
            if (piece.List == "readings") unit = step?.Readings.FirstOrDefault(r => r.Id == piece.Id)?.Unit ?? "";
            if (piece.List == "requirements") unit = revision.Product.LoadTest?.Requirements.FirstOrDefault(r => r.Id == piece.Id)?.Unit ?? "";
            words.Add(piece switch
            {
                { Word: "lower" or "upper" or "standardUncertainty" or "usualValue" or "usualSpread" } when unit.Length > 0 => $"{piece.Word}, {unit}",
                { List: "steps" } => step?.Name ?? piece.Id,
                { List: "readings" } => step?.Readings.FirstOrDefault(r => r.Id == piece.Id)?.Name ?? piece.Id,
                { List: "screws" } => step?.Screws.FirstOrDefault(g => g.Id == piece.Id)?.Name ?? piece.Id,
                { List: "parts" } => revision.Parts.FirstOrDefault(p => p.Id == piece.Id)?.Name ?? piece.Id,
                { List: "requirements" } => revision.Product.LoadTest?.Requirements.FirstOrDefault(r => r.Id == piece.Id)?.Name ?? piece.Id,
                { List: "stations" } => revision.Line.Stations.FirstOrDefault(s => s.Id == piece.Id)?.Name ?? piece.Id,
                { List: "customers" } => "Customers, " + piece.Id,
                { List.Length: > 0 } => piece.Id,
                { Word: "product" } => "Product",
                { Word: "plant" } => "Plant",
                { Word: "line" } => revision.Line.Name,
                { Word: "loadTest" } => "Load test",
                _ => piece.Word,
            });
        }

        return string.Join(" · ", words.Where((w, i) => i == words.Count - 1 || w != "Product" || words[i + 1] != "Load test"));
    }

    // Ids may hold a full stop, so a piece is read with its brackets.
    [GeneratedRegex(@"(?<list>\w+)\[(?<id>[^\]]*)\]|(?<word>[^.\[\]]+)", RegexOptions.ExplicitCapture, 1000)]
    private static partial Regex Piece();
}
