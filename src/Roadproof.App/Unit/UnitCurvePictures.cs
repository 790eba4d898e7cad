using System.Collections.Concurrent;
using Roadproof.App.Frame;
using Roadproof.Records.Curves;
using Roadproof.Records.ReadModel;

namespace Roadproof.App.Unit;

/// <summary>A check of a unit with its picture (null where the curve is not at hand) and, for screws, where they stand.</summary>
/// <param name="Earlier">Verdicts of earlier attempts at the same check, oldest first.</param>
public sealed record PicturedCurve(UnitCurve Curve, CurvePicture? Picture, IReadOnlyList<(double X, double Y)> Places, IReadOnlyList<UnitCurve> Earlier);

/// <summary>The pictures of a unit's curves that were looked at last, so that a page which is fetched again does not read its files anew.</summary>
public sealed class UnitCurvePictures
{
    // A picture is some ten thousand points.
    const int Most = 64;

    readonly ConcurrentDictionary<string, CurvePicture> pictures = new(StringComparer.Ordinal);
    readonly ConcurrentQueue<string> order = new();

    /// <summary>Every check of the unit that was judged from a curve, the last attempt at each.</summary>
    public IReadOnlyList<PicturedCurve> Of(UnitView view, OpenLine line)
    {
        if (view.Curves.Count == 0) return [];
        var revision = line.Plant.RevisionOf(view.Revision);
        return [.. view.Curves.GroupBy(c => (c.Step, c.Check)).Select(g => One(g.Last(), [.. g.SkipLast(1)]))];

        PicturedCurve One(UnitCurve curve, IReadOnlyList<UnitCurve> earlier)
        {
            var check = revision.StepOf(curve.Step) is { } step ? CurveCheck.Of(revision, step).FirstOrDefault(c => c.Id == curve.Check) : null;
            return new(curve, check is null ? null : Find(check, curve, line), check is ScrewsCurveCheck { Group: { Places: { } places } group } ? places.Of(group.Count) : [], earlier);
        }
    }

    CurvePicture? Find(CurveCheck check, UnitCurve curve, OpenLine line)
    {
        if (curve.Verdict is not { } judged || curve.State != "kept") return null;
        // One file may have been judged under windows of another revision.
        var key = $"{curve.Sha256} {curve.Step} {curve.Check} {judged.Verdict}";
        if (pictures.TryGetValue(key, out var known)) return known;
        using var stream = line.Captures.Open(curve.Sha256);
        if (stream is null) return null;
        var octets = new byte[stream.Length];
        stream.ReadExactly(octets);
        var picture = CurvePicture.Of(check, judged, octets);
        if (pictures.TryAdd(key, picture)) order.Enqueue(key);
        while (pictures.Count > Most && order.TryDequeue(out var oldest)) pictures.TryRemove(oldest, out _);
        return picture;
    }
}
