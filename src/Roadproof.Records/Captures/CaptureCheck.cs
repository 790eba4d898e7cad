using System.Security.Cryptography;
using Roadproof.Records.Ledger;
using Roadproof.Records.Stores;

namespace Roadproof.Records.Captures;

/// <summary>Holds the capture files against the records of their arrival and retirement.</summary>
sealed class CaptureCheck
{
    readonly Dictionary<string, bool> keptByName = new(StringComparer.Ordinal);

    public long Retired => keptByName.Values.Count(kept => !kept);

    public void Note(LedgerRowReader row)
    {
        if (row.Kind.SequenceEqual("capture-kept"u8)) keptByName[System.Text.Encoding.UTF8.GetString(row.Item)] = true;
        else if (row.Kind.SequenceEqual("capture-retired"u8)) keptByName[System.Text.Encoding.UTF8.GetString(row.Item)] = false;
    }

    public void End(DataFolder folder, BrokenPlaces places, CancellationToken stop)
    {
        foreach (var name in keptByName.Where(c => c.Value).Select(c => c.Key).Order(StringComparer.Ordinal))
        {
            stop.ThrowIfCancellationRequested();
            if (Fault(folder, name) is { } fault) places.Add($"capture {name}", fault);
        }
    }

    static string? Fault(DataFolder folder, string name)
    {
        try
        {
            if (!CaptureStore.IsName(name)) return "Its name in the ledger is no SHA-256.";
            using var file = new FileStream(CaptureStore.PathOf(folder, name), FileMode.Open, FileAccess.Read, FileShare.Read | FileShare.Delete, 1 << 17);
            return Convert.ToHexStringLower(SHA256.HashData(file)) == name ? null : "Changed: the file's bytes do not hash to its name.";
        }
        catch (IOException e)
        {
            return e is FileNotFoundException or DirectoryNotFoundException
                ? "Missing: the file is gone and no record retired it."
                : $"Cannot be read ({e.Message}).";
        }
    }
}
