using System.Globalization;
using Roadproof.Engineering.Formats;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Items;
using Roadproof.Records.Ledger;
using Roadproof.Records.Messages;

namespace Roadproof.Records.Lots;

/// <summary>The lots of a delivery, as a file lists them.</summary>
public sealed record LotDelivery(string Key, LotTable File, DateTimeOffset OccurredAt, string? Person = null);

/// <summary>What a person hears about a delivery.</summary>
/// <param name="Lots">Codes of the lots received, in the order of the file.</param>
public sealed record LotDeliveryAnswer(IReadOnlyList<string> Lots, bool Repeat);

/// <summary>Takes the lots of a file into the plant: all of them, or none with everything that is wrong.</summary>
public static class ReceiveLots
{
    /// <exception cref="InputException">Every mistake in the file, with its line and column.</exception>
    public static LotDeliveryAnswer Decide(LedgerTransaction t, LotDelivery said, PlantContext plant)
    {
        var errors = new List<InputError>(said.File.Errors);
        if (SenderKey.Wrong("lot", said.Key) is { } wrong) errors.Add(wrong);
        var codes = new HashSet<string>(StringComparer.Ordinal);
        var fresh = new List<LotReceipt>();
        foreach (var row in said.File.Rows)
        {
            Add(LotBook.WrongCode(said.File.Source, row.Line, "lot", row.Lot));
            Add(LotBook.WrongPart(said.File.Source, row.Line, row.Part, plant.Parts));
            var receipt = new LotReceipt(string.Create(CultureInfo.InvariantCulture, $"{said.Key}/{row.Line}"), row.Lot, row.Part, row.Quantity ?? 0, row.ExpiresAt, said.OccurredAt, said.Person);
            if (row.Lot.Length > 0 && !codes.Add(row.Lot)) Add(new(said.File.Source, row.Line, "lot", $"'{row.Lot}' twice", "each lot once"));
            else if (Repeats.Find(t, receipt.Key, LotBook.Office, receipt) is { } earlier)
            {
                if (earlier.Same) continue;
                Add(new(said.File.Source, row.Line, "", $"key '{receipt.Key}', which was used before for something else", "a key never used before", "Send the file with a key of its own."));
            }
            else if (LotBook.State(t, row.Lot) is not null) Add(new(said.File.Source, row.Line, "lot", $"'{row.Lot}', which was received before", "a new lot code", "A new delivery of the same lot needs a lot code of its own."));
            fresh.Add(receipt);
        }

        if (errors.Count > 0) throw new InputException(errors.OrderBy(e => e.Line).ToList());
        foreach (var receipt in fresh)
            t.Append(new(receipt.Key, RecordKinds.LotReceived, receipt.Lot, LotBook.Office, receipt.OccurredAt, receipt.Person ?? "", RecordJson.Text(new LotReceivedBody(receipt))));
        return new(said.File.Rows.Select(r => r.Lot).ToList(), Repeat: fresh.Count == 0);

        void Add(InputError? error)
        {
            if (error is not null) errors.Add(error);
        }
    }
}
