using System.Buffers.Binary;
using Roadproof.Engineering.Formats;

namespace Roadproof.Engineering.Tests.Formats;

/// <summary>Writes invented FIT files field by field, so that tests know every octet.</summary>
sealed class WrittenFit
{
    public const byte U8 = 0x02, S8 = 0x01, U16 = 0x84, S32 = 0x85, U32 = 0x86, Code = 0x00;

    readonly List<byte> body = [];

    /// <summary>A definition with fields of one value each, and developer fields that nothing here reads.</summary>
    public WrittenFit Define(int local, ushort message, (byte Number, byte Type)[] fields, bool bigEndian = false, params int[] developerSizes)
    {
        body.Add((byte)(0x40 | (developerSizes.Length > 0 ? 0x20 : 0) | local));
        body.AddRange([0, (byte)(bigEndian ? 1 : 0)]);
        body.AddRange(bigEndian ? [(byte)(message >> 8), (byte)message] : [(byte)message, (byte)(message >> 8)]);
        body.Add((byte)fields.Length);
        foreach (var (number, type) in fields) body.AddRange([number, (byte)Size(type), type]);
        if (developerSizes.Length > 0) body.Add((byte)developerSizes.Length);
        for (var i = 0; i < developerSizes.Length; i++) body.AddRange([(byte)i, (byte)developerSizes[i], 0]);
        return this;
    }

    public WrittenFit Data(int local, bool bigEndian = false, params (byte Type, long Value)[] values) => Written((byte)local, bigEndian, values);

    /// <summary>A message whose header holds five bits of the clock.</summary>
    public WrittenFit Compressed(int local, int seconds, params (byte Type, long Value)[] values) => Written((byte)(0x80 | (local << 5) | (seconds & 0x1F)), false, values);

    public WrittenFit Octets(params byte[] octets)
    {
        body.AddRange(octets);
        return this;
    }

    public byte[] File(int headerSize = 14)
    {
        var header = new byte[headerSize];
        (header[0], header[1]) = ((byte)headerSize, 0x20);
        BinaryPrimitives.WriteUInt32LittleEndian(header.AsSpan(4), (uint)body.Count);
        ".FIT"u8.CopyTo(header.AsSpan(8));
        if (headerSize == 14) BinaryPrimitives.WriteUInt16LittleEndian(header.AsSpan(12), FitFile.Crc16(header.AsSpan(0, 12)));
        byte[] all = [.. header, .. body, 0, 0];
        BinaryPrimitives.WriteUInt16LittleEndian(all.AsSpan(all.Length - 2), FitFile.Crc16(all.AsSpan(0, all.Length - 2)));
        return all;
    }

    public static Ride Read(byte[] file, string name = "ride.fit") => RideFile.Read(name, new MemoryStream(file));

    WrittenFit Written(byte head, bool bigEndian, (byte Type, long Value)[] values)
    {
        body.Add(head);
        foreach (var (type, value) in values)
        {
            var octets = Enumerable.Range(0, Size(type)).Select(i => (byte)(value >> (8 * i)));
            body.AddRange(bigEndian ? octets.Reverse() : octets);
        }

        return this;
    }

    static int Size(byte type) => type switch { U16 => 2, S32 or U32 => 4, _ => 1 };
}
