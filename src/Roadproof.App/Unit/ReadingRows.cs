using Roadproof.App.Frame;
using Roadproof.Engineering.Judging;
using Roadproof.Records.ReadModel;

namespace Roadproof.App.Unit;

/// <summary>One requirement reading as a row, with the attempts before it.</summary>
/// <param name="Earlier">Readings of the same characteristic at earlier attempts, oldest first.</param>
public sealed record RequirementRow(RequirementReading Reading, string Place, int Attempt, IReadOnlyList<RequirementReading> Earlier)
{
    /// <summary>How sure it conforms. A curve may know that its figure alone does not tell (a pressure that had not settled): then the curve is what to look at.</summary>
    public string Sure => TellsByItself ? Figure.Sure(Reading.ConformanceProbability) : "see its curve";

    bool TellsByItself => Reading.Verdict switch
    {
        Verdict.Undecided => Way < Reading.GuardBand,
        Verdict.Fail => Way < 0,
        _ => true,
    };

    double Way => Math.Min(Reading.Value - (Reading.Lower ?? double.NegativeInfinity), (Reading.Upper ?? double.PositiveInfinity) - Reading.Value);
}

/// <summary>A step's reading that is kept as text.</summary>
public sealed record TextRow(string Id, string Place, string Text);

/// <summary>The readings of a unit, sorted for someone who has little time: what is near or beyond a limit stands open, the rest folds into one line.</summary>
/// <param name="Safety">Safety functions, each tested in every unit: always open, the nearest to its limit first.</param>
public sealed record ReadingRows(
    IReadOnlyList<RequirementRow> Safety, IReadOnlyList<RequirementRow> Open, IReadOnlyList<RequirementRow> Folded,
    IReadOnlyList<ExpectationReading> OpenExpectations, IReadOnlyList<ExpectationReading> FoldedExpectations,
    IReadOnlyList<TextRow> Texts)
{
    /// <summary>A pass that is surer than this is far from its limit.</summary>
    public const double FarSure = 0.9999;

    /// <summary>A usual reading within so many standard deviations needs no look.</summary>
    public const double FarSigma = 2;

    public static ReadingRows Of(UnitView view)
    {
        var steps = view.Readings.Where(r => r.Reading is not null)
            .GroupBy(r => (r.Step, r.Id))
            .Select(g => Row([.. g.OrderBy(r => r.Attempt).ThenBy(r => r.At).Select(r => (r.Reading!, PlaceOf(r), r.Attempt))]));
        var judged = view.LoadTests.Where(t => t.Verdict is not null).OrderBy(t => t.Attempt).ThenBy(t => t.At).ToList();
        var tests = judged
            .SelectMany(t => t.Verdict!.Requirements.Select(r => (Reading: r, Place: t.Rig, t.Attempt)))
            .GroupBy(r => r.Reading.Id)
            .Select(g => Row([.. g]));

        var rows = steps.Concat(tests).ToList();
        var expectations = judged.Count > 0 ? judged[^1].Verdict!.Expectations : [];
        return new(
            [.. rows.Where(r => r.Reading.Safety).OrderBy(Rank)], [.. rows.Where(r => !r.Reading.Safety && !IsFar(r)).OrderBy(Rank)], [.. rows.Where(r => !r.Reading.Safety && IsFar(r))],
            [.. expectations.Where(e => !IsFar(e)).OrderByDescending(e => Math.Abs(e.Sigma))], [.. expectations.Where(IsFar)],
            [.. view.Readings.Where(r => r.Reading is null && r.Text is not null).Select(r => new TextRow(r.Id, PlaceOf(r), r.Text!))]);
    }

    /// <summary>Passed, at every attempt, and far from any limit.</summary>
    public static bool IsFar(RequirementRow row) =>
        row.Reading.Verdict == Verdict.Pass && row.Reading.ConformanceProbability >= FarSure && row.Earlier.All(e => e.Verdict == Verdict.Pass);

    public static bool IsFar(ExpectationReading reading) => reading.Verdict == Verdict.Usual && Math.Abs(reading.Sigma) < FarSigma;

    /// <summary>Way from the reading to the nearest edge in standard uncertainties; negative beyond it.</summary>
    public static double Margin(RequirementRow row)
    {
        var r = row.Reading;
        var way = Math.Min(r.Value - (r.Lower ?? double.NegativeInfinity), (r.Upper ?? double.PositiveInfinity) - r.Value);
        return r.StandardUncertainty > 0 ? way / r.StandardUncertainty : Math.Sign(way) * double.MaxValue;
    }

    // Fails first, then what nobody can decide, then the least sure.
    static (int, double) Rank(RequirementRow row) =>
        (row.Reading.Verdict switch { Verdict.Fail => 0, Verdict.Undecided => 1, _ => 2 }, row.Reading.ConformanceProbability);

    static RequirementRow Row(List<(RequirementReading Reading, string Place, int Attempt)> attempts) =>
        new(attempts[^1].Reading, attempts[^1].Place, attempts[^1].Attempt, [.. attempts.SkipLast(1).Select(a => a.Reading)]);

    static string PlaceOf(UnitReading r) => r.Station.Length > 0 ? r.Station : r.Step;

    /// <summary>Every reading there is, for the line that says how many.</summary>
    public int Count => Safety.Count + Open.Count + Folded.Count + OpenExpectations.Count + FoldedExpectations.Count + Texts.Count;

    /// <summary>The folded line in words.</summary>
    public static string FoldedWord(IReadOnlyList<RequirementRow> rows) =>
        $"{Figure.Count(rows.Count)} more passed, each more than 99.99 % sure";

    public static string FoldedWord(IReadOnlyList<ExpectationReading> rows) =>
        $"{Figure.Count(rows.Count)} more as sound units read, each within {Figure.Of(FarSigma, 0)} σ";
}
