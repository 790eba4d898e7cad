using System.Globalization;
using Dapper;
using Microsoft.Data.Sqlite;
using Roadproof.Records.Items;
using Roadproof.Records.Messages;

namespace Roadproof.Records.ReadModel;

/// <summary>What needs a person now, most urgent first: each title says the fact, each note brings its act.</summary>
public static class NotesQuery
{
    static readonly TimeSpan CaptureLate = TimeSpan.FromMinutes(2);
    static readonly TimeSpan ExpiryNear = TimeSpan.FromDays(3);

    public static IReadOnlyList<Note> Run(SqliteConnection c, PlantContext plant, DateTimeOffset now) =>
        ShippedOnHold(c)
            .Concat(RigNotes.Of(c, plant, now))
            .Concat(LotShifts(c, plant))
            .Concat(Refusals(c))
            .Concat(LotExpiry(c, plant, now))
            .Concat(OrderNotes.Of(c, plant, now))
            .Concat(DueNotes.OpenTimes(c, plant, now))
            .Concat(DueNotes.Calibrations(c, plant, now))
            .Concat(Holds(c))
            .Concat(Captures(c, plant, now))
            .Concat(InQuarantine(c))
            .OrderByDescending(n => n.Urgency)
            .ThenBy(n => n.Since)
            .ToList();

    static IEnumerable<Note> ShippedOnHold(SqliteConnection c) => c
        .Query<(string Unit, string? Serial, string Reason, string At)>(
            "select h.unit, u.serial, h.reason, h.at from hold h join unit u on u.unit = h.unit where h.released_at is null and u.state = 'shipped'")
        .Select(h => new Note("shipped-hold", 95, $"Shipped unit {h.Serial ?? h.Unit} should not have left", h.Reason, null, h.Unit, null, Utc.Read(h.At), "See the unit", UnitLink(h.Unit)));

    static IEnumerable<Note> LotShifts(SqliteConnection c, PlantContext plant) => LotFinding.Of(c, plant)
        .Where(f => f.LotState == "open")
        .Select(f => new Note("lot-shift", 90, f.Title, f.Text, null, null, f.Lot, f.At, "Hold the lot", LotLink(f.Lot)));

    static IEnumerable<Note> Refusals(SqliteConnection c) => c
        .Query<RefusalRow>(
            """
            select r.station Station, r.item Item, r.reason Reason, r.remedy Remedy, r.at At from refusal r
            where r.sequence = (select max(sequence) from refusal l where l.station = r.station)
              and r.sequence > coalesce((select accepted_sequence from station_state s where s.station = r.station), 0)
            """)
        .Select(r => new Note("refusal", 85, $"{r.Station} was refused: {r.Reason.TrimEnd('.')}", r.Remedy, r.Station, r.Item, null, Utc.Read(r.At), "See the station", $"/stations/{Uri.EscapeDataString(r.Station)}"));

    static IEnumerable<Note> LotExpiry(SqliteConnection c, PlantContext plant, DateTimeOffset now)
    {
        var rows = c.Query<ExpiryRow>(
            "select lot Lot, part Part, expires_at ExpiresAt, quantity - used LeftOver, received_at ReceivedAt from lot where state = 'open' and expires_at <= @soon and used > 0 and used < quantity order by expires_at",
            new { soon = Utc.Text(now + ExpiryNear) });
        foreach (var row in rows)
        {
            var part = plant.PartName(row.Part);
            var expiry = Utc.Read(row.ExpiresAt).ToOffset(now.Offset);
            var expired = expiry <= now;
            var when = expiry.ToString("d MMM HH:mm", CultureInfo.InvariantCulture);
            yield return new("lot-expiry", expired ? 75 : 40, expired ? $"{part} lot {row.Lot} has expired and is in use" : $"{part} lot {row.Lot} expires on {when}",
                $"{Figures.Count(row.LeftOver)} left of it{(expired ? $"; it expired on {when} and its scan is refused" : "")}.", null, null, row.Lot, expired ? expiry : Utc.Read(row.ReceivedAt), expired ? "Put the lot aside" : "See the lot", LotLink(row.Lot));
        }
    }

