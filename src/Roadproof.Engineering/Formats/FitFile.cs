using System.Buffers.Binary;
using Roadproof.Engineering.Quantities;
using static System.FormattableString;

namespace Roadproof.Engineering.Formats;

/// <summary>One field of a message: where its octets lie and what they mean.</summary>
/// <param name="Offset">From the message's first octet.</param>
/// <param name="Size">In octets; several times the type's where the field is a list.</param>
readonly record struct FitField(byte Number, int Offset, int Size, byte Type);

/// <summary>What a file says of the messages that follow under one of its sixteen local numbers.</summary>
sealed record FitDefinition(ushort Message, bool BigEndian, FitField[] Fields, int Size);

/// <summary>One message as it stands in the file; valid only while it is being read.</summary>
readonly ref struct FitMessage
{
    public const byte TimestampField = 253;

    readonly FitDefinition definition;
    readonly ReadOnlySpan<byte> octets;
    readonly long? clock;

    /// <param name="clock">What the header before the message says of the time; null where it says nothing.</param>
    public FitMessage(FitDefinition definition, ReadOnlySpan<byte> octets, long? clock, int number)
    {
        this.definition = definition;
        this.octets = octets;
        this.clock = clock;
        Number = number;
    }

    public FitDefinition Definition => definition;

    public ushort Kind => definition.Message;

    /// <summary>Of this message among all of the file, counted from 1.</summary>
    public int Number { get; }

    /// <summary>Seconds of the recorder's clock, from the message or the header before it; null where neither tells.</summary>
    public long? Timestamp => Whole(TimestampField) ?? clock;

    /// <summary>A field's first value as it stands, before scale and offset; null where it is not there or says "not measured".</summary>
    public long? Whole(byte field)
    {
        foreach (var f in definition.Fields)
            if (f.Number == field) return Read(f);
        return null;
    }

    /// <summary>The field's octets; empty where it is not there.</summary>
    public ReadOnlySpan<byte> Octets(byte field)
    {
        foreach (var f in definition.Fields)
            if (f.Number == field) return octets.Slice(f.Offset, f.Size);
        return [];
    }

    /// <summary>As above for a field that the definition is known to have, without looking for it.</summary>
    public long? Whole(FitField field) => Read(field);

    // Types and their codes for "not measured". The highest bit of a type says that the order of its octets matters; floats carry nothing that a ride needs.
    long? Read(FitField field)
    {
        var at = octets.Slice(field.Offset, field.Size);
        return (field.Type & 0x1F, at.Length) switch
        {
            (0x00 or 0x02 or 0x0D, >= 1) => at[0] == 0xFF ? null : at[0],
            (0x0A, >= 1) => at[0] == 0 ? null : at[0],
            (0x01, >= 1) => at[0] == 0x7F ? null : (sbyte)at[0],
            (0x03, >= 2) => UInt16(at) is var v && v == 0x7FFF ? null : (short)v,
            (0x04, >= 2) => UInt16(at) is var v && v == 0xFFFF ? null : v,
            (0x0B, >= 2) => UInt16(at) is var v && v == 0 ? null : v,
            (0x05, >= 4) => UInt32(at) is var v && v == 0x7FFFFFFF ? null : (int)v,
            (0x06, >= 4) => UInt32(at) is var v && v == 0xFFFFFFFF ? null : v,
            (0x0C, >= 4) => UInt32(at) is var v && v == 0 ? null : v,
            _ => null,
        };
    }

    ushort UInt16(ReadOnlySpan<byte> at) => definition.BigEndian ? BinaryPrimitives.ReadUInt16BigEndian(at) : BinaryPrimitives.ReadUInt16LittleEndian(at);

    uint UInt32(ReadOnlySpan<byte> at) => definition.BigEndian ? BinaryPrimitives.ReadUInt32BigEndian(at) : BinaryPrimitives.ReadUInt32LittleEndian(at);
}

/// <summary>Reads the messages of a FIT file, or of several that stand one behind the other in it.</summary>
/// <remarks>
/// A header of 12 or 14 octets, then definitions and the messages they define, then a CRC-16 over all of it. What a definition does not name is passed over, developer fields too.
/// A file that ends early is read up to its last whole message, with a note: recorders lose power. A wrong checksum is refused: it does not tell which octet is wrong.
/// Source: the public description of the format (from memory); checked against fields decoded by another library (tests).
/// </remarks>
static class FitFile
{
    public delegate void Take(FitMessage message);

    /// <returns>What was mended: a file that ends early.</returns>
    /// <exception cref="InputException">No FIT file, a wrong checksum, or a message without a definition.</exception>
    public static IReadOnlyList<string> Read(string source, ReadOnlySpan<byte> file, Take take)
    {
        List<string> notes = [];
        var (start, number) = (0, 0);
        while (start < file.Length)
        {
            var header = HeaderOf(source, file, start);
            var (from, declared) = (start + header.Size, start + header.Size + header.DataSize);
            var cut = declared + 2 > file.Length;
            var to = (int)Math.Min(declared, file.Length);
            if (cut) notes.Add(Invariant($"The file ends early, after {file.Length - start:#,0} of {declared + 2 - start:#,0} octets: what is whole was read, unchecked."));
            else RequireChecksum(source, file[start..(int)(declared + 2)], start, "its octets make");
            ReadMessages(source, file[..to], from, cut, ref number, take);
            start = cut ? file.Length : (int)declared + 2;
        }

        return notes;
    }

