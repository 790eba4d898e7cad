using System.CommandLine;
using Roadproof.App.Frame;
using Roadproof.Records.Ledger;
using Roadproof.Records.Stores;
using Spectre.Console;

namespace Roadproof.App.Records;

/// <summary>Looks through a line's whole memory and says whether anything was changed, lost, moved or added.</summary>
public static class VerifyRecords
{
    public static Command Verify() => CommandLine.Verb("verify", "Finds and places every record and capture that was changed, lost, moved or added.", "records verify --data plant", [], (input, face, stop) =>
    {
        using var folder = DataFolder.OpenToRead(input.GetValue(CommandLine.DataOption)!);
        var r = LedgerCheck.Verify(folder, stop: stop);
        var a = new
        {
            r.Records,
            Head = r.Head.RootHash,
            r.Retired,
            r.Broken,
            Method = "Each record's hash over canonical JSON (RFC 8785), each item's chain, the tree over all of them (RFC 9162) against its tip and every kept head, each capture against its name.",
            Warnings = Array.Empty<string>(),
        };
        return Task.FromResult(face.Say(a, console =>
        {
            foreach (var b in r.Broken) console.WriteLine($"{b.Place}: {b.Reason}");
            console.WriteLine(Invariant($"{r.Records} records, {r.Retired} captures retired, head {r.Head.RootHash}: {(r.Broken.Count == 0 ? "whole" : Invariant($"{r.Broken.Count} broken"))}."));
        }, r.Broken.Count == 0 ? Exit.Done : Exit.No));
    });

    public static Command Rebuild() => CommandLine.Verb("rebuild", "Empties the tables that are derived from the ledger and fills them again.", "records rebuild --data plant", [], async (input, face, _) =>
    {
        DataFolder.RequireRecords(input.GetValue(CommandLine.DataOption)!);
        await using var line = await OpenLine.Open(input.GetValue(CommandLine.DataOption)!);
        var records = await line.Ledger.Rebuild();
        return face.Say(new { Records = records, Head = line.Ledger.Head.RootHash, Method = "Every record is applied again in its order.", Warnings = Array.Empty<string>() },
            console => console.WriteLine(Invariant($"{records} records applied.")));
    });
}
