namespace Roadproof.Engineering.Quantities;

/// <summary>The trade's own "no": what stands in the way and what to do about it. A value, never an exception.</summary>
/// <param name="Reason">What was found and what was needed, as one sentence a person at a station can act on.</param>
/// <param name="Remedy">What to do now, as one sentence.</param>
/// <param name="Needed">The thing that was needed, short enough for the largest type of a page; empty if there is none.</param>
/// <param name="Found">The thing that was found instead; empty if there is none.</param>
public sealed record Refusal(string Reason, string Remedy, string Needed = "", string Found = "");

/// <summary>Done, or refused with a reason: the two ends of anything a person or station asks for.</summary>
/// <typeparam name="T">What is answered when it is done.</typeparam>
public sealed class Outcome<T>
    where T : class
{
    Outcome(T? done, Refusal? refused) => (Done, Refused) = (done, refused);

    /// <summary>The answer; null exactly when <see cref="Refused"/> is not.</summary>
    public T? Done { get; }

    /// <summary>The refusal; null exactly when <see cref="Done"/> is not.</summary>
    public Refusal? Refused { get; }

    public static implicit operator Outcome<T>(T done) => new(done, null);

    public static implicit operator Outcome<T>(Refusal refused) => new(null, refused);
}
