using System.CommandLine;
using Roadproof.App.Frame;
using Roadproof.App.Lots;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.ReadModel;
using Roadproof.Records.Rigs;
using Spectre.Console;

namespace Roadproof.App.LoadTest.Rigs;

/// <summary>Says of every rig whether it may judge, and why not.</summary>
public static class RigStatus
{
    public sealed record Answer(IReadOnlyList<RigAnswer> Rigs, IReadOnlyList<ReferenceAgeingView> Ageing, string Method, IReadOnlyList<string> Warnings);

    /// <param name="Drift">Characteristics of its reference, the farthest first.</param>
    public sealed record RigAnswer(
        string Rig, string Line, bool MayJudge, string Reason, string Remedy, DateTimeOffset? LastReferenceAt, int RunsSince, int DueAfterRuns, DateTimeOffset? DueAt,
        IReadOnlyList<DriftAnswer> Drift, IReadOnlyList<string> UnitsHeld, IReadOnlyList<string> UnitsShipped);

    /// <param name="Sigma">Newest deviation in its standard deviations.</param>
    /// <param name="RatePerH">Null while it cannot be told.</param>
    /// <param name="LimitInS">Until the limit is reached; null where it does not drift or cannot be told.</param>
    public sealed record DriftAnswer(string Id, string Name, string Unit, double Value, double Expected, double Sigma, double Ewma, double EwmaLimit, double? RatePerH, Interval? RateInterval, double? LimitInS, Interval? LimitInterval);

    const string Method = "reference-runs/1: deviations from what each rig is known to read, alone, along gauges and as moving averages (Roberts 1959; NIST/SEMATECH e-Handbook 6.3.2.4)";

    public static void Map(IEndpointRouteBuilder app)
    {
        app.MapGet("/api/v1/rigs", (OpenLine line) => Run(line)).WithSummary("Every rig: may it judge, what its reference showed last, where it drifts, what it has stopped");
        app.MapPost("/api/v1/rigs/{rig}/retest", (string rig, RigWord said, OpenLine line) => Act("retest", rig, said, line)).Produces<RigActAnswer>().WithSummary("Sends the units that a rig's reference run stopped to their load test again");
        app.MapPost("/api/v1/rigs/{rig}/keep", (string rig, RigWord said, OpenLine line) => Act("keep", rig, said, line)).Produces<RigActAnswer>().WithSummary("Lets the verdicts of a rig stand that has shown that it was right all along");
    }

    /// <summary>What a person says beside the rig's name.</summary>
    public sealed record RigWord(string Key, string Reason, DateTimeOffset OccurredAt, string? Person = null);

    static async Task<IResult> Act(string act, string rig, RigWord said, OpenLine line)
    {
        var outcome = await Decide(new(act, rig, said.Key, said.Reason, said.OccurredAt, said.Person), line);
        return outcome.Done is { } done ? Results.Json(done, Json.Options) : Results.Problem(Problems.Of(outcome.Refused!));
    }

    /// <exception cref="InputException">The act names no rig, key or reason.</exception>
    public static Task<Outcome<RigActAnswer>> Decide(RigAct act, OpenLine line)
    {
        var plant = line.Plant;
        return line.Ledger.Write(t => DecideOnRigsUnits.Decide(t, act, plant));
    }

    public static Answer Run(AskedLine line)
    {
        var plant = line.Plant;
        var now = line.Clock.GetLocalNow();
        return Of(line.Ask(c => RigQuery.Run(c, plant, now)), now.Offset);
    }

    static Answer Of(RigsView view, TimeSpan offset) => new(
        [
            .. view.Rigs.Select(r => new RigAnswer(
                r.Rig, r.Line, r.MayJudge, r.Reason, r.Remedy, r.LastReferenceAt?.ToOffset(offset), r.RunsSince, r.DueAfterRuns, r.DueAt?.ToOffset(offset),
                [
                    .. r.Characteristics.Select(x => new DriftAnswer(
                        x.Id, x.Name, x.Unit, x.Last.Value, x.Last.Level, x.Last.Sigma, x.Last.Ewma, x.Last.EwmaLimit, x.Forecast?.RatePerH, x.Forecast?.RateInterval,
                        x.Forecast?.LimitInH * 3600, x.Forecast?.LimitInterval is { } i && double.IsFinite(i.Upper) ? new(i.Lower * 3600, i.Upper * 3600, i.Confidence) : null)),
                ],
                r.Held, [.. r.Left.Select(u => u.Serial ?? u.Unit)])),
        ],
        view.Ageing, Method, view.Rigs.Count == 0 ? ["No product of this plant asks for reference units: nothing says whether its rigs are right."] : []);

    public static Command Command() => CommandLine.Verb("status", "Says of every rig whether it may judge, and why not.", "rigs status --data plant", [], (input, face, _) =>
        Task.FromResult(LotCommand.Asking(input, line =>
        {
            var a = Run(line);
            return face.Say(a, console => Print(console, a), a.Rigs.Any(r => !r.MayJudge) ? Exit.No : Exit.Done);
        })));

    static void Print(IAnsiConsole console, Answer a)
    {
        var table = Tables.Of("rig", "may judge", a.Rigs.FirstOrDefault(r => r.LastReferenceAt is not null)?.LastReferenceAt is { } at ? Figure.PlantTime("last reference", at) : "last reference", ">runs since", ">next after", "why not, and what to do");
        foreach (var r in a.Rigs)
            table.Row(r.Rig, r.MayJudge ? "yes" : "no", r.LastReferenceAt is { } last ? Figure.Day(last) : "never", Figure.Count(r.RunsSince), Figure.Count(r.DueAfterRuns), r.MayJudge ? "" : $"{r.Reason} {r.Remedy}");
        console.Write(table);
        foreach (var r in a.Rigs)
        {
            if (r.Drift.Count > 0) console.WriteLine(Invariant($"{r.Rig}: farthest {r.Drift[0].Name}, {r.Drift[0].Sigma:+0.0;-0.0} standard deviations, average {r.Drift[0].Ewma:+0.00;-0.00} of {r.Drift[0].EwmaLimit:0.00}."));
            if (r.UnitsHeld.Count > 0) console.WriteLine($"{r.Rig}: on hold {string.Join(", ", r.UnitsHeld)}.");
            if (r.UnitsShipped.Count > 0) console.WriteLine($"{r.Rig}: already left {string.Join(", ", r.UnitsShipped)}.");
        }

        foreach (var ageing in a.Ageing) console.WriteLine($"{ageing.Product}, {ageing.Name}: {ageing.Found.Sentence}");
        foreach (var w in a.Warnings) console.WriteLine(w);
    }
}