    static (int Size, long DataSize) HeaderOf(string source, ReadOnlySpan<byte> file, int start)
    {
        var left = file[start..];
        if (left.Length < 12 || left[0] is not (12 or 14) || left.Length < left[0] || !left[8..12].SequenceEqual(".FIT"u8))
            throw Refusal(source, start, "no header", "a header of 12 or 14 octets that says '.FIT'");
        if (left[0] == 14 && BinaryPrimitives.ReadUInt16LittleEndian(left[12..]) != 0) RequireChecksum(source, left[..14], start, "its header makes");
        return (left[0], BinaryPrimitives.ReadUInt32LittleEndian(left[4..]));
    }

    static void RequireChecksum(string source, ReadOnlySpan<byte> octets, int start, string what)
    {
        var (found, said) = (Crc16(octets[..^2]), BinaryPrimitives.ReadUInt16LittleEndian(octets[^2..]));
        if (found != said)
            throw Refusal(source, start + octets.Length - 2, Invariant($"the checksum {said:X4} where {what} {found:X4}"), "a file as the recorder wrote it", "Copy it from the recorder again.");
    }

    static void ReadMessages(string source, ReadOnlySpan<byte> file, int at, bool cut, ref int number, Take take)
    {
        var definitions = new FitDefinition?[16];
        long? clock = null;
        while (at < file.Length)
        {
            var (record, head) = (at, file[at++]);
            var compressed = (head & 0x80) != 0;
            if (!compressed && (head & 0x40) != 0)
            {
                if (Definition(file, ref at, hasDeveloperFields: (head & 0x20) != 0) is not { } definition)
                {
                    if (cut) return;
                    throw Refusal(source, record, "a definition that ends behind the file's contents", "whole messages");
                }

                definitions[head & 0x0F] = definition;
                continue;
            }

            var local = compressed ? (head >> 5) & 0x03 : head & 0x0F;
            if (definitions[local] is not { } known) throw Refusal(source, record, Invariant($"a message {local} that nothing before it defines"), "a definition before its messages");
            if (at + known.Size > file.Length)
            {
                if (cut) return;
                throw Refusal(source, record, "a message that ends behind the file's contents", "whole messages");
            }

            // Five bits of the clock: they have gone round once where they are below the last ones.
            if (compressed && clock is { } last) clock = last + (((head & 0x1F) - last) & 0x1F);
            var message = new FitMessage(known, file.Slice(at, known.Size), compressed ? clock : null, ++number);
            clock = message.Whole(FitMessage.TimestampField) ?? clock;
            take(message);
            at += known.Size;
        }
    }

    static FitDefinition? Definition(ReadOnlySpan<byte> file, ref int at, bool hasDeveloperFields)
    {
        var left = file[at..];
        if (left.Length < 5) return null;
        var bigEndian = left[1] == 1;
        var message = bigEndian ? BinaryPrimitives.ReadUInt16BigEndian(left[2..]) : BinaryPrimitives.ReadUInt16LittleEndian(left[2..]);
        int count = left[4], length = 5 + 3 * count;
        if (left.Length < length + (hasDeveloperFields ? 1 : 0)) return null;

        var fields = new FitField[count];
        var size = 0;
        for (var i = 0; i < count; i++)
        {
            var field = left.Slice(5 + 3 * i, 3);
            fields[i] = new(field[0], size, field[1], field[2]);
            size += field[1];
        }

        if (hasDeveloperFields)
        {
            int developers = left[length++];
            if (left.Length < length + 3 * developers) return null;
            for (var i = 0; i < developers; i++) size += left[length + 3 * i + 1];
            length += 3 * developers;
        }

        at += length;
        return new(message, bigEndian, fields, size);
    }

    /// <summary>CRC-16 with the reflected polynomial 0xA001, starting from 0; of "123456789" it is BB3D.</summary>
    internal static ushort Crc16(ReadOnlySpan<byte> octets)
    {
        ushort crc = 0;
        foreach (var octet in octets) crc = (ushort)((crc >> 8) ^ CrcTable[(crc ^ octet) & 0xFF]);
        return crc;
    }

    static readonly ushort[] CrcTable = [.. Enumerable.Range(0, 256).Select(octet =>
    {
        var crc = octet;
        for (var bit = 0; bit < 8; bit++) crc = (crc & 1) == 0 ? crc >> 1 : (crc >> 1) ^ 0xA001;
        return (ushort)crc;
    })];

    static InputException Refusal(string source, int octet, string found, string expected, string? remedy = null) =>
        new(new InputError(source, 0, Invariant($"octet {octet}"), found, expected, remedy));
}
