using Roadproof.App.Frame;
using Roadproof.App.Orders;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.ReadModel;

namespace Roadproof.App.Station;

/// <summary>Clears a station for the next order by scans alone: a badge, each lot that goes, the same badge again.</summary>
static class ClearByScan
{
    /// <returns>Why the scan was not taken; null where it was.</returns>
    public static async Task<Refusal?> Take(StationView view, string code, StationProgress progress, OpenLine line, BenchScans bench)
    {
        if (view.Clearing is not { } clearing) return null; // cleared or begun meanwhile: the page says what is next
        var words = code.Split(' ', StringSplitOptions.RemoveEmptyEntries | StringSplitOptions.TrimEntries);
        var (first, counted) = (words.ElementAtOrDefault(0) ?? "", CountOf(words));
        if (clearing.Lots.Any(l => l.Lot == first))
            return await ScanAtStation.Bring(view, first, line, new(ScanAtStation.NewKey(view), line.Clock.GetLocalNow(), null, progress.Person, counted));
        if (line.Ask(c => StockQuery.IsLot(c, code))) return await ScanAtStation.Bring(view, code, line);
        // Units of the order that it is set up for still come here.
        if (line.Ask(c => UnitQuery.IsKnown(c, code))) return await ScanAtStation.Begin(view, code, progress, line);
        if (progress.Person != code)
        {
            bench.Sign(view, code, line.Clock.GetLocalNow());
            return null;
        }

        var outcome = await ActOnOrder.Clear(view.Station, new(ScanAtStation.NewKey(view), clearing.Order, code, line.Clock.GetLocalNow()), line);
        if (outcome.Refused is null) bench.SignOff(view);
        return outcome.Refused;
    }

    static int? CountOf(string[] words) => words.Length == 2 && int.TryParse(words[1], NumberStyles.None, CultureInfo.InvariantCulture, out var count) ? count : null;
}
