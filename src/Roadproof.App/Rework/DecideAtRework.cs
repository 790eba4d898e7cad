using Microsoft.AspNetCore.Mvc;
using Roadproof.App.Frame;
using Roadproof.App.Unit;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Messages;
using Roadproof.Records.ReadModel;
using Roadproof.Records.Rework;

namespace Roadproof.App.Rework;

/// <summary>What a repairer scans and types at the rework station.</summary>
public static class DecideAtRework
{
    /// <summary>The form's word for a cause that is not in the list, and for a measurement of the repairer's own.</summary>
    public const string Other = "other";

    public static void Map(IEndpointRouteBuilder app)
    {
        app.MapPost("/rework/scan", ([FromForm] string code) => Results.Redirect($"/rework/{Uri.EscapeDataString(code.Trim())}")).ExcludeFromDescription();
        app.MapPost("/rework/{unit}/scan", (string unit, [FromForm] string code, [FromForm] string? by, OpenLine line) => Scan(unit, code.Trim(), by, line)).ExcludeFromDescription();
        app.MapPost("/rework/{unit}/measure", async (string unit, [FromForm] string what, [FromForm] string? name, [FromForm] string value, [FromForm] string? by, [FromForm] string key, OpenLine line, SentForms forms) =>
            await Measure(unit, what, name, value.Trim(), by, key, line, forms)).ExcludeFromDescription();
        app.MapPost("/rework/{unit}/swap", async (string unit, [FromForm] string old, [FromForm] string place, [FromForm] string reason, [FromForm] string? code, [FromForm] string? by, [FromForm] string key, OpenLine line, SentForms forms) =>
            await Swap(unit, old, place, reason, code?.Trim(), by, key, line, forms)).ExcludeFromDescription();
        app.MapPost("/rework/{unit}/finish", async (string unit, [FromForm] string act, [FromForm] string cause, [FromForm] string? otherCause, [FromForm] string reason, [FromForm] string? backTo, [FromForm] string? by, [FromForm] string key, OpenLine line, SentForms forms) =>
        {
            var said = new ActOnUnit.Request(key, reason, forms.FirstAt(key), OrNull(by), act == "scrap" ? null : OrNull(backTo), cause == Other ? OrNull(otherCause) : OrNull(cause));
            return Answer(unit, by, (act == "scrap" ? await ActOnUnit.Scrap(unit, said, line) : await ActOnUnit.Release(unit, said, line)).Refused);
        }).ExcludeFromDescription();
        app.MapPost("/rework/parts", async ([FromForm] string unit, [FromForm] string part, [FromForm] string? lot, [FromForm] string? serial, [FromForm] string place, [FromForm] string reason, [FromForm] string key, OpenLine line, SentForms forms) =>
        {
            var outcome = await ReworkUnit.Place(new(key, unit, new(part, OrNull(lot), OrNull(serial)), place, reason, forms.FirstAt(key)), line);
            return Results.Redirect(outcome.Refused is { } no ? $"/rework?refused={Uri.EscapeDataString($"{no.Reason} {no.Remedy}")}" : "/rework");
        }).ExcludeFromDescription();
    }

    /// <summary>The part that a code stands for: its own number, its lot, or both on one label.</summary>
    public static ReworkPart? PartOf(ReworkView view, string? code)
    {
        var words = Words(code);
        return words.Length == 0 ? null : view.Parts.FirstOrDefault(p => p.Serial is not null && words.Contains(p.Serial)) ?? view.Parts.FirstOrDefault(p => p.Lot is not null && words.Contains(p.Lot));
    }

    // A badge is nothing that is in a unit: what is not known as a part is asked again.
    static IResult Scan(string unit, string code, string? by, OpenLine line) => ReworkUnit.View(unit, line) switch
    {
        null => Results.Redirect($"/rework/{Uri.EscapeDataString(unit)}"),
        { } view when PartOf(view, code) is not null => Results.Redirect($"{Page(unit, by)}out={Uri.EscapeDataString(code)}"),
        { } view when line.Ask(c => UnitList.Run(c, find: code, count: 1)).Units.Any(u => code == u.Unit || code == u.Serial) => Results.Redirect($"/rework/{Uri.EscapeDataString(code)}"),
        _ => Answer(unit, by, new Refusal($"{code} is in {unit} neither as a number nor as a lot.", "Scan what came out once more, or the next unit.", "", "")),
    };

    static async Task<IResult> Measure(string unit, string what, string? name, string value, string? by, string key, OpenLine line, SentForms forms)
    {
        var reading = what == Other ? null : ReworkUnit.View(unit, line)?.Readings.FirstOrDefault(r => r.Id == what);
        var isNumber = double.TryParse(value, NumberStyles.Float, CultureInfo.InvariantCulture, out var number) && double.IsFinite(number);
        if (reading is { Text: false } && !isNumber)
            return Answer(unit, by, new Refusal($"'{value}' is not a number.", $"Type the value in {reading.Unit}, with a point.", "", ""));
        var said = reading is { Text: true } || !isNumber
            ? new ReworkUnit.MeasureRequest(key, forms.FirstAt(key), reading?.Id, reading is null ? name : null, Text: value, Person: OrNull(by))
            : new ReworkUnit.MeasureRequest(key, forms.FirstAt(key), reading?.Id, reading is null ? name : null, number, reading?.Unit, Person: OrNull(by));
        return Answer(unit, by, (await ReworkUnit.Measure(unit, said, line)).Refused);
    }

    static async Task<IResult> Swap(string unit, string old, string place, string reason, string? code, string? by, string key, OpenLine line, SentForms forms)
    {
        if (ReworkUnit.View(unit, line) is not { } view || PartOf(view, old) is not { } part)
            return Answer(unit, by, new Refusal($"{old} is not in {unit} any more.", "Look at what was swapped already.", "", ""));
        var words = Words(code);
        MessagePart? into = words.Length == 0 ? null : part.Serialised ? new(part.Part, words.ElementAtOrDefault(1), words[0]) : new(part.Part, words[0]);
        var refused = (await ReworkUnit.Swap(unit, new(key, new(part.Part, part.Lot, part.Serial), place, reason, forms.FirstAt(key), into, OrNull(by)), line)).Refused;
        return refused is null ? Answer(unit, by, null) : Answer(unit, by, refused, $"out={Uri.EscapeDataString(old)}&");
    }

    static string[] Words(string? code) => code?.Split([' ', ';', '|'], StringSplitOptions.RemoveEmptyEntries | StringSplitOptions.TrimEntries) ?? [];

    static string? OrNull(string? typed) => string.IsNullOrWhiteSpace(typed) ? null : typed.Trim();

    // The badge stays with the unit until the page is left.
    static string Page(string unit, string? by) => $"/rework/{Uri.EscapeDataString(unit)}?{(string.IsNullOrWhiteSpace(by) ? "" : $"by={Uri.EscapeDataString(by.Trim())}&")}";

    static IResult Answer(string unit, string? by, Refusal? refused, string also = "") => Results.Redirect(refused is null
        ? Page(unit, by).TrimEnd('?', '&')
        : $"{Page(unit, by)}{also}refused={Uri.EscapeDataString(refused.Reason)}&remedy={Uri.EscapeDataString(refused.Remedy)}");
}
