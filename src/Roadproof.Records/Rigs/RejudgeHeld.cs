using System.Globalization;
using Roadproof.Engineering.LoadTest.Rigs;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Items;
using Roadproof.Records.Ledger;

namespace Roadproof.Records.Rigs;

/// <summary>Keeps what judging a rig's held units again came to, as a person has approved it; lets go those that pass whatever the drift was, and no others.</summary>
public static class RejudgeHeld
{
    /// <param name="judged">Worked out beforehand, because it takes longer than a record may wait.</param>
    /// <exception cref="InputException">The act names no rig, key or reason.</exception>
    public static Outcome<RejudgeAnswer> Decide(LedgerTransaction t, RejudgeAct act, IReadOnlyList<RejudgedUnit> judged)
    {
        ActCheck.Require(act.Key, act.Rig, "rig", act.Reason);
        var kept = Kept(t, act.Key);
        if (kept.Count == 0)
        {
            var open = judged.Where(u => IsOpen(t, act.Rig, u) && !IsKept(t, u)).ToList();
            if (open.Count == 0) return new Refusal($"No unit that is on hold because of {act.Rig} is left to be judged again.", "Test again those that are still on hold.", "a unit on hold for the rig", "none");
            foreach (var (unit, number) in open.Select((u, i) => (u, i + 1))) kept.Add(Keep(t, act, unit, number));
        }

        return new RejudgeAnswer(act.Rig, [.. kept.Where(d => d.Released).Select(d => d.Unit)], [.. kept.Where(d => !d.Released).Select(d => $"{d.Unit}: {d.Rejudged.Reason}")]);
    }

    static RejudgedDecision Keep(LedgerTransaction t, RejudgeAct act, RejudgedUnit unit, int number)
    {
        var decided = new RejudgedDecision(unit.Unit, act.Rig, unit.Attempt, unit.RunSequence, unit.WrongSequence, unit.Rejudged, unit.Rejudged.Outcome == RejudgedAs.Passes);
        t.Append(new(UnitKey(act.Key, number), RecordKinds.UnitRejudged, unit.Unit, "office", act.OccurredAt, act.Person ?? "", RecordJson.Text(new RejudgedBody(act, decided))));
        return decided;
    }

    // A form that is sent again finds its own records.
    static List<RejudgedDecision> Kept(LedgerTransaction t, string key)
    {
        var kept = new List<RejudgedDecision>();
        while (t.Find(UnitKey(key, kept.Count + 1)) is { } record) kept.Add(RecordJson.Read<RejudgedBody>(record.Body).Decided);
        return kept;
    }

    // Between looking and deciding it may have been run again, or another run of the reference may have stopped it anew.
    static bool IsOpen(LedgerTransaction t, string rig, RejudgedUnit unit) => t.Connection.Any(
        """
        select 1 from rig_suspect s where s.unit = @Unit and s.rig = @rig and s.sequence = @WrongSequence and s.run_sequence = @RunSequence
          and not exists (select 1 from rig_suspect later where later.unit = s.unit and later.rig = s.rig and later.run_sequence > s.run_sequence)
          and exists (select 1 from hold h where h.unit = s.unit and h.cause = @cause and h.released_at is null)
        """,
        new { unit.Unit, rig, unit.WrongSequence, unit.RunSequence, cause = TakeReferenceRun.Cause(rig) }, t.Transaction);

    static bool IsKept(LedgerTransaction t, RejudgedUnit unit) =>
        t.Connection.Any("select 1 from rejudged where unit = @Unit and run_sequence = @RunSequence and wrong_sequence = @WrongSequence", new { unit.Unit, unit.RunSequence, unit.WrongSequence }, t.Transaction);

    static string UnitKey(string key, int number) => string.Create(CultureInfo.InvariantCulture, $"{key}-{number}");
}
