using Roadproof.App.Frame;
using Roadproof.Records.Definitions;
using Roadproof.Records.ReadModel;

namespace Roadproof.App.Line;

/// <summary>Questions about the plant as it stands: the same views that the pages show.</summary>
public static class AskLine
{
    public static void Map(IEndpointRouteBuilder app)
    {
        app.MapGet("/api/v1/lines", (OpenLine line) => Results.Json(Lines(line), Json.Options)).WithSummary("Every line and cell of the plant at one look");
        app.MapGet("/api/v1/lines/{id}", (string id, OpenLine line) => Or404(line.LineOf(id) is { } revision ? Line(revision, line) : null, $"No line {id} in this plant.")).WithSummary("One line at one look");
        app.MapGet("/api/v1/notes", (OpenLine line) => Results.Json(Notes(line), Json.Options)).WithSummary("What needs a person now, most urgent first");
        app.MapGet("/api/v1/stations/{station}", (string station, string? clear, OpenLine line) => Or404(Station(station, line, clear), $"No station {station} in this plant.")).WithSummary("One station");
        app.MapGet("/api/v1/units/{unit}", (string unit, OpenLine line) => Or404(Unit(unit, line), $"No unit {unit} in this plant.")).WithSummary("Everything about one unit");
        app.MapGet("/api/v1/units", (string? state, string? product, string? find, int? from, int? count, OpenLine line) => Results.Json(Units(state, find, from ?? 0, count ?? 50, line, product), Json.Options))
            .WithSummary("Units, newest first, by state, product or the beginning of their code, serial or lot");
        app.MapGet("/api/v1/lots", (string? state, string? part, string? find, int? from, int? count, OpenLine line) => Results.Json(Lots(state, part, find, from ?? 0, count ?? 50, line), Json.Options))
            .WithSummary("Lots by part, in the order in which they are used up, by state, part or the beginning of their code");
        app.MapGet("/api/v1/lots/{lot}", (string lot, OpenLine line) => Or404(Lot(lot, line), $"No lot {lot} in this plant.")).WithSummary("One lot, what it was made of and made into, and the units with some of it");
        app.MapGet("/api/v1/orders", (string? state, OpenLine line) => Results.Json(Orders(state, line), Json.Options)).WithSummary("Production orders, what runs on each line and where a changeover stands");
        app.MapGet("/api/v1/orders/{order}", (string order, OpenLine line) => Or404(line.Ask(c => OrderQuery.Of(c, line.Plant, order)), $"No order {order} in this plant.")).WithSummary("One production order and how far it is");
        app.MapGet("/api/v1/revisions/current", (OpenLine line) => Results.Json(line.Standing, RouteRevisionJson.Options)).WithSummary("The revisions that new units start on, one for each line");
    }

    public static IReadOnlyList<LineView> Lines(OpenLine line) => line.Ask(c => line.Standing.Select(r => LineQuery.Run(c, line.Plant, r, line.Clock.GetLocalNow())).ToList());

    public static LineView Line(RouteRevision revision, OpenLine line) => line.Ask(c => LineQuery.Run(c, line.Plant, revision, line.Clock.GetLocalNow()));

    public static IReadOnlyList<Note> Notes(OpenLine line) => line.Ask(c => NotesQuery.Run(c, line.Plant, line.Clock.GetLocalNow()));

    /// <param name="clear">An order that the station is to be cleared for; null takes the one that it has to be.</param>
    public static StationView? Station(string station, OpenLine line, string? clear = null) => line.Ask(c => StationQuery.Run(c, line.Plant, station, line.Clock.GetLocalNow(), clear));

    public static UnitView? Unit(string code, OpenLine line) => line.Ask(c => UnitQuery.Run(c, line.Plant, code));

    public static LotView? Lot(string code, OpenLine line) => line.Ask(c => LotQuery.Run(c, line.Plant, code));

    public static LotListView Lots(string? state, string? part, string? find, int from, int count, OpenLine line) =>
        line.Ask(c => StockQuery.Run(c, line.Plant, line.Clock.GetLocalNow(), state, part, find, from, Math.Clamp(count, 1, 500)));

    public static OrderListView Orders(string? state, OpenLine line) => line.Ask(c => OrderQuery.Run(c, line.Plant, state));

    public static UnitListView Units(string? state, string? find, int from, int count, OpenLine line, string? product = null) =>
        line.Ask(c => UnitList.Run(c, state, find, from, Math.Clamp(count, 1, 500), product));

    static IResult Or404<T>(T? found, string missing)
        where T : class => found is null ? Problems.Missing(missing, "Scan the code again, or search for the beginning of it.") : Results.Json(found, Json.Options);
}
