using System.Globalization;
using Roadproof.Engineering.Statistics;
using Roadproof.Plant.Faults;

namespace Roadproof.Plant.Line;

/// <summary>One unit at one station: scanned, worked on, reported, with everything that people and machines get wrong on the way and how they mend it.</summary>
sealed class Turn
{
    const int MostTries = 15, UnitsPerOrder = 24;
    const double TryAgainS = 20, AnswerLostS = 4, PutBackS = 6, OtherLotS = 12, RetightenS = 6, SpoiledMarkS = 9, AskAgainS = 10;

    /// <summary>Scatter of work times: hands about 6 %, machines about 1 % (common practice, no source).</summary>
    const double HandSpread = 0.06, MachineSpread = 0.01;

    /// <summary>Clamping and plugging at a rig takes at least so long beside its programme, s.</summary>
    const double LeastHandlingS = 5;

    readonly LineAtWork _line;
    readonly DemoDay _day;
    readonly Workplace _at;
    readonly UnitOnLine _unit;
    readonly LineStep _step;
    readonly int _attempt;
    readonly Slips _slips;
    readonly StepContent _content;
    readonly SeededNoise _noise;
    readonly List<SaidPart> _parts = [];
    readonly Lazy<IReadOnlyList<SaidReading>?> _readings;
    readonly Lazy<IReadOnlyList<SaidScrew>?> _screws;
    Reply _reply = new(null, null);
    string? _serial, _mistake;
    bool _begun;

    public Turn(LineAtWork line, Workplace at, UnitOnLine unit)
    {
        (_line, _day, _at, _unit, _step) = (line, line.Day, at, unit, at.Step);
        _attempt = unit.Attempt(at.StepIndex);
        _slips = Slips.Draw(line.Day.Options.Seed, unit.Truth.Number, _step.Id, _attempt, line.Day.Options.Slips);
        _content = new(_step, unit, line.Day.Options.Seed, _attempt);
        // Read and tightened once; a message that is sent again with another lot tells the same figures.
        (_readings, _screws) = (new(() => _content.Readings(Text)), new(_content.Screws));
        _noise = new(line.Day.Options.Seed, string.Create(CultureInfo.InvariantCulture, $"turn {unit.Truth.Number} {_step.Id} {_attempt}"));
    }

    /// <summary>The unit may go on.</summary>
    public bool Passed { get; private set; }

    /// <summary>What the station has still to report when it is on line again.</summary>
    public Saying? Late { get; private set; }

    bool IsLoadTest => _step.Kind == "load-test";
    bool IsMark => _step.Kind == "mark";

    public async IAsyncEnumerable<Pause> Run()
    {
        if (_slips.WrongUnit) await foreach (var pause in ScanAnotherUnit()) yield return pause;
        if (_slips.WrongPerson && _at.AsksWho) await foreach (var pause in StrangerBegins()) yield return pause;
        await foreach (var pause in Begin()) yield return pause;
        if (!_begun) yield break;

        if (IsLoadTest)
        {
            await foreach (var pause in RunOnRig()) yield return pause;
            yield break;
        }

        yield return Pause.Seconds(WorkS());
        if (_step.TurnsGears) _unit.TurnedAt = _day.Time.Now;
        if (IsMark && _slips.SpoiledMark)
        {
            await foreach (var pause in SpoilMark()) yield return pause;
            if (!_begun) yield break;
        }

        var remark = _slips.LooseScrew && _step.Screws is { Count: > 0 } ? "one screw did not reach its torque, loosened and tightened again" : null;
        if (remark is not null)
        {
            _day.Slips.Made("loose-screw");
            yield return Pause.Seconds(RetightenS);
        }

        await foreach (var pause in TakeParts()) yield return pause;
        if (_slips.LateReport && (_step.Kind is "assembly" or "check"))
        {
            _day.Slips.Made("late-report");
            _unit.ReportOutstanding = true;
            // Nothing checks a scan while the station is off line: the wrong set goes in, and the report tells of it.
            var went = _unit.FaultInside?.Id == FaultList.WrongGear && _parts.Exists(p => p.Part == _line.Route.LookAlike!.Id) ? Offered() : _parts;
            (Late, Passed) = (Finish("report", went, remark), true);
            yield break;
        }

        await foreach (var pause in FinishWithParts(remark)) yield return pause;
    }

