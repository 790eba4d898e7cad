using System.Globalization;
using Roadproof.Engineering.Quantities;
using static System.FormattableString;

namespace Roadproof.Engineering.Formats;

/// <summary>The files of one load-test run, read into one <see cref="Capture"/>.</summary>
/// <remarks>
/// The reader refuses what is not a capture: an empty or cut file, no time, time that stands still or goes back, cells that are no numbers, files that say they are
/// of different runs. What a capture must hold to be <em>judged</em> (channels, rates, sensors that live) is the load test's to say, not the reader's.
/// </remarks>
public static class CaptureFile
{
    /// <summary>Reads all files of one run, Parquet or CSV by their content; a <c>.yaml</c> file beside a CSV brings its metadata.</summary>
    /// <param name="files">Names as the sender knows them, for errors, and their contents.</param>
    /// <param name="channels">Only these are decoded of a Parquet file, where they are there; null takes all.</param>
    /// <exception cref="InputException">Anything is wrong in any of the files; lists all of it.</exception>
    public static Capture Read(IReadOnlyList<(string Name, Stream Stream)> files, IReadOnlySet<string>? channels = null)
    {
        var errors = new List<InputError>();
        var tables = new List<CaptureTable>();
        var headers = new List<(string Source, CaptureMetadata Metadata)>();

        if (files.Count == 0) errors.Add(new("capture", 0, "", "no file", "at least one Parquet or CSV file of the run"));
        foreach (var (name, stream) in files)
        {
            var octets = Octets(stream);
            if (octets.Length == 0)
            {
                errors.Add(new(name, 0, "", "an empty file", "a capture in Parquet or CSV", "The rig may have lost the connection before it wrote: send the file again."));
                continue;
            }

            var metadata = new CaptureMetadata(name);
            if (name.EndsWith(".yaml", StringComparison.OrdinalIgnoreCase) || name.EndsWith(".yml", StringComparison.OrdinalIgnoreCase)) metadata.ReadLines(octets, errors);
            else if ((IsParquet(octets) ? ParquetCapture.Read(name, octets, channels, metadata, errors) : CsvCapture.Read(name, octets, errors)) is { } table)
            {
                RequireRisingTime(table, errors);
                tables.Add(table);
            }

            headers.Add((name, metadata));
        }

        if (tables.Count == 0 && errors.Count == 0) errors.Add(new("capture", 0, "", "only metadata", "at least one Parquet or CSV file of the run"));
        var header = CaptureMetadata.Agreed([.. headers.Select(h => h.Metadata)], errors);
        return errors.Count == 0 ? new(header, tables) : throw new InputException(errors);
    }

    /// <summary>Writes one table as Parquet (Snappy, one row group, plain or dictionary pages) with the header as key-value metadata.</summary>
    /// <remarks>The same table and header give the same octets.</remarks>
    public static void WriteParquet(CaptureTable table, CaptureHeader header, Stream stream) => ParquetCapture.Write(table, header, stream);

    static byte[] Octets(Stream stream)
    {
        using var memory = new MemoryStream(stream.CanSeek ? (int)(stream.Length - stream.Position) : 0);
        stream.CopyTo(memory);
        return memory.Length == memory.Capacity ? memory.GetBuffer() : memory.ToArray();
    }

    static bool IsParquet(ReadOnlySpan<byte> octets) => octets.StartsWith("PAR1"u8);

    static void RequireRisingTime(CaptureTable table, List<InputError> errors)
    {
        var timeS = table.TimeS;
        if (timeS.Length == 0)
        {
            errors.Add(new(table.Source, 0, "", "no rows", "at least one sample"));
            return;
        }

        var (notANumber, back, repeated) = (-1, -1, -1);
        for (var i = 0; i < timeS.Length; i++)
        {
            if (!double.IsFinite(timeS[i])) notANumber = notANumber < 0 ? i : notANumber;
            else if (i > 0 && timeS[i] < timeS[i - 1]) back = back < 0 ? i : back;
            else if (i > 0 && timeS[i] == timeS[i - 1]) repeated = repeated < 0 ? i : repeated;
        }

        const string rising = "times that rise from row to row";
        if (notANumber >= 0) errors.Add(new(table.Source, 0, CaptureChannel.Time, $"no time in row {Row(notANumber)}", "a number of seconds in every row"));
        if (back >= 0)
        {
            errors.Add(new(table.Source, 0, CaptureChannel.Time, $"{Seconds(timeS[back])} in row {Row(back)} after {Seconds(timeS[back - 1])}", rising,
                "Time went back: was the rig's clock set during the run? Use the time since the start of the run."));
        }

        if (repeated >= 0)
        {
            errors.Add(new(table.Source, 0, CaptureChannel.Time, $"{Seconds(timeS[repeated])} twice, in rows {Row(repeated - 1)} and {Row(repeated)}", rising,
                "Write times with enough digits for the sample rate."));
        }
    }

    static string Row(int index) => (index + 1).ToString(CultureInfo.InvariantCulture);

    static string Seconds(double s) => Invariant($"{s} s");
}
