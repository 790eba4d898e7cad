using System.Text.Json;
using Dapper;
using Microsoft.Data.Sqlite;
using Roadproof.Engineering.Marking;
using Roadproof.Records.Ledger;

namespace Roadproof.Records.Marking;

/// <summary>Fills the serial book from the ledger. The ledger always has it on: without the book the next number would be the first one again.</summary>
sealed class SerialRecords : IDerive
{
    public void Apply(LedgerRecord record, SqliteConnection connection, SqliteTransaction transaction)
    {
        if (record.Kind == RecordKinds.SerialIssued) Issued(record, connection, transaction);
        else if (record.Kind == RecordKinds.SerialVoid) Voided(record, connection, transaction);
    }

    public void Clear(SqliteConnection connection, SqliteTransaction transaction) => connection.Execute("delete from serial", transaction: transaction);

    static void Issued(LedgerRecord record, SqliteConnection connection, SqliteTransaction transaction)
    {
        var issued = Read<IssuedSerial>(record);
        foreach (var passed in issued.PassedOver) Insert(passed, "", "void", $"Passed over: its check character would be {passed[^1]}, which is misread.");
        Insert(issued.Serial, record.Item, "issued", "");

        void Insert(string text, string unit, string state, string reason)
        {
            var serial = SerialNumber.Parse(text);
            connection.Execute("""
                insert into serial (serial, prefix, year, number, unit, state, reason, issued_sequence)
                values (@text, @Prefix, @Year, @Number, @unit, @state, @reason, @Sequence)
                """, new { text, serial.Prefix, serial.Year, serial.Number, unit, state, reason, record.Sequence }, transaction);
        }
    }

    static void Voided(LedgerRecord record, SqliteConnection connection, SqliteTransaction transaction)
    {
        var (serial, reason) = Read<VoidedSerial>(record);
        connection.Execute("update serial set state = 'void', reason = @reason where serial = @serial", new { serial, reason }, transaction);
    }

    static T Read<T>(LedgerRecord record) => JsonSerializer.Deserialize<T>(record.Body, JsonSerializerOptions.Web)
        ?? throw new InvalidOperationException(FormattableString.Invariant($"Bug in Roadproof: record {record.Sequence} has no body."));
}
