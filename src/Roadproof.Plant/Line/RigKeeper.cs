using Roadproof.Engineering.LoadTest.Rigs;
using Roadproof.Engineering.Statistics;
using Roadproof.Plant.Faults;
using Roadproof.Plant.Rigs;

namespace Roadproof.Plant.Line;

/// <summary>Whoever keeps one rig in order: runs the reference units when they are due, and has a rig that reads wrong put right.</summary>
/// <remarks>Knows the interval from the definitions, as a plant does; whether a run was good the line says.</remarks>
sealed class RigKeeper(LineAtWork line, string rig)
{
    const int MostTries = 12;
    const double PutRightMin = 20, HandlingS = 25, MarginMin = 10;

    readonly RigReferences? _asked = line.Route.Product.References;
    readonly Dictionary<string, DateTimeOffset> _stopped = new(StringComparer.Ordinal);
    DateTimeOffset? _goodAt, _ranAt;
    int _runsSince, _turn;

    /// <summary>A unit has run on the rig.</summary>
    public void Ran()
    {
        _runsSince++;
        _ranAt = line.Day.Time.Now;
    }

    /// <summary>What has to be done before the rig takes its next unit; nothing where it may judge.</summary>
    public async IAsyncEnumerable<Pause> MakeReady()
    {
        for (var tries = 0; _asked is { } asked && IsDue(asked) && tries < MostTries; tries++)
        {
            if (IsCold(asked))
            {
                for (var run = 0; run < asked.WarmUpRuns; run++) await foreach (var pause in Run(asked.Sound.First())) yield return pause;
            }

            foreach (var bad in asked.KnownBad.Where(b => IsOld(_stopped.GetValueOrDefault(b.Id), asked.KnownBadEveryH)).ToList()) await foreach (var pause in Run(bad)) yield return pause;
            var sound = asked.Sound.ToList();
            // At first each of them, so that the rig is known by every one; then in turn.
            for (var run = _goodAt is null ? sound.Count : 1; run > 0; run--) await foreach (var pause in Run(sound[_turn++ % sound.Count])) yield return pause;
        }
    }

    bool IsDue(RigReferences asked) => _goodAt is not { } good || IsCold(asked) || _runsSince >= asked.EveryRuns || IsOld(good, asked.EveryH)
        || asked.KnownBad.Any(b => IsOld(_stopped.GetValueOrDefault(b.Id), asked.KnownBadEveryH));

    bool IsCold(RigReferences asked) => asked.WarmUpRuns > 0 && (_ranAt is not { } ran || line.Day.Time.Now - ran > TimeSpan.FromMinutes(asked.ColdAfterMin));

    bool IsOld(DateTimeOffset at, double hours) => line.Day.Time.Now - at > TimeSpan.FromHours(hours) - TimeSpan.FromMinutes(MarginMin);

    async IAsyncEnumerable<Pause> Run(ReferenceUnit unit)
    {
        var day = line.Day;
        var order = line.Order(unit, rig, day.Time.Now);
        var recording = Task.Run(() => day.Options.Recorder(order));
        yield return Pause.Seconds(line.Route.LoadTest.Cycle.DurationS + HandlingS);

        var files = await recording;
        foreach (var file in files) await day.Door.Bring(file);
        var step = line.Route.Steps.First(s => s.Kind == "load-test");
        var reply = await day.Door.Send(rig, new()
        {
            Key = day.Key(rig), Kind = "request", Item = unit.Code, Step = step.Id, Stage = "finish", OccurredAt = day.Time.Now,
            Person = day.Crew.At(line.Route.Line.Id, line.Route.Line.Stations.ToList().FindIndex(s => s.Id == rig), day.Time.Now), Captures = [.. files.Select(f => new SaidCapture(f.Sha256, f.Name))],
        });
        _ranAt = day.Time.Now;
        if (reply.Answer is not { } answer)
        {
            day.Surprise($"{rig}: the run of {unit.Code} was refused: {reply.Refused?.Title}");
            yield break;
        }

        if (answer.Verdict == "fail") await foreach (var pause in PutRight(answer)) yield return pause;
        else if (answer.Verdict != "pass") yield break; // it only warmed the rig
        else if (unit.Kind == ReferenceKind.KnownBad) _stopped[unit.Id] = day.Time.Now;
        else (_goodAt, _runsSince) = (day.Time.Now, 0);
    }

    /// <summary>The rig is looked after and calibrated; what it judged meanwhile is run again once it reads right.</summary>
    async IAsyncEnumerable<Pause> PutRight(HeardAnswer answer)
    {
        var day = line.Day;
        (_goodAt, _runsSince) = (null, 0);
        _stopped.Clear();
        await day.RigStopped(line, rig);
        yield return Pause.Minutes(PutRightMin);
        line.PutRight(rig);
        foreach (var instrument in line.Route.Line.Stations.First(s => s.Id == rig).Instruments ?? [])
            await day.Door.Calibrated(day.Key("office"), rig, instrument, day.Time.Now.AddDays(180), answer.Holds is { Count: > 0 } holds ? holds[0] : "a reference was out", day.Time.Now, day.Crew.ShiftLead);
        _ranAt = day.Time.Now;
    }

    /// <summary>What fixes the captures of a run of a reference unit.</summary>
    /// <param name="idle">How long it had stood; its keeper knows, and types it in at the rig.</param>
    public static RunOrder OrderOf(ReferenceUnit unit, LineRoute route, string rig, RigErrors errors, int run, double ambientC, DateTimeOffset startedAt, TimeSpan idle) => new(
        new(unit.Code, rig, route.Id, run, startedAt) { IdleS = idle.TotalSeconds }, route.LoadTest, ReferenceTruth.Of(unit, route.LoadTest), errors,
        new() { UnitSeed = ReferenceTruth.Seed(unit), Attempt = run, AmbientC = ambientC, UnitStartC = ambientC + 0.5 + 0.2 * new SeededNoise((ulong)run, unit.Code).Normal(), IdleH = idle.TotalHours }, CutShort: false);
}
