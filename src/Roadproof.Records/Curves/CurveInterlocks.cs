using Roadproof.Engineering.Quantities;
using Roadproof.Records.Items;

namespace Roadproof.Records.Curves;

/// <summary>What stands in the way of a step that is judged from curves: one that was not named, or that is no curve of the check.</summary>
static class CurveInterlocks
{
    public static IEnumerable<Refusal> Broken(Situation s)
    {
        foreach (var check in CurveCheck.Of(s.Revision, s.Step))
        {
            var name = CurveJudgement.Named(s.Step, check.Id);
            if (!s.Said.Captures.Any(c => check.IsNamed(c.Name)))
                yield return new($"{s.Step.Name} of {s.UnitCode} names no curve of {name}.", $"Send the curve and name it {check.Id} by its hash.", $"the curve of {name}", "none");
            else if (s.Curves?.FirstOrDefault(c => c.Check == check.Id) is { Problem.Length: > 0, OtherUnit: null } outcome)
                yield return new($"{CurveJudgement.CannotJudge(s.Step, check.Id)}.", "Send the whole curve as it was recorded; if it is lost, tell the shift lead before anything is done again.", $"the curve of {name}", outcome.Problem);
        }
    }
}