    /// <summary>A screw that was tightened again is no reason to refuse the step.</summary>
    void TightenedAgain()
    {
        if (_slips.LooseScrew && _step.Screws is { Count: > 0 }) _day.Slips.Caught("loose-screw");
    }

    /// <summary>Sends what happened while the station was off line.</summary>
    public async Task Report(Saying report)
    {
        await Send(report);
        _unit.ReportOutstanding = false;
        if (_reply.Answer is { } answer)
        {
            _day.Slips.Caught("late-report");
            TightenedAgain();
            if (answer.Verdict != "pass") Stop(answer);
            else if (_mistake is not null) _day.Surprise($"{_at.Id}: {_unit.Code} was built with the wrong set while the station was off line, and the report passed.");
            return;
        }

        _day.Surprise($"{_at.Id}: a report was refused: {_reply.Refused?.Title}");
    }

    async IAsyncEnumerable<Pause> ScanAnotherUnit()
    {
        // The nearest place up or down the line where a unit waits for another step.
        var other = Enumerable.Range(0, _line.Before.Count)
            .Where(i => i != _at.StepIndex)
            .OrderBy(i => Math.Abs(i - _at.StepIndex))
            .Select(i => _line.Before[i].First)
            .FirstOrDefault(u => u is { ReportOutstanding: false });
        if (other is null) yield break;
        _day.Slips.Made("wrong-unit");
        await Send(Saying("request", "begin") with { Item = other.Code });
        if (_reply.Refused is not null) _day.Slips.Caught("wrong-unit");
        else _day.Surprise($"{_at.Id}: {other.Code} was taken for {_step.Id} although it waits for another step.");
        yield return Pause.Seconds(PutBackS);
    }

    // Goods-in lends a hand, and is qualified for nothing on the lines.
    async IAsyncEnumerable<Pause> StrangerBegins()
    {
        _day.Slips.Made("wrong-person");
        await Send(Saying("request", "begin") with { Person = _day.Crew.GoodsIn });
        if (_reply.Refused is not null) _day.Slips.Caught("wrong-person");
        else _day.Surprise($"{_at.Id}: {_step.Id} on {_unit.Code} was begun by somebody who is not qualified for it.");
        yield return Pause.Seconds(PutBackS);
    }

    async IAsyncEnumerable<Pause> Begin()
    {
        _begun = false;
        for (var tries = 1; tries <= MostTries; tries++)
        {
            if (_line.Orders is { } orders) await foreach (var pause in orders.MakeReady(_at, _unit)) yield return pause;
            await foreach (var pause in Say(Saying("request", "begin"), _slips.BeginTwice && tries == 1, _slips.BeginAnswerLost && tries == 1)) yield return pause;
            if (_reply.Answer is { } answer)
            {
                (_begun, _serial) = (true, answer.Serial);
                yield break;
            }

            if (await Recover("begin")) yield break;
            yield return Pause.Seconds(TryAgainS);
        }

        await GiveUp();
    }

    async IAsyncEnumerable<Pause> FinishWithParts(string? remark)
    {
        var offered = Offered();
        for (var tries = 1; tries <= MostTries; tries++)
        {
            await foreach (var pause in Say(Finish("request", offered, remark), _slips.FinishTwice && tries == 1, _slips.FinishAnswerLost && tries == 1)) yield return pause;
            if (_reply.Answer is { } answer)
            {
                TightenedAgain();
                if (tries == 1 && !offered.SequenceEqual(_parts)) _day.Surprise($"{_at.Id}: {_unit.Code} was finished with a lot that should have been refused.");
                Take(answer);
                yield break;
            }

            // A refusal names the lot it is about: put it aside, take another, scan again.
            if (offered.FirstOrDefault(p => p.Lot is { } lot && _reply.Refused!.Title.Contains(lot, StringComparison.Ordinal) || IsWrongVariant(p)) is { } refused)
            {
                await Replace(refused);
                offered = _parts;
                yield return Pause.Seconds(OtherLotS);
                continue;
            }

            // A part of a cell that was put on hold after it was finished: the next one.
            if (_parts.FirstOrDefault(p => p.Lot is null && p.Serial is { } code && _reply.Refused!.Title.Contains(code, StringComparison.Ordinal)) is { } stopped && _line.Route.PartOf(stopped.Part).Product is { } product)
            {
                _unit.Inside.Remove(stopped.Part);
                await foreach (var pause in WaitFor(product)) yield return pause;
                _parts[_parts.IndexOf(stopped)] = TakeBuilt(stopped.Part, product);
                offered = _parts;
                yield return Pause.Seconds(OtherLotS);
                continue;
            }

            if (await Recover("finish")) yield break;
            yield return Pause.Seconds(TryAgainS);
        }

        await GiveUp();
    }

