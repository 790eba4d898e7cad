using Dapper;
using Microsoft.Data.Sqlite;
using Roadproof.Records.Genealogy;
using Roadproof.Records.Items;
using Roadproof.Records.Messages;

namespace Roadproof.Records.ReadModel;

/// <summary>One lot and where it is.</summary>
/// <param name="State">open or held.</param>
/// <param name="InUnits">How many units have it in them now.</param>
/// <param name="Findings">What the tool found in its units' readings, as sentences.</param>
public sealed record LotView(
    string Lot, string Part, string PartName, int Quantity, int Used, int InUnits, DateTimeOffset? ExpiresAt, DateTimeOffset ReceivedAt, string State, string? Reason,
    IReadOnlyList<string> Findings, IReadOnlyList<UnitWith> Units);

/// <summary>Shows one lot.</summary>
public static class LotQuery
{
    /// <returns>Null where no lot has that code.</returns>
    public static LotView? Run(SqliteConnection c, PlantContext plant, string lot)
    {
        var row = c.QueryFirstOrDefault<Row>("select part, quantity, used, expires_at ExpiresAt, received_at ReceivedAt, state, reason from lot where lot = @lot", new { lot });
        if (row is null) return null;
        var findings = LotFinding.Of(c, plant, lot).Select(f => $"{f.Title}. {f.Text}");
        var inUnits = c.ExecuteScalar<int>("select count(distinct unit) from part_use where lot = @lot and replaced is null", new { lot });
        return new(lot, row.Part, plant.PartName(row.Part), (int)row.Quantity, (int)row.Used, inUnits, Utc.ReadOrNull(row.ExpiresAt), Utc.Read(row.ReceivedAt),
            row.State, row.Reason, [.. findings], GenealogyQuery.UnitsWithLot(c, lot, count: 500));
    }

    sealed record Row(string Part, long Quantity, long Used, string? ExpiresAt, string ReceivedAt, string State, string? Reason);
}