    static IEnumerable<Note> Holds(SqliteConnection c)
    {
        var rows = c.Query<(string Reason, string Unit, string Cause, string At)>(
            "select h.reason, h.unit, h.cause, h.at from hold h join unit u on u.unit = h.unit where h.released_at is null and u.state = 'held' order by h.id");
        foreach (var group in rows.GroupBy(r => r.Reason))
        {
            var units = group.Select(g => g.Unit).Distinct().ToList();
            var one = units.Count == 1;
            var rig = group.First().Cause.StartsWith("rig:", StringComparison.Ordinal);
            var lot = group.First().Cause.StartsWith("lot:", StringComparison.Ordinal) ? group.First().Cause["lot:".Length..] : null;
            yield return new("unit-hold", 70, $"{(one ? $"Unit {units[0]} is" : $"{Figures.Count(units.Count)} units are")} on hold. {group.Key.TrimEnd('.')}",
                one ? "A person releases it with a reason, sends it back or scraps it." : $"{string.Join(", ", units.Take(5))}{(units.Count > 5 ? " and more" : "")}.",
                null, one ? units[0] : null, lot, group.Min(g => Utc.Read(g.At)), lot is not null ? "See the lot" : rig ? "See the rig" : one ? "Decide on the unit" : "Decide on the units",
                lot is not null ? LotLink(lot) : rig ? RigNotes.Link : one ? UnitLink(units[0]) : "/units?state=held");
        }
    }

    // A run that was undone or repeated waits for nothing any more, and neither does a unit that was scrapped.
    static IEnumerable<Note> Captures(SqliteConnection c, PlantContext plant, DateTimeOffset now) => c
        .Query<(string Unit, string Revision, string Step, long Files, string At)>(
            """
            select r.unit, u.revision, r.step, count(*), min(r.named_at) from capture_ref r join unit_step s using (unit, step, attempt) join unit u using (unit)
            where r.state = 'awaited' and r.named_at < @late and s.verdict = 'waiting' and s.sent_back = 0 and u.scrapped_at is null
              and not exists (select 1 from unit_step l where l.unit = s.unit and l.step = s.step and l.attempt > s.attempt)
            group by r.unit, r.step
            """,
            new { late = Utc.Text(now - CaptureLate) })
        .Select(r => new Note("capture-missing", 60, $"{plant.RevisionOf(r.Revision).StepOf(r.Step)?.Name ?? r.Step} of {r.Unit} waits for {Figures.Of(r.Files, "capture")}", "The step is complete when they are here; look at the rig's connection.",
            null, r.Unit, null, Utc.Read(r.At), "See the unit", UnitLink(r.Unit)));

    static IEnumerable<Note> InQuarantine(SqliteConnection c)
    {
        var (count, since) = c.QueryFirst<(long, string?)>("select count(*), min(received_at) from quarantine where state = 'open'");
        if (count > 0)
            yield return new("quarantine", 50, $"{Figures.Of(count, "message")} could not be understood", "Nothing of it is in the records. Mend and replay, or drop it.", null, null, null, Utc.Read(since!), "Look at them", "/quarantine");
    }

    static string UnitLink(string unit) => $"/units/{Uri.EscapeDataString(unit)}";

    internal static string LotLink(string lot) => $"/lots/{Uri.EscapeDataString(lot)}";

    sealed record RefusalRow(string Station, string Item, string Reason, string Remedy, string At);

    sealed record ExpiryRow
    {
        public string Lot { get; init; } = "";
        public string Part { get; init; } = "";
        public string ExpiresAt { get; init; } = "";
        public long LeftOver { get; init; }
        public string ReceivedAt { get; init; } = "";
    }
}