    async IAsyncEnumerable<Pause> RunOnRig()
    {
        var programmeS = _line.Route.LoadTest.Cycle.DurationS;
        var handlingS = Math.Max(_step.WorkS - programmeS, LeastHandlingS) * Scatter(HandSpread);
        var order = _line.Order(_unit, _at.Id, _attempt, _day.Time.Now + TimeSpan.FromMilliseconds(Math.Round(500 * handlingS)), _slips.CutShort);
        // The files are worked out while the rest of the line goes on; what they hold depends on the order alone.
        var recording = Task.Run(() => _day.Options.Recorder(order));
        yield return Pause.Seconds(programmeS + handlingS);

        _unit.TurnedAt = _day.Time.Now;
        var files = await recording;
        foreach (var file in files) await _day.Door.Bring(file);
        if (_slips.CutShort) _day.Slips.Made("cut-short");
        for (var tries = 1; tries <= MostTries; tries++)
        {
            var saying = Saying("request", "finish") with { Captures = [.. files.Select(f => new SaidCapture(f.Sha256, f.Name))] };
            await foreach (var pause in Say(saying, _slips.FinishTwice && tries == 1, _slips.FinishAnswerLost && tries == 1)) yield return pause;
            if (_reply.Answer is { } answer)
            {
                _line.CountRun(_unit, _attempt);
                _line.Keepers[_at.Id].Ran();
                await foreach (var pause in TakeRun(answer)) yield return pause;
                yield break;
            }

            if (await Recover("finish")) yield break;
            yield return Pause.Seconds(TryAgainS);
        }

        await GiveUp();
    }

    async IAsyncEnumerable<Pause> TakeRun(HeardAnswer answer)
    {
        if (_slips.CutShort)
        {
            if (answer.Verdict == "hold") _day.Slips.Caught("cut-short");
            else _day.Surprise($"{_at.Id}: a capture of {_unit.Code} ends too soon, and the run was judged {answer.Verdict}.");
        }

        for (var tries = 1; answer.Verdict == "waiting" && tries <= MostTries; tries++)
        {
            yield return Pause.Seconds(AskAgainS);
            var seen = await _day.Door.Look(_unit.Shell);
            if (seen is { State: "held" }) answer = answer with { Verdict = "hold" };
            else if (seen?.NextStep is { } next && _line.Route.IndexOf(next) > _at.StepIndex) answer = answer with { Verdict = "pass" };
        }

        Take(answer);
    }

    async IAsyncEnumerable<Pause> SpoilMark()
    {
        _day.Slips.Made("spoiled-mark");
        await Send(Saying("request", "finish") with { Readings = [new("mark-spoiled", Text: _serial)], Remark = "the beam stopped in the middle of the code" });
        if (_reply.Refused is { } no) _day.Surprise($"{_at.Id}: a spoiled mark was refused: {no.Title}");
        else _day.Slips.Caught("spoiled-mark");
        _unit.FirstPass = false;
        var spoiled = _serial;
        await foreach (var pause in Begin()) yield return pause;
        if (_begun && _serial == spoiled) _day.Surprise($"{_at.Id}: the spoiled serial number {spoiled} was issued again.");
        yield return Pause.Seconds(SpoiledMarkS);
    }

    /// <summary>Says something, and where the agent slips says it again: it must count once.</summary>
    async IAsyncEnumerable<Pause> Say(Saying saying, bool twice, bool answerLost)
    {
        await Send(saying);
        if (twice) await SayAgain(saying, "sent-twice");
        if (!answerLost) yield break;
        yield return Pause.Seconds(AnswerLostS);
        await SayAgain(saying, "answer-lost");
    }

