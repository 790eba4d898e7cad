using static System.FormattableString;

namespace Roadproof.Records.Ledger;

/// <summary>The keys of records that the line makes by itself. No sender may use one: the line would find its own record taken and could not go on.</summary>
public static class OwnKeys
{
    public static readonly IReadOnlyList<string> Beginnings = ["serial-", "capture-kept-", "capture-retired-", "revision-", "lot-shift/", "late-verdict/"];

    const string OtherContent = "/other-";

    public static string SerialIssued(string serial) => $"serial-{serial}";

    public static string SerialVoid(string serial) => $"serial-void-{serial}";

    /// <param name="kind">The kind of the capture's record: kept or retired.</param>
    public static string Capture(string kind, string sha256, long number) => Invariant($"{kind}-{sha256}-{number}");

    public static string Revision(string id) => $"revision-{id}";

    /// <param name="revision">The product's newest when it was withdrawn.</param>
    public static string Withdrawn(string revision) => $"revision-{revision}-withdrawn";

    public static string LotShift(string lot, string family) => $"lot-shift/{lot}/{family}";

    public static string LateVerdict(long stepSequence) => Invariant($"late-verdict/{stepSequence}");

    /// <summary>Of the refusal of a second content under a key that was used before.</summary>
    public static string Other(string key, string hash) => $"{key}{OtherContent}{hash}";

    public static bool IsOne(string key) => Beginnings.Any(b => key.StartsWith(b, StringComparison.Ordinal)) || key.Contains(OtherContent, StringComparison.Ordinal);
}
