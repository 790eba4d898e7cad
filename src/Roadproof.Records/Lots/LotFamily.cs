using Microsoft.Data.Sqlite;
using Roadproof.Records.Items;

namespace Roadproof.Records.Lots;

/// <summary>What a lot was made of, and what was made of it: by splitting and by pouring together, through all levels.</summary>
/// <remarks>Something bad in a lot goes on into what was made of it and nowhere else: neither into the other lots that were poured into the same tray, nor back into the lot that it was split off.</remarks>
static class LotFamily
{
    /// <summary>Before a statement: <c>touched</c> holds lot <c>@Lot</c> and every lot that has some of it.</summary>
    public const string Touched = "with recursive touched(lot) as (select @Lot union select s.lot from lot_source s join touched t on s.source = t.lot)";

    /// <summary>Before a statement: <c>held</c> holds every lot that is on hold itself or has some of one that is.</summary>
    public const string Held = "with recursive held(lot) as (select lot from lot where state = 'held' union select s.lot from lot_source s join held h on s.source = h.lot)";

    /// <summary>Lots on hold that this one has some of, with their reasons.</summary>
    public static IReadOnlyList<HeldSource> HeldSources(SqliteConnection c, SqliteTransaction? t, string lot) => c.Rows(
        """
        with recursive origin(lot) as (select source from lot_source where lot = @Lot union select s.source from lot_source s join origin o on s.lot = o.lot)
        select l.lot, l.reason from origin join lot l on l.lot = origin.lot where l.state = 'held' order by l.held_at, l.lot
        """,
        new { Lot = lot }, t, row => new HeldSource(row.GetString(0), row.Text(1) ?? ""));

    /// <summary>Every lot that has some of this one, without itself.</summary>
    public static IReadOnlyList<string> MadeOf(SqliteConnection c, SqliteTransaction? t, string lot) =>
        c.Rows($"{Touched} select lot from touched where lot <> @Lot order by lot", new { Lot = lot }, t, row => row.GetString(0));
}

/// <summary>A lot on hold that went into another.</summary>
sealed record HeldSource(string Lot, string Reason);
