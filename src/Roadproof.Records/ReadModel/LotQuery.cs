using Dapper;
using Microsoft.Data.Sqlite;
using Roadproof.Records.Definitions;
using Roadproof.Records.Genealogy;
using Roadproof.Records.Items;
using Roadproof.Records.Lots;
using Roadproof.Records.Messages;

namespace Roadproof.Records.ReadModel;

/// <summary>One lot and where it is.</summary>
/// <param name="Used">Pieces taken out of it, into units or into other lots.</param>
/// <param name="State">open, or held by itself or through a lot that went into it.</param>
/// <param name="InUnits">How many units have some of it in them now, by itself or through lots made of it.</param>
/// <param name="Findings">What the tool found in its units' readings, as sentences.</param>
public sealed record LotView(
    string Lot, string Part, string PartName, int Quantity, int Used, int InUnits, DateTimeOffset? ExpiresAt, DateTimeOffset ReceivedAt, string State, string? Reason,
    IReadOnlyList<string> Findings, IReadOnlyList<UnitWith> Units)
{
    /// <summary>How many units had some of it in them and have none any more.</summary>
    public int WasInUnits { get; init; }

    /// <summary>The lots on hold that went into it; empty where it is open or held by itself alone.</summary>
    public IReadOnlyList<string> HeldThrough { get; init; } = [];

    /// <summary>It is on hold by itself: what a release lifts.</summary>
    public bool HeldItself { get; init; }

    /// <summary>The station that it was brought to; null in the store.</summary>
    public string? Station { get; init; }

    /// <summary>What it was split off from or poured together of.</summary>
    public IReadOnlyList<LotPiece> Sources { get; init; } = [];

    /// <summary>What was split off it or poured together with it.</summary>
    public IReadOnlyList<LotPiece> MadeInto { get; init; } = [];

    /// <summary>Stations whose step takes its part.</summary>
    public IReadOnlyList<string> Stations { get; init; } = [];
}

/// <summary>So many pieces of one lot in another.</summary>
/// <param name="Lot">The other lot.</param>
public sealed record LotPiece(string Lot, int Quantity);

/// <summary>Shows one lot.</summary>
public static class LotQuery
{
    public const int ShownUnits = 500;

    /// <returns>Null where no lot has that code.</returns>
    public static LotView? Run(SqliteConnection c, PlantContext plant, string lot)
    {
        var row = c.QueryFirstOrDefault<Row>("select part, quantity, used, expires_at ExpiresAt, received_at ReceivedAt, state, reason, station from lot where lot = @lot", new { lot });
        if (row is null) return null;
        var findings = LotFinding.Of(c, plant, lot).Select(f => $"{f.Title}. {f.Text}");
        var inUnits = c.ExecuteScalar<int>($"{LotFamily.Touched} select count(distinct unit) from part_use where lot in (select lot from touched) and replaced is null", new { Lot = lot });
        var through = LotFamily.HeldSources(c, null, lot);
        var itself = row.State == "held";
        var reason = itself ? row.Reason : through.Count > 0 ? $"{through[0].Lot}, which went into it, is on hold: {through[0].Reason}" : null;
        return new(lot, row.Part, plant.PartName(row.Part), (int)row.Quantity, (int)row.Used, inUnits, Utc.ReadOrNull(row.ExpiresAt), Utc.Read(row.ReceivedAt),
            itself || through.Count > 0 ? "held" : "open", reason, [.. findings], GenealogyQuery.UnitsWithLot(c, lot, count: ShownUnits))
        {
            WasInUnits = c.ExecuteScalar<int>($"{LotFamily.Touched} select count(distinct unit) from part_use where lot in (select lot from touched)", new { Lot = lot }) - inUnits,
            HeldThrough = [.. through.Select(s => s.Lot)],
            HeldItself = itself,
            Station = row.Station,
            Sources = Pieces(c, "select source Lot, quantity Quantity from lot_source where lot = @lot order by sequence, source", lot),
            MadeInto = Pieces(c, "select lot Lot, quantity Quantity from lot_source where source = @lot order by sequence, lot", lot),
            Stations = [.. plant.Standing.SelectMany(r => r.Line.Stations.Where(s => r.StepOf(s.Step) is { } step && r.PartsOf(step).Contains(row.Part, StringComparer.Ordinal))).Select(s => s.Id)],
        };
    }

    static List<LotPiece> Pieces(SqliteConnection c, string sql, string lot) => c.Query<(string Lot, long Quantity)>(sql, new { lot }).Select(p => new LotPiece(p.Lot, (int)p.Quantity)).ToList();

    sealed record Row(string Part, long Quantity, long Used, string? ExpiresAt, string ReceivedAt, string State, string? Reason, string? Station);
}
