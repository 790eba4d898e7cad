using System.Text;
using System.Xml;
using Roadproof.Engineering.Quantities;

namespace Roadproof.Engineering.Formats;

/// <summary>Reads a recorded ride, whatever its file is called: the content says what it is.</summary>
public static class RideFile
{
    const string ReadToday = "a ride as FIT, GPX, TCX or CSV";

    /// <summary>Reads a ride from FIT, GPX 1.0 or 1.1 (track or route), TCX or CSV.</summary>
    /// <param name="name">The file's name, for messages.</param>
    /// <param name="stream">The file's bytes from its beginning; read to the end, left open.</param>
    /// <returns>The ride with what was mended; a file is taken whole or refused whole.</returns>
    /// <exception cref="InputException">The file is not a ride, or something in it cannot be; every error at once.</exception>
    /// <remarks>The whole file is held in memory: a ride of a day is a few megabytes. Formats and columns: <c>docs/methods/road.md</c>.</remarks>
    public static Ride Read(string name, Stream stream)
    {
        ArgumentNullException.ThrowIfNull(name);
        ArgumentNullException.ThrowIfNull(stream);
        using var memory = new MemoryStream(stream.CanSeek ? (int)Math.Min(stream.Length - stream.Position, Array.MaxLength) : 0);
        stream.CopyTo(memory);
        var bytes = memory.GetBuffer().AsSpan(0, (int)memory.Length);

        if (((ReadOnlySpan<byte>)bytes).Trim(" \t\r\n"u8).IsEmpty) throw new InputException(new InputError(name, 0, "", "an empty file", ReadToday));
        if (IsFit(name, bytes)) return FitRide.Read(name, bytes);
        if (bytes.Contains((byte)0) && !StartsAsUtf16(bytes)) throw new InputException(new InputError(name, 0, "", "a binary file", ReadToday));
        return LooksLikeXml(bytes) ? ReadXml(name, memory) : RideTable.Read(name, TextOf(name, bytes));
    }

    static bool IsFit(string name, ReadOnlySpan<byte> bytes) => (bytes.Length >= 12 && bytes[8..12].SequenceEqual(".FIT"u8)) || name.EndsWith(".fit", StringComparison.OrdinalIgnoreCase);

    static bool StartsAsUtf16(ReadOnlySpan<byte> bytes) => bytes.StartsWith((ReadOnlySpan<byte>)[0xFF, 0xFE]) || bytes.StartsWith((ReadOnlySpan<byte>)[0xFE, 0xFF]);

    static bool LooksLikeXml(ReadOnlySpan<byte> bytes)
    {
        if (bytes.StartsWith((ReadOnlySpan<byte>)[0xEF, 0xBB, 0xBF])) bytes = bytes[3..];
        if (StartsAsUtf16(bytes)) bytes = bytes[2..];
        bytes = bytes.TrimStart("\0 \t\r\n"u8);
        return !bytes.IsEmpty && bytes[0] == (byte)'<';
    }

    static string TextOf(string name, ReadOnlySpan<byte> bytes)
    {
        try
        {
            var text = new UTF8Encoding(encoderShouldEmitUTF8Identifier: false, throwOnInvalidBytes: true).GetString(bytes);
            return text.TrimStart('\uFEFF');
        }
        catch (DecoderFallbackException notUtf8)
        {
            var line = 1 + bytes[..Math.Max(0, notUtf8.Index)].Count((byte)'\n');
            throw new InputException(new InputError(name, line, "", "bytes that are not UTF-8", "text in UTF-8", "Save the table again as 'CSV UTF-8'."));
        }
    }

    static Ride ReadXml(string name, MemoryStream content)
    {
        content.Position = 0;
        try
        {
            using var reader = XmlReader.Create(content, new XmlReaderSettings { DtdProcessing = DtdProcessing.Prohibit, XmlResolver = null, IgnoreComments = true, IgnoreProcessingInstructions = true });
            reader.MoveToContent();
            return reader.LocalName switch
            {
                "gpx" => Gpx.Read(name, reader),
                "TrainingCenterDatabase" => Tcx.Read(name, reader),
                var other => throw new InputException(new InputError(name, RidePoints.LineOf(reader), "", $"an XML file of kind '{other}'", ReadToday)),
            };
        }
        catch (XmlException broken)
        {
            throw new InputException(new InputError(
                name, broken.LineNumber, $"character {broken.LinePosition.ToString(System.Globalization.CultureInfo.InvariantCulture)}",
                "broken XML", "well-formed XML", broken.Message));
        }
    }
}