    async Task SayAgain(Saying saying, string slip)
    {
        var first = _reply;
        _day.Slips.Made(slip);
        await Send(saying);
        var same = (first.Answer?.Sequence ?? first.Refused?.Sequence) == (_reply.Answer?.Sequence ?? _reply.Refused?.Sequence);
        if (same && (_reply.Answer?.Repeat ?? _reply.Refused?.Repeat) == true) _day.Slips.Caught(slip);
        else _day.Surprise($"{_at.Id}: {saying.Key} was sent again and counted twice.");
    }

    async Task Send(Saying saying) => _reply = await _day.Door.Send(_at.Id, saying);

    /// <summary>After a refusal that nobody meant to provoke: looks at the unit.</summary>
    /// <returns>True where nothing is left to try.</returns>
    async Task<bool> Recover(string what)
    {
        var title = _reply.Refused?.Title ?? "";
        var seen = await _day.Door.Look(_unit.Shell);
        if (seen is { State: "held" or "scrapped" or "shipped" })
        {
            _unit.FirstPass = false;
            _unit.Reasons.Add(title);
            return true;
        }

        if (seen?.NextStep is { } next && _line.Route.IndexOf(next) > _at.StepIndex) return Passed = true;
        // Sent back to its load test while it was on its way: it goes to the rack and from there to a rig.
        if (_unit.HeldForRig is not null && seen?.NextStep is { } back && _line.Route.IndexOf(back) < _at.StepIndex) return true;
        if (!_unit.ReportOutstanding) _day.Surprise($"{_at.Id}: {what} of {_step.Id} on {_unit.Code} was refused: {title}");
        return false;
    }

    /// <summary>Nobody on the line can mend it: the unit is put on hold, so that the station is free.</summary>
    async Task GiveUp()
    {
        var reason = $"Put aside at {_at.Id}: {_reply.Refused?.Title}";
        await _day.Door.ActOnUnit("hold", _day.Key("office"), _unit.Shell, reason, _day.Time.Now, _at.Person);
        _unit.Reasons.Add(reason);
        _unit.FirstPass = false;
    }

    void Take(HeardAnswer answer)
    {
        if (answer.Verdict == "pass")
        {
            Passed = true;
            if (IsMark) _unit.Serial = _serial;
        }
        else
        {
            Stop(answer);
        }
    }

    void Stop(HeardAnswer answer)
    {
        var unreadable = IsLoadTest && _slips.CutShort && answer.Verdict == "hold";
        _unit.StoppedAs = unreadable ? "unreadable" : answer.Verdict ?? "";
        _unit.StoppedAt = _at.StepIndex;
        _unit.FirstPass = false;
        if (!unreadable) _unit.Found = true;
        _unit.Reasons.AddRange(answer.Holds is { Count: > 0 } holds ? holds : [$"{_step.Id}: {answer.Verdict}"]);
    }

    async IAsyncEnumerable<Pause> TakeParts()
    {
        foreach (var wanted in _step.Parts ?? [])
        {
            var part = _line.Route.PartOf(wanted.OfVariant && _unit.Variant is { } variant ? variant.Takes(wanted.Part) : wanted.Part);
            if (part.Shell)
            {
                _parts.Add(new(part.Id, Serial: _unit.Shell));
            }
            else if (part.Product is { } product)
            {
                await foreach (var pause in WaitFor(product)) yield return pause;
                _parts.Add(TakeBuilt(part.Id, product));
            }
            else
            {
                _parts.Add(await TakeOne(part.Id));
            }
        }
    }

    /// <summary>The cell has none finished: the station waits.</summary>
    async IAsyncEnumerable<Pause> WaitFor(string product)
    {
        await Task.CompletedTask;
        var stock = _day.Stock[product];
        while (stock.Count == 0) yield return Pause.UntilHeard(stock.Came);
    }

    SaidPart TakeBuilt(string part, string product)
    {
        var built = _day.Stock[product].Take()!;
        _unit.Inside[part] = built;
        if (part == "rotor") _unit.HasWeakMagnets = built.HasWeakMagnets;
        return new(part, Serial: built.Code);
    }

