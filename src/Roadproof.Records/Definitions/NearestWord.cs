namespace Roadproof.Records.Definitions;

/// <summary>Finds the known word that a mistyped one was most likely meant to be.</summary>
public static class NearestWord
{
    /// <summary>The known word at the smallest edit distance, or null when none is near enough to be worth suggesting.</summary>
    /// <remarks>Near enough is two edits, or a third of the word for long ones. Case does not count as an edit.</remarks>
    public static string? To(string word, IEnumerable<string> known)
    {
        var reach = Math.Max(2, word.Length / 3);
        return known
            .Select(k => (Word: k, Edits: Edits(word.ToLowerInvariant(), k.ToLowerInvariant())))
            .Where(k => k.Edits <= reach && k.Edits < k.Word.Length)
            .OrderBy(k => k.Edits).ThenBy(k => k.Word, StringComparer.Ordinal)
            .Select(k => k.Word)
            .FirstOrDefault();
    }

    /// <summary>A full sentence that suggests the nearest word, or the whole list when it is short.</summary>
    public static string? Hint(string word, IReadOnlyCollection<string> known)
    {
        if (To(word, known) is { } nearest) return $"Did you mean '{nearest}'?";
        return known.Count is > 0 and <= 12 ? $"Known are: {string.Join(", ", known)}." : null;
    }

    /// <summary>Smallest number of insertions, deletions, replacements and swaps of neighbours (optimal string alignment).</summary>
    public static int Edits(string a, string b)
    {
        var beforeLast = new int[b.Length + 1];
        var last = Enumerable.Range(0, b.Length + 1).ToArray();
        for (var i = 1; i <= a.Length; i++)
        {
            var row = new int[b.Length + 1];
            row[0] = i;
            for (var j = 1; j <= b.Length; j++)
            {
                var change = a[i - 1] == b[j - 1] ? 0 : 1;
                row[j] = Math.Min(Math.Min(last[j] + 1, row[j - 1] + 1), last[j - 1] + change);
                if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1]) row[j] = Math.Min(row[j], beforeLast[j - 2] + 1);
            }

            (beforeLast, last) = (last, row);
        }

        return last[b.Length];
    }
}
