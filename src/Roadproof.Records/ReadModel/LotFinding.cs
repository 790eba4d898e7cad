using System.Globalization;
using Dapper;
using Microsoft.Data.Sqlite;
using Roadproof.Records.Items;
using Roadproof.Records.Lots;
using Roadproof.Records.Messages;

namespace Roadproof.Records.ReadModel;

/// <summary>What the tool found in the readings of a lot's units, as a person would say it. A finding stays when the lot is held for it.</summary>
sealed record LotFinding(string Lot, string LotState, string Title, string Text, DateTimeOffset At)
{
    /// <param name="lot">Null gives those of every lot.</param>
    public static IReadOnlyList<LotFinding> Of(SqliteConnection c, PlantContext plant, string? lot = null) => c
        .Query<(string Finding, string At, string State)>(
            "select s.finding, s.at, l.state from lot_shift s join lot l on l.lot = s.lot where @lot is null or s.lot = @lot order by s.sequence", new { lot })
        .Select(r => Say(RecordJson.Read<LotShiftFinding>(r.Finding), plant, r.State, Utc.Read(r.At)))
        .ToList();

    static LotFinding Say(LotShiftFinding f, PlantContext plant, string state, DateTimeOffset at)
    {
        var part = plant.PartName(f.Part);
        var text = $"{Figures.Of(f.Units, "unit")} on {Figures.Of(f.Rigs, "rig")}; each may pass, together they differ."
            + (f.AlsoPossible.Count > 0 ? $" Not told apart from {string.Join(", ", f.AlsoPossible)}: the same units have them." : "");
        return new(f.Lot, state, $"{part} lot {f.Lot} reads {Size(f)} {(f.Effect < 0 ? "low" : "high")} in {Wording.Lower(f.Name)}", text, at);
    }

    // A share where the expected value is a quantity with a true zero; else in the unit itself.
    static string Size(LotShiftFinding f)
    {
        var logarithm = f.Unit.StartsWith("ln", StringComparison.Ordinal);
        var isShare = !logarithm && f.Expected > 5 * Math.Abs(f.Effect);
        return isShare
            ? string.Create(CultureInfo.InvariantCulture, $"{100 * Math.Abs(f.Effect / f.Expected):0.0} %")
            : string.Create(CultureInfo.InvariantCulture, $"{Math.Abs(f.Effect):G2} {f.Unit}").TrimEnd();
    }
}
