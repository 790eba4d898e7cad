using Roadproof.App.Frame;
using Roadproof.Records.Definitions;

namespace Roadproof.App.Definitions;

/// <summary>Changes in one sentence, the gravest first.</summary>
public static class ChangeSentence
{
    public static string Of(IReadOnlyList<RevisionChange> changes)
    {
        if (changes.Count == 0) return "Nothing is different.";
        var (safety, wider) = (changes.Count(c => c.Kind == ChangeKind.Safety), changes.Count(c => c.Wider == true));
        var (safetyWider, all) = (changes.Count(c => c is { Kind: ChangeKind.Safety, Wider: true }), Figure.Of(changes.Count, "change"));
        if (safetyWider > 0) return $"{all}: {Figure.Count(safetyWider)} of a safety function let{(safetyWider == 1 ? "s" : "")} more units pass.";
        if (safety > 0) return $"{all}, {Figure.Count(safety)} of safety{(wider > 0 ? $"; {Figure.Count(wider)} let{(wider == 1 ? "s" : "")} more units pass" : "")}.";
        return wider > 0 ? $"{all}; {Figure.Count(wider)} let{(wider == 1 ? "s" : "")} more units pass." : $"{all}.";
    }
}
