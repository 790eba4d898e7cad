using Roadproof.Engineering.Formats;
using Roadproof.Engineering.Quantities;

namespace Roadproof.App.LoadTest;

/// <summary>All capture files of one run, opened and read together.</summary>
static class CaptureFiles
{
    /// <exception cref="InputException">A file is missing, or they are no capture.</exception>
    public static Capture Read(IReadOnlyList<string> files)
    {
        var streams = new List<(string Name, Stream Stream)>();
        try
        {
            var missing = files.Where(f => !File.Exists(f)).Select(f => new InputError(f, 0, "", "no such file", "a capture file (Parquet or CSV)")).ToList();
            if (missing.Count > 0) throw new InputException(missing);
            foreach (var file in files) streams.Add((file, File.OpenRead(file)));
            return CaptureFile.Read(streams);
        }
        finally
        {
            foreach (var (_, stream) in streams) stream.Dispose();
        }
    }
}
