using Roadproof.App.Frame;
using Roadproof.Engineering.Checks;
using Roadproof.Engineering.Checks.Functional;
using Roadproof.Engineering.Checks.Tightening;
using Roadproof.Engineering.Judging;
using Roadproof.Records.Curves;

namespace Roadproof.App.Unit;

/// <summary>A line of the picture, point by point.</summary>
/// <param name="Mark">State of what it shows.</param>
public sealed record DrawnCurve(string Name, string Mark, IReadOnlyList<(double X, double Y)> Points);

/// <summary>A window of the picture: what the curve must pass through or end in. An edge that is null does not exist.</summary>
/// <param name="Mark">State of the features that it stands for; empty where it only shows a place.</param>
public sealed record DrawnWindow(string Name, double? FromX, double? ToX, double? FromY, double? ToY, string Mark);

/// <summary>The curve of one check with the windows that it was judged by.</summary>
/// <param name="Slopes">Dashed lines that a limit of a slope draws.</param>
public sealed record CurvePicture(
    IReadOnlyList<DrawnCurve> Curves, IReadOnlyList<DrawnWindow> Windows, IReadOnlyList<DrawnCurve> Slopes, string XName, string YName, double FromX, double ToX, double FromY, double ToY, string Note = "")
{
    /// <summary>Points of a line at most: twice what a screen shows.</summary>
    const int MostPoints = 1200;

    /// <param name="check">As the unit's own revision has it.</param>
    public static CurvePicture Of(CurveCheck check, JudgedCurve judged, byte[] octets) => check switch
    {
        ScrewsCurveCheck screws => Of(screws, judged, octets),
        PressCurveCheck press => Of(press, judged, octets),
        LeakCurveCheck leak => Of(leak, judged, octets),
        FunctionalCurveCheck functional => Of(functional, judged, octets),
        _ => throw new InvalidOperationException($"Bug in Roadproof: no picture is known for {check.GetType().Name}."),
    };

    /// <summary>Angles are counted from where the final angle is: every screw's window is then the same.</summary>
    static CurvePicture Of(ScrewsCurveCheck check, JudgedCurve judged, byte[] octets)
    {
        var driven = TighteningGroupFile.Read(check.Id, new MemoryStream(octets)).Take(judged.Screws.Count).ToList();
        var curves = driven.Zip(judged.Screws, (d, s) =>
        {
            var zero = s.Value(TighteningJudge.RundownAngleId) is { } rundown ? d.Curve.AngleDeg[0] + rundown : d.Curve.AngleDeg.Max() - (s.Value(TighteningJudge.FinalAngleId) ?? 0);
            return new DrawnCurve(Invariant($"screw {s.Number}"), StateWord.Of(s.Verdict).Mark, Thin([.. d.Curve.AngleDeg.Select(a => a - zero)], d.Curve.TorqueNm));
        }).ToList();
        var (group, plan, seat) = (check.Group, check.Plan, judged.Screws.Average(s => s.Value(TighteningJudge.PrevailingId) ?? 0));
        List<DrawnWindow> windows = [new("final torque and angle", group.AngleLowerDeg, group.AngleUpperDeg, group.TorqueLowerNm, group.TorqueUpperNm, Worst(judged, TighteningJudge.FinalTorqueId, TighteningJudge.FinalAngleId))];
        if ((plan.PrevailingLowerNm ?? plan.PrevailingUpperNm) is not null) windows.Add(new("prevailing torque", -180, 0, plan.PrevailingLowerNm, plan.PrevailingUpperNm, Worst(judged, TighteningJudge.PrevailingId)));
        var slopes = new[] { plan.SlopeLowerNmPerDeg, plan.SlopeUpperNmPerDeg }.OfType<double>().Where(s => s > 0)
            .Select(s => new DrawnCurve("limits of the slope", Worst(judged, TighteningJudge.SlopeId), [(0, seat), ((group.TorqueUpperNm - seat) / s, group.TorqueUpperNm)])).ToList();
        return new(curves, windows, slopes, "° from the snug point", "N·m", -0.6 * group.AngleUpperDeg, 1.08 * Math.Max(group.AngleUpperDeg, curves.SelectMany(c => c.Points).Max(p => p.X)),
            0, 1.1 * Math.Max(group.TorqueUpperNm, curves.SelectMany(c => c.Points).Max(p => p.Y)));
    }

    static CurvePicture Of(PressCurveCheck check, JudgedCurve judged, byte[] octets)
    {
        var curve = PressCurveFile.Read(check.Id, new MemoryStream(octets));
        var mm = Array.ConvertAll(curve.DistanceM, d => d * 1e3);
        var (plan, touch) = (check.Plan, judged.Features.FirstOrDefault(f => f.Id == PressVerdict.Touch)?.Value ?? mm[0]);
        var top = 1.08 * Math.Max(curve.ForceN.Max(), new[] { check.Reading.Upper, plan.PressUpperN, plan.EntryUpperN }.OfType<double>().DefaultIfEmpty(0).Max());
        var end = Math.Max(mm.Max(), plan.EndUpperMm ?? plan.SeatUpperMm ?? 0);
        List<DrawnWindow> windows = [.. plan.Bands.Select(b => new DrawnWindow(b.Id, b.FromMm, b.ToMm, b.LowerN, b.UpperN, Worst(judged, $"{b.Id}-lowest", $"{b.Id}-highest")))];
        if (plan.EntryUpperN is { } entry) windows.Add(new("entry force", touch, touch + 1, null, entry, Worst(judged, PressVerdict.EntryForce)));
        if ((plan.PressLowerN ?? plan.PressUpperN) is not null) windows.Add(new("press force", (plan.SeatLowerMm ?? end) - 0.1 * (end - touch), plan.SeatLowerMm ?? end, plan.PressLowerN, plan.PressUpperN, Worst(judged, PressVerdict.PressForce)));
        if ((plan.SeatLowerMm ?? plan.SeatUpperMm) is not null) windows.Add(new("seat", plan.SeatLowerMm, plan.SeatUpperMm, null, null, Worst(judged, PressVerdict.Seat)));
        if ((plan.EndLowerMm ?? plan.EndUpperMm) is not null) windows.Add(new("end of the stroke", plan.EndLowerMm, plan.EndUpperMm, null, null, Worst(judged, PressVerdict.End)));
        if ((check.Reading.Lower ?? check.Reading.Upper) is not null) windows.Add(new("block force", plan.SeatUpperMm ?? end - 0.02 * (end - touch), null, check.Reading.Lower, check.Reading.Upper, Worst(judged, PressVerdict.BlockForce)));
        return new([new("the stroke", StateWord.Of(judged.Verdict).Mark, Thin(mm, curve.ForceN))], windows, [], "mm", "N", Math.Min(mm[0], touch - 1), end + 0.03 * (end - touch), 0, top);
    }

    /// <summary>The measured stretch, and how the pressure would fall at the limit.</summary>
    static CurvePicture Of(LeakCurveCheck check, JudgedCurve judged, byte[] octets)
    {
        var test = check.Plan.Test(check.Reading, check.Seal);
        var curve = LeakCurveFile.Read(check.Id, new MemoryStream(octets), test.AtmospherePa);
        double Of(string id) => judged.Features.FirstOrDefault(f => f.Id == id)?.Value ?? double.NaN;
        var (from, to) = (Of("measured-from"), Of("measured-from") + Of("measured-for"));
        var kPa = Array.ConvertAll(curve.AbsolutePa, p => (p - test.AtmospherePa) / 1e3);
        var first = Math.Clamp(Array.FindIndex(curve.TimeS, t => t >= from), 0, kPa.Length - 1);
        var last = Math.Max(first, Array.FindLastIndex(curve.TimeS, t => t <= to));
        var gasK = curve.PartC is { } part ? part[first] + GasConditions.ZeroCelsiusK : GasConditions.Room.TemperatureK;
        var fall = (test.Limit.Upper ?? 0) / (LeakRate.PerPaM3(test.Reference, gasK) * test.VolumeM3 * LeakRate.Cm3PerMinPerM3PerS) / 1e3 * Math.Sign(test.TestPressurePa);
        List<DrawnCurve> limit = test.Limit.Upper is null ? [] : [new("falls so at the limit", "", [(from, kPa[first]), (to, kPa[first] - fall * (to - from))])];
        var shown = kPa[first..(last + 1)].Concat(limit.SelectMany(l => l.Points.Select(p => p.Y))).ToList();
        var room = 0.15 * Math.Max(shown.Max() - shown.Min(), 1e-3 * Math.Abs(test.TestPressurePa) / 1e3);
        var note = curve.PartC is { } c ? Invariant($"The part went from {c[first]:0.00} to {c[last]:0.00} °C while it was measured.") : "No temperature of the part was recorded.";
        return new([new("the pressure", StateWord.Of(judged.Verdict).Mark, Thin(curve.TimeS, kPa))], [new("measured", from, to, null, null, "")], limit, "s", "kPa", curve.TimeS[0], curve.TimeS[^1], shown.Min() - room, shown.Max() + room, note);
    }

    /// <summary>Drag over the crank's angle: forward to the right, backward to the left.</summary>
    static CurvePicture Of(FunctionalCurveCheck check, JudgedCurve judged, byte[] octets)
    {
        var capture = FunctionalCapture.Read(check.Id, new MemoryStream(octets));
        var (forward, backward) = (Way(FunctionalSection.Forward, 1), Way(FunctionalSection.Backward, -1));
        List<DrawnCurve> curves = [new("forward", Worst(judged, FunctionalVerdict.Forward), forward), new("backward", Worst(judged, FunctionalVerdict.Backward), backward)];
        List<DrawnWindow> windows = [];
        Window("drag backward", FunctionalVerdict.Backward, backward.Min(p => p.X), 0);
        Window("drag forward", FunctionalVerdict.Forward, 0, forward.Max(p => p.X));
        var top = curves.SelectMany(c => c.Points).Select(p => p.Y).Concat(windows.Select(w => w.ToY ?? 0)).Max();
        return new(curves, windows, [], "° of the crank, backward to the left", "N·m", backward.Min(p => p.X), forward.Max(p => p.X), 0, 1.2 * top);

        List<(double X, double Y)> Way(FunctionalSection section, int side)
        {
            var rows = capture.Rows(section)!.Value;
            var (angle, torque) = (capture.AngleDeg[rows], capture.TorqueNm[rows]);
            var sign = Math.Sign(angle[^1] - angle[0]);
            return Thin([.. angle.Select(a => side * Math.Abs(a - angle[0]))], [.. torque.Select(t => sign * t)]);
        }

        void Window(string name, string id, double fromX, double toX)
        {
            if (judged.Features.First(f => f.Id == id) is { } f && (f.Lower ?? f.Upper) is not null) windows.Add(new(name, fromX, toX, f.Lower, f.Upper, Worst(judged, id)));
        }
    }

    static string Worst(JudgedCurve judged, params ReadOnlySpan<string> ids)
    {
        var worst = Verdict.Pass;
        foreach (var f in judged.Features.Concat(judged.Screws.SelectMany(s => s.Features)))
        {
            if (!ids.Contains(f.Id)) continue;
            if (f.Verdict == Verdict.Fail) return "fail";
            if (f.Verdict == Verdict.Undecided) worst = Verdict.Undecided;
        }

        return StateWord.Of(worst).Mark;
    }

    /// <summary>Of each group of neighbours the first, the least and the greatest, in their order.</summary>
    static List<(double X, double Y)> Thin(double[] x, double[] y)
    {
        var (points, each) = (new List<(double, double)>(), Math.Max(1, 3 * x.Length / MostPoints));
        for (var from = 0; from < x.Length; from += each)
        {
            var (low, high) = (from, from);
            for (var i = from; i < Math.Min(x.Length, from + each); i++) (low, high) = (y[i] < y[low] ? i : low, y[i] > y[high] ? i : high);
            foreach (var i in new[] { from, low, high }.Distinct().Order()) points.Add((x[i], y[i]));
        }

        return points;
    }
}
