using System.CommandLine;
using Roadproof.App.Frame;
using Roadproof.App.Lots;
using Roadproof.Engineering.LoadTest.Rigs;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Lots;
using Roadproof.Records.Rigs;
using Spectre.Console;

namespace Roadproof.App.LoadTest.Rigs;

/// <summary>Judges again what a drifted rig had judged: says what it would give, and lets go those that pass whatever the drift was once a person approves it.</summary>
public static class RejudgeUnits
{
    /// <param name="Applied">False where only asked what it would give.</param>
    /// <param name="Released">Let go by this act.</param>
    public sealed record Answer(string Rig, bool Applied, IReadOnlyList<UnitAnswer> Units, IReadOnlyList<string> Released, string Method, IReadOnlyList<string> Warnings);

    /// <param name="Left">Where it went, where it has left: nothing is decided on it here.</param>
    public sealed record UnitAnswer(
        string Unit, int Attempt, DateTimeOffset RanAt, RejudgedAs Outcome, string Reason, double? Distance, double? LargestDistance, double? DistanceLimit, IReadOnlyList<RejudgedReading> Readings, ShippedUnit? Left);

    const string Method = "A run is held against its limits with none and with all of the drift that the reference shows taken off; what passes at each passes between them. Safety functions and what is never tried again are not corrected.";

    public static void Map(IEndpointRouteBuilder app)
    {
        app.MapGet("/api/v1/rigs/{rig}/rejudge", (string rig, OpenLine line) => Run(rig, line)).WithSummary("What judging the units again would give that a rig's reference run has stopped");
        app.MapPost("/api/v1/rigs/{rig}/rejudge", async (string rig, RigStatus.RigWord said, OpenLine line) =>
        {
            var outcome = await Decide(new(rig, said.Key, said.Reason, said.OccurredAt, said.Person), line);
            return outcome.Done is { } done ? Results.Json(done, Json.Options) : Results.Problem(Problems.Of(outcome.Refused!));
        }).Produces<RejudgeAnswer>().WithSummary("Keeps it, and lets go those that pass whatever the drift was");
    }

    /// <exception cref="InputException">The plant has no such rig.</exception>
    public static Answer Run(string rig, AskedLine line)
    {
        var (units, offset) = (Units(rig, line), line.Clock.GetLocalNow().Offset);
        return new(rig, false, [.. units.Select(u => Told(u, offset))], [], Method, units.Count == 0 ? [$"No unit is on hold because of {rig}, and none has left in doubt."] : []);
    }

    /// <exception cref="InputException">The plant has no such rig, or the act names no key or reason.</exception>
    public static Task<Outcome<RejudgeAnswer>> Decide(RejudgeAct act, OpenLine line)
    {
        var units = Units(act.Rig, line);
        return line.Ledger.Write(t => RejudgeHeld.Decide(t, act, [.. units.Where(u => u.Left is null)]));
    }

    /// <exception cref="InputException">The plant has no such rig.</exception>
    public static IReadOnlyList<RejudgedUnit> Units(string rig, AskedLine line)
    {
        var plant = line.Plant;
        return line.Ask(c => RejudgedRuns.Of(c, plant, rig, line.JudgeOf)) ?? throw new InputException(new InputError("rig", 0, "", $"'{rig}'", "a rig whose product asks for reference units"));
    }

    static UnitAnswer Told(RejudgedUnit u, TimeSpan offset) =>
        new(u.Unit, u.Attempt, u.RanAt.ToOffset(offset), u.Rejudged.Outcome, u.Rejudged.Reason, u.Rejudged.Distance, u.Rejudged.LargestDistance, u.Rejudged.DistanceLimit, u.Rejudged.Readings, u.Left);

    public static Command Command()
    {
        Argument<string> rig = new("rig") { Description = "The rig that was found to read wrong." };
        Option<bool> apply = new("--apply") { Description = "Keeps it, and lets go the units that pass whatever the drift was; without it nothing is changed." };
        Option<string?> reason = new("--reason") { Description = "Why; it stays in the record. Needed with --apply." };
        return CommandLine.Verb("rejudge", "Judges again what a rig had judged since it last was right: lets go what passes whatever the drift was.", "rigs rejudge rig2 --data plant", [rig, apply, reason, LotCommand.By], (input, face, _) =>
        {
            if (!input.GetValue(apply))
            {
                return Task.FromResult(LotCommand.Asking(input, line =>
                {
                    var answer = Run(input.GetValue(rig)!, line);
                    return face.Say(answer, console => Print(console, answer));
                }));
            }

            return LotCommand.WithLine(input, async line =>
            {
                var answer = Run(input.GetValue(rig)!, line);
                var outcome = await Decide(new(answer.Rig, LotCommand.NewKey(), input.GetValue(reason) ?? "", line.Clock.GetLocalNow(), input.GetValue(LotCommand.By)), line);
                if (outcome.Done is not { } done) return face.Refused(outcome.Refused!);
                var applied = answer with { Applied = true, Released = done.Released };
                return face.Say(applied, console => Print(console, applied));
            });
        });
    }

    static void Print(IAnsiConsole console, Answer a)
    {
        var table = Tables.Of("unit", a.Units.Count > 0 ? Figure.PlantTime("ran", a.Units[0].RanAt) : "ran", "judged again", "why");
        foreach (var u in a.Units) table.Row(u.Unit, Figure.Day(u.RanAt), Word(u.Outcome).Word, u.Left is { } left ? $"{u.Reason} It has left: {left.Customer} {left.Box}" : u.Reason);
        if (a.Units.Count > 0) console.Write(table);
        foreach (var w in a.Warnings) console.WriteLine(w);
        if (a.Applied) console.WriteLine($"{Figure.Of(a.Released.Count, "unit")} let go{(a.Released.Count > 0 ? $": {string.Join(", ", a.Released)}" : "")}. The others are tested again.");
        else if (a.Units.Count > 0) console.WriteLine("Nothing was changed. With --apply and --reason those that pass go on.");
    }

    /// <summary>As pages and tables show it.</summary>
    internal static StateWord Word(RejudgedAs outcome) => outcome switch
    {
        RejudgedAs.Passes => new("pass", "Passes"),
        RejudgedAs.Fails => new("fail", "Fails"),
        _ => new("undecided", "Test again"),
    };
}
