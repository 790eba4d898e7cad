using System.CommandLine;
using Roadproof.App.Frame;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Genealogy;
using Roadproof.Records.Lots;
using Roadproof.Records.ReadModel;
using Roadproof.Records.Stores;
using Spectre.Console;

namespace Roadproof.App.Lots;

/// <summary>Lots from the command line: acts in a data folder that no server has open, questions to any.</summary>
public static class LotCommand
{
    public sealed record HoldAnswer(string Lot, string State, IReadOnlyList<string> UnitsHeld, IReadOnlyList<ShippedUnit> UnitsShipped, IReadOnlyList<string> LotsTouched, string Method, IReadOnlyList<string> Warnings);

    public sealed record ReleaseAnswer(string Lot, string State, IReadOnlyList<string> UnitsReleased, IReadOnlyList<string> LotsTouched, string Method, IReadOnlyList<string> Warnings);

    public sealed record ShowAnswer(
        string Lot, string Part, string State, string? Reason, int Quantity, int Used, DateTimeOffset? ExpiresAt, string? Station, IReadOnlyList<LotPiece> Sources, IReadOnlyList<LotPiece> MadeInto,
        IReadOnlyList<UnitWith> Units, string Method, IReadOnlyList<string> Warnings);

    const string Climbs = "Whatever has some of the lot: its units, the lots split off it or poured together with it, and theirs; nothing that it was made of.";

    /// <summary>Who decides.</summary>
    public static readonly Option<string?> By = new("--by") { Description = "Key of the person who does it." };

    static readonly Argument<string> Lot = new("lot") { Description = "The lot's code." };
    static readonly Option<string> Reason = new("--reason") { Required = true, Description = "What was found; it stays in the record." };

    public static Command Hold() => CommandLine.Verb("hold", "Stops a lot, what was made of it, and every unit that has some of it and has not left.", "lots hold R-88 --reason wet --data plant", [Lot, Reason, By], (input, face, _) =>
        WithLine(input, async line =>
        {
            var outcome = await ActOnLot.Hold(input.GetValue(Lot)!, Said(input, line), line);
            if (outcome.Done is not { } done) return face.Refused(outcome.Refused!);
            return face.Say(new HoldAnswer(done.Lot, done.State, done.UnitsHeld, done.UnitsShipped, done.LotsTouched, Climbs, []), console =>
            {
                console.WriteLine($"Lot {done.Lot} is on hold{(done.LotsTouched.Count > 0 ? $", and with it {string.Join(", ", done.LotsTouched)}" : "")}. {Figure.Of(done.UnitsHeld.Count, "unit")} stopped.");
                if (done.UnitsShipped.Count == 0) return;
                var left = Tables.Of("left already", "serial", "customer", "box");
                foreach (var u in done.UnitsShipped) left.Row(u.Unit, u.Serial ?? "", u.Customer ?? "", u.Box ?? "");
                console.Write(left);
            });
        }));

    public static Command Release() => CommandLine.Verb("release", "Lets a lot go on, and the units that were held for nothing else.", "lots release R-88 --reason dried --data plant", [Lot, Reason, By], (input, face, _) =>
        WithLine(input, async line =>
        {
            var outcome = await ActOnLot.Release(input.GetValue(Lot)!, Said(input, line), line);
            return outcome.Done is not { } done ? face.Refused(outcome.Refused!) : face.Say(new ReleaseAnswer(done.Lot, done.State, done.UnitsReleased, done.LotsTouched, Climbs, []), console =>
                console.WriteLine($"Lot {done.Lot} is {(done.State == "held" ? "still on hold through what went into it" : "open")}. {Figure.Of(done.UnitsReleased.Count, "unit")} may go on."));
        }));

    public static Command Show() => CommandLine.Verb("show", "A lot: its state, what is left, what it was made of and made into, and every unit with some of it.", "lots show R-88 --data plant", [Lot], (input, face, _) =>
        Task.FromResult(Asking(input, line =>
        {
            var code = input.GetValue(Lot)!;
            var a = line.Ask(c => LotQuery.Run(c, line.Plant, code) is not { } v ? null : new ShowAnswer(
                v.Lot, v.Part, v.State, v.Reason, v.Quantity, v.Used, v.ExpiresAt, v.Station, v.Sources, v.MadeInto, GenealogyQuery.UnitsWithLot(c, code), Climbs, []));
            if (a is null) throw new InputException(new InputError("lot", 0, "", $"'{code}'", "a lot that was received", "Scan the label again."));
            return face.Say(a, console => Print(a, console));
        })));

    /// <summary>Opens the data folder, which must hold records already, for one act.</summary>
    public static async Task<int> WithLine(ParseResult input, Func<OpenLine, Task<int>> act)
    {
        var data = input.GetValue(CommandLine.DataOption)!;
        DataFolder.RequireRecords(data);
        await using var line = await OpenLine.Open(data);
        return await act(line);
    }

    /// <summary>Looks into the data folder for one question; a server may have it open.</summary>
    public static int Asking(ParseResult input, Func<AskedLine, int> question)
    {
        using var line = AskedLine.Look(input.GetValue(CommandLine.DataOption)!);
        return question(line);
    }

    public static string NewKey() => $"command-{Guid.NewGuid():N}";

    static ActOnLot.Request Said(ParseResult input, OpenLine line) => new(NewKey(), input.GetValue(Reason)!, line.Clock.GetLocalNow(), input.GetValue(By));

    static void Print(ShowAnswer a, IAnsiConsole console)
    {
        console.WriteLine($"Lot {a.Lot}, {a.Part}: {(a.State == "held" ? $"on hold ({a.Reason})" : "open")}. {Figure.Count(Math.Max(0, a.Quantity - a.Used))} left of {Figure.Count(a.Quantity)}, {(a.Station is null ? "in the store" : $"at {a.Station}")}{(a.ExpiresAt is { } e ? Invariant($", expires {e:yyyy-MM-dd}") : "")}.");
        if (a.Sources.Count > 0) console.WriteLine($"Made of {string.Join(", ", a.Sources.Select(p => $"{p.Lot} ({Figure.Count(p.Quantity)})"))}.");
        if (a.MadeInto.Count > 0) console.WriteLine($"Went into {string.Join(", ", a.MadeInto.Select(p => $"{p.Lot} ({Figure.Count(p.Quantity)})"))}.");
        var table = Tables.Of("unit", "serial", "state", "where", "by lot");
        foreach (var u in a.Units) table.Row(u.Unit, u.UnitSerial ?? "", u.State, u.OutAt is { } gone ? Invariant($"was in it from {u.At:yyyy-MM-dd HH:mm} to {gone:yyyy-MM-dd HH:mm}{(u.Place is null ? "" : $", {u.Place}")}") : u.Customer ?? u.Where, u.Lot ?? "");
        if (a.Units.Count > 0) console.Write(table);
        else console.WriteLine("It is in no unit yet.");
    }
}
