using System.Security.Cryptography;
using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Formats;
using Roadproof.Engineering.LoadTest;
using Roadproof.Plant.Rigs;

namespace Roadproof.Plant.Line;

/// <summary>Everything that fixes the captures of one run.</summary>
/// <param name="CutShort">The rig's computer stops writing the last file too soon.</param>
public sealed record RunOrder(CaptureHeader Header, LoadTestPlan Plan, Deviation Unit, RigErrors Rig, RunConditions Conditions, bool CutShort);

/// <summary>A capture file with the name under which it is uploaded.</summary>
public sealed record RecordedFile(string Name, string Sha256, byte[] Octets)
{
    public static RecordedFile Of(string name, byte[] octets) => new(name, Convert.ToHexStringLower(SHA256.HashData(octets)), octets);
}

/// <summary>A rig's run as the three files that it uploads.</summary>
public static class RunRecording
{
    const double ShareWritten = 0.6;

    public static IReadOnlyList<RecordedFile> Record(RunOrder order)
    {
        var run = RunGenerator.Run(order.Plan, order.Unit, order.Rig, order.Conditions);
        var vibration = Octets(run.Vibration, order.Header);
        if (order.CutShort) vibration = vibration[..(int)(vibration.Length * ShareWritten)];
        return [RecordedFile.Of("slow", Octets(run.Slow, order.Header)), RecordedFile.Of("fast", Octets(run.Fast, order.Header)), RecordedFile.Of("vibration", vibration)];
    }

    static byte[] Octets(CaptureTable table, CaptureHeader header)
    {
        using var stream = new MemoryStream();
        CaptureFile.WriteParquet(table, header, stream);
        return stream.ToArray();
    }
}
