using System.Security.Cryptography;
using System.Text;
using Roadproof.Records.Captures;
using Roadproof.Records.Ledger;
using Roadproof.Records.Marking;
using Roadproof.Records.Stores;

namespace Roadproof.Records.Tests.Crash;

/// <summary>The program that is killed: writes a thousand messages to a folder and says of each thing when it was acknowledged.</summary>
static class CrashChild
{
    public const string Argument = "write-until-killed";
    const int Messages = 1_000;
    const int Senders = 8;

    public static NewRecord Message(int run, int number) => Sample.Record(number, key: $"run{run:d2}-{number:d4}");

    public static byte[] Capture(int run, int number) => SHA512.HashData(Encoding.ASCII.GetBytes($"{run} {number}"));

    public static async Task<int> Write(string path, int run)
    {
        using var folder = DataFolder.Open(path);
        await using var ledger = new LineLedger(folder, TimeProvider.System, new ItemCounts());
        var captures = new CaptureStore(folder, ledger);
        await Task.WhenAll(Enumerable.Range(0, Senders).Select(sender => Task.Run(async () =>
        {
            for (var number = sender; number < Messages; number += Senders) await Send(ledger, captures, run, number);
        })));
        return 0;
    }

    static async Task Send(LineLedger ledger, CaptureStore captures, int run, int number)
    {
        var kept = await ledger.Write(t => t.Append(Message(run, number)));
        Console.WriteLine($"record {kept.Key} {kept.Sequence} {kept.Hash}");
        if (number % 10 == 0)
            Console.WriteLine($"serial {await ledger.Write(t => SerialBook.Issue(t, $"SH-{run:d2}{number:d5}", "AL85", "st130", Sample.Start, "p1"))} SH-{run:d2}{number:d5}");
        if (number % 50 == 0)
        {
            var bytes = Capture(run, number);
            Console.WriteLine($"capture {(await captures.Keep(Convert.ToHexStringLower(SHA256.HashData(bytes)), new MemoryStream(bytes))).Sha256}");
        }
    }
}
