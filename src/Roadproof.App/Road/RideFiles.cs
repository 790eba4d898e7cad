using Roadproof.Engineering.Quantities;

namespace Roadproof.App.Road;

/// <summary>Finds the files of rides that a person named, one by one or by their folder.</summary>
static class RideFiles
{
    const string Expected = "a ride file (FIT, GPX, TCX or CSV) or a folder of them";

    static readonly string[] Endings = [".fit", ".gpx", ".tcx", ".csv"];

    static readonly EnumerationOptions All = new() { RecurseSubdirectories = true, IgnoreInaccessible = false };

    /// <summary>Files as they were named; of a folder every file that may be a ride by its ending, deeper folders too, by name.</summary>
    /// <exception cref="InputException">A folder without any.</exception>
    public static IReadOnlyList<string> In(IEnumerable<string> named)
    {
        List<string> files = [];
        List<InputError> errors = [];
        foreach (var name in named)
        {
            if (!Directory.Exists(name))
            {
                files.Add(name);
                continue;
            }

            var before = files.Count;
            files.AddRange(Directory.EnumerateFiles(name, "*", All).Where(f => Endings.Contains(Path.GetExtension(f), StringComparer.OrdinalIgnoreCase)).Order(StringComparer.Ordinal));
            if (files.Count == before) errors.Add(new(name, 0, "", "a folder without such files", Expected));
        }

        return errors.Count == 0 ? files : throw new InputException(errors);
    }

    /// <exception cref="InputException">It is not there or may not be read: the file is refused, the others count.</exception>
    public static FileStream Open(string file)
    {
        if (!File.Exists(file)) throw new InputException(new InputError(file, 0, "", "no such file", Expected));
        try
        {
            return new FileStream(file, FileMode.Open, FileAccess.Read, FileShare.ReadWrite, bufferSize: 1, FileOptions.SequentialScan);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw new InputException(new InputError(file, 0, "", "a file that may not be read", Expected, e.Message));
        }
    }
}
