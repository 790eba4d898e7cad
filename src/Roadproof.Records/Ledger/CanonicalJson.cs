using System.Buffers;
using System.Globalization;
using System.Text;
using System.Text.Json;
using Roadproof.Engineering.Quantities;

namespace Roadproof.Records.Ledger;

/// <summary>JSON in the one form that a hash can be taken of (RFC 8785): no white space, members in the order of their UTF-16 names,
/// numbers as ECMAScript writes them, nothing escaped that need not be.</summary>
/// <remarks>Numbers are doubles, as the RFC has it: a whole number beyond 2^53 belongs in a text. Source: RFC 8785, 3.2.</remarks>
public static class CanonicalJson
{
    // A repeated member name would let two readers see two different records.
    static readonly JsonDocumentOptions Strict = new() { AllowDuplicateProperties = false, MaxDepth = 64 };

    /// <summary>The canonical form of a JSON text.</summary>
    /// <exception cref="InputException">The text is not JSON, repeats a member name, or holds half a surrogate pair or an infinite number.</exception>
    public static string Of(string json)
    {
        try
        {
            using var document = JsonDocument.Parse(json, Strict);
            return Of(document.RootElement);
        }
        catch (JsonException e)
        {
            throw Refused(e.Message, (int)(e.LineNumber ?? 0) + 1);
        }
    }

    /// <summary>The canonical form of a value, written with the given names and converters.</summary>
    public static string From<T>(T value, JsonSerializerOptions? options = null) => Of(JsonSerializer.SerializeToElement(value, options));

    /// <inheritdoc cref="Of(string)"/>
    public static string Of(JsonElement element)
    {
        var utf8 = new ArrayBufferWriter<byte>(512);
        try
        {
            Write(element, utf8);
        }
        catch (InvalidOperationException e)
        {
            // The reader unescapes lazily: half a surrogate pair shows itself only here.
            throw Refused(e.Message, 1);
        }

        return Encoding.UTF8.GetString(utf8.WrittenSpan);
    }

    static void Write(JsonElement element, ArrayBufferWriter<byte> utf8)
    {
        switch (element.ValueKind)
        {
            case JsonValueKind.Object: WriteObject(element, utf8); break;
            case JsonValueKind.Array: WriteArray(element, utf8); break;
            case JsonValueKind.String: WriteText(utf8, element.GetString()!); break;
            case JsonValueKind.Number: utf8.Write(Encoding.ASCII.GetBytes(Number(element.GetDouble()))); break;
            case JsonValueKind.True: utf8.Write("true"u8); break;
            case JsonValueKind.False: utf8.Write("false"u8); break;
            default: utf8.Write("null"u8); break;
        }
    }

    static void WriteObject(JsonElement element, ArrayBufferWriter<byte> utf8)
    {
        var members = element.EnumerateObject().Select(m => (m.Name, m.Value)).ToArray();
        Array.Sort(members, static (a, b) => string.CompareOrdinal(a.Name, b.Name));
        utf8.Write("{"u8);
        for (var i = 0; i < members.Length; i++)
        {
            if (i > 0) utf8.Write(","u8);
            WriteText(utf8, members[i].Name);
            utf8.Write(":"u8);
            Write(members[i].Value, utf8);
        }

        utf8.Write("}"u8);
    }

    static void WriteArray(JsonElement element, ArrayBufferWriter<byte> utf8)
    {
        utf8.Write("["u8);
        var first = true;
        foreach (var value in element.EnumerateArray())
        {
            if (!first) utf8.Write(","u8);
            first = false;
            Write(value, utf8);
        }

        utf8.Write("]"u8);
    }

    static void WriteText(ArrayBufferWriter<byte> utf8, string text) => WriteText(utf8, StrictUtf8.GetBytes(text));

    internal static readonly UTF8Encoding StrictUtf8 = new(encoderShouldEmitUTF8Identifier: false, throwOnInvalidBytes: true);

    /// <summary>Writes a text, quoted, given as UTF-8.</summary>
    internal static void WriteText(ArrayBufferWriter<byte> utf8, ReadOnlySpan<byte> text)
    {
        utf8.Write("\""u8);
        while (text.IndexOfAny(MustEscape) is var at && at >= 0)
        {
            utf8.Write(text[..at]);
            WriteEscaped(utf8, text[at]);
            text = text[(at + 1)..];
        }

        utf8.Write(text);
        utf8.Write("\""u8);
    }

    static readonly SearchValues<byte> MustEscape = SearchValues.Create([.. Enumerable.Range(0, 0x20).Select(b => (byte)b), (byte)'"', (byte)'\\']);

    static void WriteEscaped(ArrayBufferWriter<byte> utf8, byte b) => utf8.Write(b switch
    {
        (byte)'"' => "\\\""u8,
        (byte)'\\' => "\\\\"u8,
        (byte)'\b' => "\\b"u8,
        (byte)'\t' => "\\t"u8,
        (byte)'\n' => "\\n"u8,
        (byte)'\f' => "\\f"u8,
        (byte)'\r' => "\\r"u8,
        _ => Encoding.ASCII.GetBytes($"\\u{b:x4}"),
    });

    /// <summary>A number as ECMAScript's <c>Number.prototype.toString</c> writes it: the shortest digits that read back as the same double.</summary>
    /// <exception cref="InputException">The value is NaN or infinite.</exception>
    public static string Number(double value)
    {
        if (!double.IsFinite(value)) throw Refused(value.ToString(CultureInfo.InvariantCulture), 1);
        if (value == 0) return "0";

        // "E16" would round; "R" gives the shortest digits, as d.ddddE±xx, ddd.ddd or 0.000ddd: take the digits and the exponent out of it.
        var shortest = Math.Abs(value).ToString("R", CultureInfo.InvariantCulture);
        var (mantissa, exponent) = shortest.IndexOf('E', StringComparison.Ordinal) is var e && e >= 0
            ? (shortest[..e], int.Parse(shortest.AsSpan(e + 1), NumberStyles.AllowLeadingSign, CultureInfo.InvariantCulture))
            : (shortest, 0);
        var point = mantissa.IndexOf('.', StringComparison.Ordinal) is var p && p >= 0 ? p : mantissa.Length;
        var written = mantissa.Replace(".", "", StringComparison.Ordinal);
        var leading = written.Length - written.TrimStart('0').Length;
        var digits = written[leading..].TrimEnd('0');
        return (value < 0 ? "-" : "") + Layout(digits, point - leading + exponent);
    }

    // The value is 0.digits × 10^pointAt; ECMA-262, Number::toString, steps 6 to 10.
    static string Layout(string digits, int pointAt)
    {
        var count = digits.Length;
        if (pointAt is > 0 and <= 21)
            return count <= pointAt ? digits + new string('0', pointAt - count) : $"{digits[..pointAt]}.{digits[pointAt..]}";
        if (pointAt is > -6 and <= 0) return "0." + new string('0', -pointAt) + digits;
        var exponent = (pointAt - 1).ToString("+0;-0", CultureInfo.InvariantCulture);
        return count == 1 ? $"{digits}e{exponent}" : $"{digits[..1]}.{digits[1..]}e{exponent}";
    }

    static InputException Refused(string found, int line) =>
        new(new InputError("body of a record", line, "", found, "JSON with each member named once, whole texts and finite numbers (RFC 8785)"));
}
