using Roadproof.Engineering.Quantities;
using Roadproof.Records.Definitions;
using Roadproof.Records.Items;

namespace Roadproof.Records.Rigs;

/// <summary>A rig judges only while its reference units say so. Asked at the begin of a run; at its end only where nobody asked before.</summary>
static class RigInterlocks
{
    public static IEnumerable<Refusal> Broken(Situation s)
    {
        if (s.Step.Kind != StepKind.LoadTest || s.Said.Stage == "scan" || s.Rig is not { MayJudge: false } rig) yield break;
        if (s.Said is { Stage: "finish", Kind: "request" } && s.Running is { BeganAt: not null }) yield break;
        yield return new(rig.Reason, rig.Remedy, "a rig that may judge", s.Place.Name);
    }
}
