using System.Globalization;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Definitions;
using Roadproof.Records.Messages;

namespace Roadproof.Records.Items;

/// <summary>Lots once they are opened: how long they last then, which of several is used first, and that a unit may have to stay with one.</summary>
/// <remarks>The first use opens a lot; where it was used last is where it lies.</remarks>
static class OpenLots
{
    public static IEnumerable<Refusal> Broken(Situation s, PartDefinition part, MessagePart given)
    {
        if (given.Lot is not { } code) yield break;
        if (part.OpenH is { } hours && OpenedAt(s, code) is { } opened && opened.AddHours(hours) < s.Said.OccurredAt)
        {
            var open = Math.Floor((s.Said.OccurredAt - opened).TotalHours);
            yield return new($"Lot {code} was opened on {Local(s, opened)} and lasts {Figure(hours)} h open; that ended on {Local(s, opened.AddHours(hours))}.",
                $"Put it aside and open another lot of {Wording.Lower(part.Name)}.", $"opened within {Figure(hours)} h", $"open for {Figure(open)} h");
        }

        if (part.FirstExpiredFirst && EndsFirst(s, part, code) is { } first)
            yield return new($"Lot {first.Lot} is open at {s.Station} and ends before {code}.", $"Use up {first.Lot} first; if it is empty or spoiled, have it put on hold.", first.Lot, code);

        if (s.Step.Parts.Any(p => p.Part == part.Id && p.OneLot) && OtherLotInside(s, part, code) is { } inside)
            yield return new($"{s.UnitCode} holds {Wording.Lower(part.Name)} of lot {inside}, and all of it comes from one lot.", $"Take lot {inside}; if it has run out, have {s.UnitCode} sent back to {s.Step.Name} and all of it changed.", inside, code);
    }

    /// <summary>What is accepted, and should have come after something else.</summary>
    public static IEnumerable<string> Warnings(Situation s, PartDefinition part, string lot)
    {
        if (!part.FirstExpiredFirst && EndsFirst(s, part, lot) is { } first)
            yield return $"Lot {first.Lot} is open at {s.Station} and ends first, on {Local(s, first.EndsAt)}: use it up before {lot}.";
    }

    static DateTimeOffset? OpenedAt(Situation s, string lot) =>
        s.Connection.Rows("select opened_at from lot_opening where lot = @lot", new { lot }, s.Transaction, row => Utc.ReadOrNull(row.GetString(0))).FirstOrDefault();

    /// <summary>The lot that lies open at the station, is not past its time and ends before this one; null where there is none.</summary>
    static (string Lot, DateTimeOffset EndsAt)? EndsFirst(Situation s, PartDefinition part, string lot)
    {
        if (s.Connection.Rows("select expires_at from lot where lot = @lot and part = @Id", new { lot, part.Id }, s.Transaction, row => (ExpiresAt: Utc.ReadOrNull(row.Text(0)), Found: true)).FirstOrDefault() is not { Found: true } given)
            return null;
        if (given.ExpiresAt is null && part.OpenH is null) return null;
        var now = s.Said.OccurredAt;
        if (EndOf(part, given.ExpiresAt, OpenedAt(s, lot) ?? now) is not { } end) return null;
        return s.Connection.Rows(
                """
                select o.lot, o.opened_at, l.expires_at from lot_opening o join lot l on l.lot = o.lot
                where o.station = @Station and o.part = @Id and o.lot <> @lot and l.part = o.part and l.state = 'open' and l.used < l.quantity
                """,
                new { s.Station, part.Id, lot }, s.Transaction, row => (Lot: row.GetString(0), EndsAt: EndOf(part, Utc.ReadOrNull(row.Text(2)), Utc.Read(row.GetString(1)))))
            .Where(o => o.EndsAt is { } at && at >= now && at < end)
            .Select(o => ((string, DateTimeOffset)?)(o.Lot, o.EndsAt!.Value))
            .MinBy(o => o!.Value.Item2);
    }

    /// <summary>When a lot may be used no more: past its date, or past its time once opened; null where neither is set.</summary>
    public static DateTimeOffset? EndOf(PartDefinition part, DateTimeOffset? expiresAt, DateTimeOffset openedAt) =>
        part.OpenH is not { } hours ? expiresAt : expiresAt is { } date && date < openedAt.AddHours(hours) ? date : openedAt.AddHours(hours);

    // What a step put in that the unit was sent back past is to come out; what a repair put in belongs to no attempt yet.
    static string? OtherLotInside(Situation s, PartDefinition part, string lot) => s.Connection.Rows(
        """
        select p.lot from part_use p left join unit_step u using (unit, step, attempt)
        where p.unit = @UnitCode and p.part = @Id and p.lot <> @lot and p.replaced is null and p.via is null and coalesce(u.sent_back, 0) = 0 and not (@Swaps and p.step = @StepId) limit 1
        """,
        new { s.UnitCode, part.Id, lot, s.Swaps, StepId = s.Step.Id }, s.Transaction, row => row.GetString(0)).FirstOrDefault();

    static string Local(Situation s, DateTimeOffset time) => time.ToOffset(s.Said.OccurredAt.Offset).ToString("d MMM HH:mm", CultureInfo.InvariantCulture);

    static string Figure(double number) => number.ToString("0.##", CultureInfo.InvariantCulture);
}
