using Microsoft.Data.Sqlite;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Items;
using Roadproof.Records.Ledger;

namespace Roadproof.Records.People;

/// <summary>What is said of a person's qualification: granted until a date, or withdrawn. The person is an opaque key.</summary>
/// <param name="By">Key of who grants or withdraws it.</param>
public sealed record QualificationAct(string Act, string Person, string Qualification, DateTimeOffset? ValidUntil, string Key, string Reason, DateTimeOffset OccurredAt, string? By = null);

/// <summary>Body of a grant or withdrawal.</summary>
public sealed record QualificationBody(QualificationAct Said);

/// <summary>How a person's qualification stands after an act.</summary>
/// <param name="State">granted, withdrawn.</param>
public sealed record QualificationAnswer(long Sequence, string Person, string Qualification, string State, DateTimeOffset? ValidUntil, bool Repeat);

/// <summary>Says that a person may do what needs a qualification, until a date.</summary>
public static class GrantQualification
{
    /// <exception cref="InputException">The act cannot be understood.</exception>
    public static Outcome<QualificationAnswer> Decide(LedgerTransaction t, QualificationAct act) => QualificationBook.Decide(t, act with { Act = "grant" }, RecordKinds.QualificationGranted, () =>
        act.ValidUntil is { } until && until <= act.OccurredAt
            ? new Refusal($"The qualification {act.Qualification} would have ended before it is granted.", "Give the day until which it holds.", "a later day", Utc.Text(until)[..10]) : null);
}

/// <summary>Says that a person may no more do what needs a qualification.</summary>
public static class WithdrawQualification
{
    /// <exception cref="InputException">The act cannot be understood.</exception>
    public static Outcome<QualificationAnswer> Decide(LedgerTransaction t, QualificationAct act) => QualificationBook.Decide(t, act with { Act = "withdraw", ValidUntil = null }, RecordKinds.QualificationWithdrawn, () =>
        QualificationBook.Of(t.Connection, t.Transaction, act.Person, act.Qualification, act.OccurredAt) is { Holds: true } ? null
            : new Refusal($"{act.Person} does not have the qualification {act.Qualification}.", "Nothing needs to be withdrawn.", "a qualification that holds", "none"));
}

/// <summary>How a person stood to a qualification at a time.</summary>
/// <param name="EndedAt">When it ends or ended.</param>
sealed record Qualified(bool Holds, DateTimeOffset EndedAt);

/// <summary>Who is qualified for what, and until when.</summary>
static class QualificationBook
{
    const string Office = "office";

    public static Outcome<QualificationAnswer> Decide(LedgerTransaction t, QualificationAct act, string kind, Func<Refusal?> no)
    {
        Require(act);
        if (Repeats.Find(t, act.Key, Office, act) is { } earlier)
            return earlier.Same ? Answer(earlier.Record, repeat: true) : ActCheck.OtherContent(act.Key);
        if (no() is { } refused) return refused;
        return Answer(t.Append(new(act.Key, kind, act.Person, Office, act.OccurredAt, act.By ?? "", RecordJson.Text(new QualificationBody(act)))), repeat: false);
    }

    /// <summary>The grant that counts at a time: one that holds then, or the last that had ended; null where there was none.</summary>
    public static Qualified? Of(SqliteConnection c, SqliteTransaction? t, string person, string qualification, DateTimeOffset at)
    {
        var now = Utc.Text(at);
        return c.Rows(
            "select min(valid_until, coalesce(withdrawn_at, valid_until)) ends from qualification where person = @person and qualification = @qualification and granted_at <= @now order by ends desc limit 1",
            new { person, qualification, now }, t, row => row.GetString(0)).Select(end => new Qualified(string.CompareOrdinal(now, end) < 0, Utc.Read(end))).FirstOrDefault();
    }

    static void Require(QualificationAct act)
    {
        ActCheck.Require(act.Key, act.Person, "person", act.Reason);
        var errors = new List<InputError>();
        if (string.IsNullOrWhiteSpace(act.Qualification)) errors.Add(new("act", 0, "qualification", "nothing", "a qualification, as steps and zones name it"));
        if (act is { Act: "grant", ValidUntil: null }) errors.Add(new("act", 0, "validUntil", "nothing", "the time until which it holds, with offset"));
        if (errors.Count > 0) throw new InputException(errors);
    }

    static QualificationAnswer Answer(LedgerRecord record, bool repeat)
    {
        var said = RecordJson.Read<QualificationBody>(record.Body).Said;
        return new(record.Sequence, said.Person, said.Qualification, said.Act == "grant" ? "granted" : "withdrawn", said.ValidUntil, repeat);
    }
}

/// <summary>Lays out what was said of a person's qualification.</summary>
static class QualificationRecord
{
    public static void Granted(LedgerRecord record, SqliteConnection c, SqliteTransaction t)
    {
        var said = RecordJson.Read<QualificationBody>(record.Body).Said;
        c.Run(
            "insert into qualification (person, qualification, granted_at, valid_until, sequence) values (@Person, @Qualification, @at, @until, @Sequence)",
            new { said.Person, said.Qualification, at = Utc.Text(record.OccurredAt), until = Utc.Text(said.ValidUntil!.Value), record.Sequence }, t);
    }

    public static void Withdrawn(LedgerRecord record, SqliteConnection c, SqliteTransaction t)
    {
        var said = RecordJson.Read<QualificationBody>(record.Body).Said;
        c.Run(
            "update qualification set withdrawn_at = @at where person = @Person and qualification = @Qualification and withdrawn_at is null and valid_until > @at",
            new { said.Person, said.Qualification, at = Utc.Text(record.OccurredAt) }, t);
    }
}
