using Roadproof.Engineering.Quantities;

namespace Roadproof.Records.Messages;

/// <summary>What a station hears when its message was taken.</summary>
/// <param name="Sequence">The record's place in the ledger.</param>
/// <param name="Item">The unit's shell code, whatever code was scanned.</param>
/// <param name="Verdict">pass, fail, hold, waiting (captures are still to come); null for a begin.</param>
/// <param name="Serial">The serial number to be marked, or marked; null elsewhere.</param>
/// <param name="Holds">Why the unit is on hold because of this message; empty when it may go on.</param>
/// <param name="Distance">Joint distance of a load test from sound units; null elsewhere.</param>
/// <param name="Repeat">The key had been sent before: this is the first answer again.</param>
/// <param name="Warnings">What was accepted and still wants a look.</param>
public sealed record MessageAnswer(
    long Sequence, string Item, string Step, string Stage, string? Verdict, string? Serial, IReadOnlyList<string> Holds,
    IReadOnlyList<AnswerReading> Readings, double? Distance, bool Repeat, IReadOnlyList<string> Warnings);

/// <summary>A reading's verdict: pass, fail, undecided; null where there is nothing to judge.</summary>
public sealed record AnswerReading(string Id, string? Verdict);

/// <summary>What a station hears when its request was refused; the refusal itself is a record.</summary>
public sealed record MessageRefused(long Sequence, string Item, Refusal Refusal, bool Repeat);

/// <summary>Taken or refused: exactly one of the two is there.</summary>
public sealed record MessageOutcome(MessageAnswer? Answer, MessageRefused? Refused)
{
    public static implicit operator MessageOutcome(MessageAnswer answer) => new(answer, null);

    public static implicit operator MessageOutcome(MessageRefused refused) => new(null, refused);
}
