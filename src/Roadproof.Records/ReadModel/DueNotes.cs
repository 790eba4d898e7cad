using System.Globalization;
using Dapper;
using Microsoft.Data.Sqlite;
using Roadproof.Records.Items;
using Roadproof.Records.Messages;

namespace Roadproof.Records.ReadModel;

/// <summary>What will soon stop a station: an open lot near its end, a calibration that is due.</summary>
static class DueNotes
{
    static readonly TimeSpan CalibrationNear = TimeSpan.FromDays(7);

    /// <summary>An open lot is told a shift before its end, and at most in the last quarter of its time.</summary>
    static readonly TimeSpan Shift = TimeSpan.FromHours(8);

    public static IEnumerable<Note> OpenTimes(SqliteConnection c, PlantContext plant, DateTimeOffset now)
    {
        foreach (var part in plant.Standing.SelectMany(r => r.Parts).DistinctBy(p => p.Id))
        {
            if (part.OpenH is not { } hours) continue;
            var life = TimeSpan.FromHours(hours);
            var near = life / 4 < Shift ? life / 4 : Shift;

            // Of several that were used at a station the last is the one in use.
            var rows = c.Query<(string Lot, string Station, string OpenedAt, string? ExpiresAt)>(
                """
                select o.lot, o.station, o.opened_at, l.expires_at from lot_opening o join lot l on l.lot = o.lot
                where o.part = @Id and l.state = 'open' and l.used < l.quantity and o.opened_at <= @soon
                  and not exists (select 1 from lot_opening n where n.station = o.station and n.part = o.part and n.sequence > o.sequence)
                """,
                new { part.Id, soon = Utc.Text(now + near - life) });
            foreach (var row in rows)
            {
                var ends = Utc.Read(row.OpenedAt).Add(life).ToOffset(now.Offset);
                if (Utc.ReadOrNull(row.ExpiresAt) <= ends) continue; // its date comes first and is told by itself
                var (over, when) = (ends <= now, ends.ToString("d MMM HH:mm", CultureInfo.InvariantCulture));
                yield return new("lot-open", over ? 75 : 45, over ? $"{part.Name} lot {row.Lot} has been open too long" : $"{part.Name} lot {row.Lot} lasts open until {when}",
                    over ? $"Its time ended on {when} and its scan at {row.Station} is refused." : $"It was opened at {row.Station}; have another at hand.",
                    row.Station, null, row.Lot, over ? ends : ends - near, over ? "Put the lot aside" : "See the lot", NotesQuery.LotLink(row.Lot));
            }
        }
    }

    public static IEnumerable<Note> Calibrations(SqliteConnection c, PlantContext plant, DateTimeOffset now)
    {
        foreach (var (station, instrument) in plant.Standing.SelectMany(r => r.Line.Stations).SelectMany(s => s.Instruments.Select(i => (s.Id, i))))
        {
            var due = Gauges.CalibrationBook.Last(c, null, station, instrument, now)?.ToOffset(now.Offset);
            if (due > now + CalibrationNear) continue;
            var when = due?.ToString("d MMM", CultureInfo.InvariantCulture);
            var over = due is null || due < now;
            yield return new("calibration", over ? 80 : 42,
                due is null ? $"{instrument} at {station} has no calibration on record" : over ? $"The calibration of {instrument} at {station} was due on {when}" : $"{instrument} at {station} is to be calibrated by {when}",
                over ? $"What {station} asks for is refused until one is recorded." : $"After that day what {station} asks for is refused.",
                station, null, null, due is null ? now : over ? due.Value : due.Value - CalibrationNear, "See the station", $"/stations/{Uri.EscapeDataString(station)}");
        }
    }
}