    async Task<SaidPart> TakeOne(string part)
    {
        var taken = await _day.Lots.Take(part, _content.Quantity(part), _day.Crew.GoodsIn);
        if (part is "magnet" or "rotor") _day.CountMagnets(_unit, _day.Lots.Open(part));
        return taken;
    }

    /// <summary>The parts as they are scanned: the right ones, or one lot that should be refused.</summary>
    List<SaidPart> Offered()
    {
        for (var i = 0; i < _parts.Count; i++)
        {
            if (_parts[i].Lot is null || Mistaken(_parts[i].Part) is not { } lot) continue;
            var offered = _parts.ToList();
            offered[i] = _parts[i] with { Lot = lot.Code };
            return offered;
        }

        return _parts;
    }

    Lot? Mistaken(string part)
    {
        (_mistake, var lot) = part switch
        {
            _ when _unit.FaultInside?.Id == FaultList.WrongGear && part == _line.Route.LookAlike!.Id => (FaultList.WrongGear, _day.Lots.Wrong(part)),
            _ when _slips.HeldLot && _day.Lots.HasHeld(part) => ("held-lot", _day.Lots.Held(part)),
            _ when _slips.ExpiredLot && _day.Lots.HasLeftover(part) => ("expired-lot", _day.Lots.Leftover(part)),
            _ when _slips.LeftOver && IsOfVariant(part) && _line.Orders?.HasCleared(_at.Id) == true => ("left-over", _day.Lots.Wrong(part)),
            _ when _slips.WrongLot => ("wrong-lot", _day.Lots.Wrong(part)),
            _ => ((string?)null, (Lot?)null),
        };
        if (_mistake is not (null or FaultList.WrongGear)) _day.Slips.Made(_mistake);
        return lot;
    }

    bool IsOfVariant(string part) => _step.Parts!.Any(p => p.OfVariant && _unit.Variant?.Takes(p.Part) == part);

    bool IsWrongVariant(SaidPart offered) => _mistake is not null && !_parts.Contains(offered);

    /// <summary>Puts a refused lot aside and takes the part from another.</summary>
    async Task Replace(SaidPart refused)
    {
        if (_mistake == FaultList.WrongGear)
        {
            // Refused before it went in: the right set takes its place, and the fault is out.
            _unit.Found = true;
            _unit.Reasons.Add(_reply.Refused!.Title);
            _unit.TakeFaultOut();
        }
        else if (_mistake is not null)
        {
            _day.Slips.Caught(_mistake);
        }
        else
        {
            await _day.Lots.PutAside(refused.Lot!, _day.Crew.GoodsIn);
            _parts[_parts.FindIndex(p => p.Part == refused.Part)] = await TakeOne(refused.Part);
        }

        _mistake = null;
    }

    Saying Finish(string kind, IReadOnlyList<SaidPart> parts, string? remark) => Saying(kind, "finish") with
    {
        Parts = parts.Count > 0 ? [.. parts] : null,
        Readings = _readings.Value,
        Screws = _screws.Value,
        Remark = remark,
    };

    Saying Saying(string kind, string stage) => new()
    {
        Key = _day.Key(_at.Id), Kind = kind, Item = _unit.Code, Step = _step.Id, Stage = stage, OccurredAt = _day.Time.Now, Person = _at.Person,
    };

    /// <summary>Texts that come from the work itself; null where the text is the one that the route asks for.</summary>
    string? Text(string reading) => reading switch
    {
        "mark-read" => _serial,
        "label-read" => _unit.Shell,
        "box" => Names.Box(_line.Route.Line.Id, _unit.Truth.Number),
        "customer" => _unit.Order?.Customer ?? _line.Route.Plant.Customers[(_unit.Truth.Number - 1) / UnitsPerOrder % _line.Route.Plant.Customers.Count],
        _ => null,
    };

    double WorkS() => _step.WorkS * Scatter(_step.Kind is "check" or "mark" ? MachineSpread : HandSpread);

    // Lognormal with mean 1.
    double Scatter(double spread) => Math.Exp(spread * _noise.Normal() - spread * spread / 2);
}
