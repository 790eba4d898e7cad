using Roadproof.Engineering.Checks.Functional;
using Roadproof.Engineering.Judging;
using Roadproof.Engineering.LoadTest;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Definitions;
using static System.FormattableString;

namespace Roadproof.Records.Curves;

/// <summary>Readings of a step from slow turning: against what is required, and against sound units.</summary>
public sealed record FunctionalCurveCheck(RouteStep Step, FunctionalPlan Plan, LoadTestPlan Product) : CurveCheck(FunctionalPlan.CheckId, Title)
{
    /// <summary>As shown.</summary>
    public const string Title = "Slow turning";

    /// <summary>A capture was turned as planned within this share. Common practice, no source.</summary>
    const double SpeedShare = 0.1, RampShare = 0.02;

    static readonly FunctionalSection[] Turned = [FunctionalSection.Forward, FunctionalSection.Backward, FunctionalSection.Driven, FunctionalSection.Free];

    public override JudgedCurve Judge(byte[] octets, string sha256)
    {
        var capture = FunctionalCapture.Read(Source, new MemoryStream(octets));
        var test = Plan.Test(Step, Product);
        var read = FunctionalReadings.From(capture, test);
        var errors = Missing(capture).Concat(NotAsPlanned(capture, read)).ToList();
        if (errors.Count > 0) throw new InputException(errors);
        var v = FunctionalVerdict.Judge(read, test);
        var sound = v.Expectations.Count == 0 ? null : new SoundUnits(v.Expectations, v.Distance, v.DistanceLimit, v.SigmaLimit);
        return new(Id, CurveKind.Functional, sha256, v.Verdict, v.Features, [], [], string.Join(' ', v.Reading), [.. Why(v, sound).Distinct()], FunctionalVerdict.Method, SoundUnits: sound);
    }

    IEnumerable<InputError> Missing(FunctionalCapture capture)
    {
        if (capture.SensorNm is null && Plan.Readings.Contains(FunctionalVerdict.SensorZero)) yield return Lacks("sensor_torque_nm");
        if (capture.PhaseA is null && Plan.Readings.Contains(FunctionalVerdict.PhaseBalance)) yield return Lacks("phase_current_u_a, phase_current_v_a and phase_current_w_a");
        if (capture.MessagesMissed is null) yield return Lacks("messages_missed");
    }

    InputError Lacks(string channel) => new(Source, 1, "", $"no {channel}", $"{channel}, which {Step.Name} is judged by");

    // A file that lacks its end or was turned otherwise says nothing of the unit, and is sent or turned again.
    IEnumerable<InputError> NotAsPlanned(FunctionalCapture capture, FunctionalReadings read)
    {
        foreach (var section in Turned)
        {
            var speed = capture.TurnDegPerS(section);
            if (Math.Abs(speed - Plan.TurnDegPerS) > SpeedShare * Plan.TurnDegPerS)
                yield return new(Source, 0, "angle", Invariant($"section {(int)section} turned at {speed:0.#} °/s"), Invariant($"{Plan.TurnDegPerS:0.#} °/s within {100 * SpeedShare:0} %"));
        }

        if (read.Lock.AtLeast && read.Lock.Value < (1 - RampShare) * Plan.RampToNm)
            yield return new(Source, 0, "torque", Invariant($"a ramp that ended at {read.Lock.Value:0.#} N·m while the clutch held"), Invariant($"a ramp to {Plan.RampToNm:0.#} N·m"), "Was it cut short?");
    }

    static IEnumerable<string> Why(FunctionalVerdict v, SoundUnits? sound)
    {
        if (v.Features.Any(f => f.Verdict is Verdict.Fail)) return Reasons(v.Features);
        var unusual = v.Expectations.Where(e => e.Verdict == Verdict.Unusual).OrderByDescending(e => Math.Abs(e.Sigma)).Select(e => $"{Items.Wording.Lower(e.Name)} unusual").ToList();
        if (unusual.Count == 0 && sound?.TogetherUnusual() == true) unusual.Add("readings unusual together");
        return unusual.Concat(Reasons(v.Features.Where(f => f.Verdict == Verdict.Undecided)));
    }
}
