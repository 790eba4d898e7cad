using Roadproof.Records.Captures;
using Roadproof.Records.Items;
using Roadproof.Records.Ledger;

namespace Roadproof.Records.Rigs;

/// <summary>How long captures of reference runs are kept: the newest few of each rig, because what they read stands in the records.</summary>
static class ReferenceCaptures
{
    const int KeptOfRig = 2;

    public static void Retire(LedgerTransaction t, string rig)
    {
        var old = t.Connection.Rows(
            """
            select r.sha256 from capture_ref r join reference_run n on n.sequence = r.sequence
            where r.state = 'kept' and n.rig = @rig and n.sequence not in (select sequence from reference_run where rig = @rig order by sequence desc limit @KeptOfRig)
            order by r.sequence, r.sha256
            """,
            new { rig, KeptOfRig }, t.Transaction, row => row.GetString(0)).Distinct(StringComparer.Ordinal).ToList();
        foreach (var sha256 in old) CaptureStore.AppendRetirement(t, sha256, $"A reference run, and {KeptOfRig} newer ones of its rig are kept.", "");
    }
}
