using System.Text.Json;
using Dapper;
using Microsoft.Data.Sqlite;
using Roadproof.Engineering.Marking;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Ledger;

namespace Roadproof.Records.Marking;

/// <summary>Every running number that was ever taken and what became of it: issued, used or void with a reason. None is taken twice.</summary>
/// <remarks>Numbers are taken inside a ledger transaction: the number and the record that names it are kept together or not at all.
/// The book is derived from those records; every ledger keeps it by itself.</remarks>
public static class SerialBook
{
    /// <summary>A row of the book.</summary>
    /// <param name="Unit">Empty where the number was passed over.</param>
    /// <param name="State"><c>issued</c>, <c>used</c> or <c>void</c>.</param>
    /// <param name="Reason">Why it is void; empty otherwise.</param>
    /// <param name="IssuedSequence">The record that took the number.</param>
    public sealed record Entry(string Serial, string Unit, string State, string Reason, long IssuedSequence);

    /// <summary>The serial number of a unit: the one it has, or the next one, recorded.</summary>
    /// <param name="unit">The unit's shell code.</param>
    /// <param name="prefix">The prefix of plant and product.</param>
    /// <exception cref="InputException">The numbers of this prefix and year are used up.</exception>
    public static string Issue(LedgerTransaction transaction, string unit, string prefix, string station, DateTimeOffset occurredAt, string person)
    {
        if (OfUnit(transaction.Connection, unit, transaction.Transaction) is { } has) return has.Serial;
        var year = occurredAt.Year % 100;
        var (serial, passedOver) = Next(prefix, year, LastNumber(transaction, prefix, year));
        var body = JsonSerializer.Serialize(new IssuedSerial(serial.ToString(), prefix, year, serial.Number, [.. passedOver.Select(p => p.ToString())]), Names);
        transaction.Append(new NewRecord(OwnKeys.SerialIssued(serial.ToString()), RecordKinds.SerialIssued, unit, station, occurredAt, person, body));
        return serial.ToString();
    }

    /// <summary>Says that an issued number will never be on a unit: the mark was spoiled, the unit scrapped.</summary>
    public static Outcome<LedgerRecord> Void(LedgerTransaction transaction, string serial, string reason, string station, DateTimeOffset occurredAt, string person)
    {
        if (string.IsNullOrWhiteSpace(reason))
            return new Refusal("A serial number is given up only with a reason.", "Say what happened to the mark.");
        if (Find(transaction.Connection, serial, transaction.Transaction) is not { } entry)
            return new Refusal($"Serial number {serial} was never issued.", "Read the code again, or ask the station for the unit's number.", Found: serial);
        if (entry.State != "issued")
            return new Refusal($"Serial number {serial} is {entry.State} and cannot be given up.", "Look at the unit that it belongs to.", "issued", entry.State);
        var body = JsonSerializer.Serialize(new VoidedSerial(serial, reason), Names);
        return transaction.Append(new NewRecord(OwnKeys.SerialVoid(serial), RecordKinds.SerialVoid, entry.Unit, station, occurredAt, person, body));
    }

    /// <summary>Marks a number as being on its unit. To be called by what derives the units, on the record of the finished mark.</summary>
    public static void Use(SqliteConnection connection, SqliteTransaction transaction, string serial) => connection.Execute(
        "update serial set state = 'used' where serial = @serial and state = 'issued'", new { serial }, transaction);

    /// <summary>The number that a unit has or is to get, or null.</summary>
    public static Entry? OfUnit(SqliteConnection connection, string unit, SqliteTransaction? transaction = null) => connection.QueryFirstOrDefault<Entry>(
        "select serial, unit, state, reason, issued_sequence as IssuedSequence from serial where unit = @unit and state in ('issued', 'used') order by issued_sequence desc",
        new { unit }, transaction);

    public static Entry? Find(SqliteConnection connection, string serial, SqliteTransaction? transaction = null) => connection.QueryFirstOrDefault<Entry>(
        "select serial, unit, state, reason, issued_sequence as IssuedSequence from serial where serial = @serial", new { serial }, transaction);

    /// <summary>Numbers that were issued and are neither on a unit nor void: someone has to say what became of each.</summary>
    public static IReadOnlyList<Entry> Unexplained(SqliteConnection connection) => connection.Query<Entry>(
        "select serial, unit, state, reason, issued_sequence as IssuedSequence from serial where state = 'issued' order by serial").AsList();

    static long LastNumber(LedgerTransaction transaction, string prefix, int year) => transaction.Connection.ExecuteScalar<long?>(
        "select max(number) from serial where prefix = @prefix and year = @year", new { prefix, year }, transaction.Transaction) ?? 0;

    static (SerialNumber Serial, List<SerialNumber> PassedOver) Next(string prefix, int year, long last)
    {
        List<SerialNumber> passedOver = [];
        while (true)
        {
            var serial = SerialNumber.Of(prefix, year, (int)++last);
            if (serial.ReadsClearly) return (serial, passedOver);
            passedOver.Add(serial);
        }
    }

    static readonly JsonSerializerOptions Names = JsonSerializerOptions.Web;
}

/// <summary>What the record of a number that was taken says.</summary>
/// <param name="PassedOver">The numbers before it whose check character would be misread.</param>
sealed record IssuedSerial(string Serial, string Prefix, int Year, int Number, IReadOnlyList<string> PassedOver);

/// <summary>What the record of a number that was given up says.</summary>
sealed record VoidedSerial(string Serial, string Reason);
