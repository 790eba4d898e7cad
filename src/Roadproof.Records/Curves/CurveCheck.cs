using Roadproof.Engineering.Checks;
using Roadproof.Engineering.Checks.Tightening;
using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Judging;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Definitions;
using static System.FormattableString;

namespace Roadproof.Records.Curves;

/// <summary>What a step is judged by from a curve: a group of screws or a reading, named by its id.</summary>
public abstract record CurveCheck(string Id, string Name)
{
    /// <summary>The checks of a step that are judged from curves.</summary>
    public static IReadOnlyList<CurveCheck> Of(RouteRevision revision, RouteStep step) =>
    [
        .. step.Screws.Where(g => g.Curve is not null).Select(g => new ScrewsCurveCheck(g, g.Curve!)),
        .. step.Readings.Where(r => r.Press is not null).Select(r => new PressCurveCheck(r, r.Press!)),
        .. step.Functional is { } plan ? [new FunctionalCurveCheck(step, plan, revision.LoadTest)] : Array.Empty<CurveCheck>(),
        .. step.Readings.Where(r => r.Leak is not null).Select(r => new LeakCurveCheck(r, r.Leak!, revision.Product.LoadTest?.Unit.Seal)),
    ];

    /// <summary>A station names the curve by the check's id, with or without an ending.</summary>
    public bool IsNamed(string capture) => capture == Id || capture == $"{Id}.csv";

    /// <summary>Reads and judges the curve, with the same code as <c>checks judge</c>.</summary>
    /// <exception cref="InputException">It is no such curve: everything that is wrong with it.</exception>
    public abstract JudgedCurve Judge(byte[] octets, string sha256);

    /// <summary>The name under which a mistake in the curve is told.</summary>
    protected string Source => $"{Id}.csv";

    /// <summary>Why the verdict is not a pass, without figures, so that equal reasons can be counted; what cannot be decided counts only where nothing failed.</summary>
    protected static IEnumerable<string> Reasons(IEnumerable<CheckFeature> features)
    {
        var judged = features.ToList();
        var worst = judged.Exists(f => f.Verdict == Verdict.Fail) ? Verdict.Fail : Verdict.Undecided;
        return judged.Where(f => f.Verdict == worst).Select(f => $"{Items.Wording.Lower(f.Name)} {(worst == Verdict.Undecided ? "cannot be decided" : f.Value < f.Lower ? "too low" : "too high")}");
    }
}

/// <summary>A group of screws by their torque-angle curves.</summary>
public sealed record ScrewsCurveCheck(ScrewGroup Group, TighteningPlan Plan) : CurveCheck(Group.Id, Group.Name)
{
    public override JudgedCurve Judge(byte[] octets, string sha256)
    {
        var driven = TighteningGroupFile.Read(Source, new MemoryStream(octets));
        var numbers = driven.Select(d => d.Number).ToList();
        Require(numbers);
        var again = Plan.FirstScrewRecheck;
        var group = TighteningGroup.Judge([.. driven.Select(d => d.Curve)], again, Plan.Window(Group), numbers, Plan.Pattern(numbers, Group.Count));
        var screws = group.Screws.Select((s, i) => new CurveScrew(numbers[i], s.Verdict, Kept(s.Features), s.Reading)).ToList();
        return new(Id, CurveKind.Tightening, sha256, group.Verdict, group.Recheck, screws, group.OutOfOrder, group.Reading, [.. Why(group)], TighteningJudge.Method);
    }

    // A file that lacks a screw was cut short: it says nothing of the screws, and is sent again.
    void Require(List<int> driven)
    {
        var missing = Enumerable.Range(1, Group.Count).Except(driven).ToList();
        if (missing.Count > 0)
            throw new InputException(new InputError(Source, 0, "screw", $"no curve of screw {string.Join(", ", missing.Select(n => Invariant($"{n}")))}", Invariant($"a curve of each of the {Group.Count} screws"), "Was the file cut short?"));
        if (Plan.FirstScrewRecheck && (driven.Count < 2 || driven[^1] != driven[0]))
            throw new InputException(new InputError(Source, 0, "screw", Invariant($"screw {driven[^1]} as the last"), Invariant($"screw {driven[0]} once more, turned on by a few degrees after the last one"), "Was the file cut short?"));
    }

    static IEnumerable<string> Why(TighteningGroup group)
    {
        var signs = group.Screws.SelectMany(s => s.Signs).Where(s => s.Weighs != RunVerdict.Pass).Select(s => Said(s.Sign)).Distinct();
        var outOfOrder = group.OutOfOrder.Count > 0 ? new[] { "order not held" } : [];
        return signs.Concat(outOfOrder).Concat(Reasons(group.Screws.SelectMany(s => s.Features).Concat(group.Recheck))).Distinct();
    }

    static string Said(TighteningSign sign) => sign switch
    {
        TighteningSign.Stripped => "thread or head has let go",
        TighteningSign.TightAlready => "tight already",
        TighteningSign.NeverSeated => "head did not seat",
        TighteningSign.Yielded => "screw, thread or joint gives way",
        _ => "unusual curve",
    };

    // A feature that nothing is required of and that the curve does not show says nothing.
    static List<CheckFeature> Kept(IReadOnlyList<CheckFeature> features) => [.. features.Where(f => f.Value is not null || f.Verdict is not null)];
}

/// <summary>A reading from the force over distance of a press-in: the block force.</summary>
public sealed record PressCurveCheck(StepReading Reading, PressPlan Plan) : CurveCheck(Reading.Id, Reading.Name)
{
    public override JudgedCurve Judge(byte[] octets, string sha256)
    {
        var v = PressVerdict.Judge(PressCurveFile.Read(Source, new MemoryStream(octets)), Plan.Test(Reading));
        return new(Id, CurveKind.Press, sha256, v.Verdict, v.Features, [], [], string.Join(' ', v.Reading), [.. Reasons(v.Features).Distinct()], PressVerdict.Method, PressVerdict.BlockForce);
    }
}

/// <summary>A reading from a hold of pressure: the leak.</summary>
public sealed record LeakCurveCheck(StepReading Reading, LeakPlan Plan, Seal? Seal) : CurveCheck(Reading.Id, Reading.Name)
{
    public override JudgedCurve Judge(byte[] octets, string sha256)
    {
        var test = Plan.Test(Reading, Seal);
        var v = LeakVerdict.Judge(LeakCurveFile.Read(Source, new MemoryStream(octets), test.AtmospherePa), test);
        return new(Id, CurveKind.Leak, sha256, v.Verdict, v.Features, [], [], string.Join(' ', v.Reading), [.. Reasons(v.Features).Distinct()], LeakVerdict.Method, LeakVerdict.Leak);
    }
}
