namespace Roadproof.Records.Ledger;

/// <summary>A record about to be kept: what happened, to what, where, when, by whom.</summary>
/// <param name="Key">Unique for ever; chosen by the sender, or made from what the record is about.</param>
/// <param name="Kind">One of <see cref="RecordKinds"/>.</param>
/// <param name="Item">Unit, lot or revision the record is about; each item has its own chain of hashes.</param>
/// <param name="Body">The record's content as canonical JSON (RFC 8785): what the sender said and what was decided.</param>
public sealed record NewRecord(
    string Key, string Kind, string Item, string Station, DateTimeOffset OccurredAt, string Person, string Body, int BodyVersion = 1);

/// <summary>A record as kept.</summary>
/// <param name="Sequence">Its place in the ledger, from 1 without gaps.</param>
/// <param name="ReceivedAt">When the line's clock said it came, UTC.</param>
/// <param name="PreviousHash">Hash of the record before it on the same item, hex; 64 zeros for the first.</param>
/// <param name="Hash">SHA-256 over the canonical JSON of everything above, hex.</param>
public sealed record LedgerRecord(
    long Sequence, string Key, string Kind, string Item, string Station, DateTimeOffset OccurredAt, DateTimeOffset ReceivedAt,
    string Person, string Body, int BodyVersion, string PreviousHash, string Hash);

/// <summary>The kinds of record a ledger holds.</summary>
public static class RecordKinds
{
    public const string RevisionApproved = "revision-approved";

    /// <summary>No new unit starts on a product any more; the item is the revision that was its newest.</summary>
    public const string ProductWithdrawn = "product-withdrawn";
    public const string LotReceived = "lot-received";

    /// <summary>Part of a lot has become a lot of its own; the item is the new lot.</summary>
    public const string LotSplit = "lot-split";

    /// <summary>Lots were poured together; the item is the new lot.</summary>
    public const string LotMixed = "lot-mixed";

    /// <summary>A lot was brought to a station, or back to the store.</summary>
    public const string LotBrought = "lot-brought";
    public const string LotHeld = "lot-held";
    public const string LotReleased = "lot-released";

    /// <summary>The tool's own finding that a lot differs from the others.</summary>
    public const string LotShift = "lot-shift";

    /// <summary>A unit has begun a step at a station.</summary>
    public const string StepBegun = "step-begun";

    /// <summary>A step is done, with its parts, readings and verdicts.</summary>
    public const string StepDone = "step-done";

    /// <summary>A request that was refused, with reason and remedy.</summary>
    public const string Refused = "refused";

    /// <summary>A verdict given after its step's record: captures came late, or limits changed.</summary>
    public const string Judged = "judged";
    public const string SerialIssued = "serial-issued";

    /// <summary>A serial number that will never be on a unit, with the reason.</summary>
    public const string SerialVoid = "serial-void";
    public const string UnitHeld = "unit-held";
    public const string UnitReleased = "unit-released";
    public const string UnitScrapped = "unit-scrapped";

    /// <summary>A repairer took a part out of a stopped unit, and may have put another in.</summary>
    public const string PartSwapped = "part-swapped";

    /// <summary>A part that came out and was put on hold goes to scrap or back to stock.</summary>
    public const string PartPlaced = "part-placed";

    /// <summary>A repairer measured something on a stopped unit.</summary>
    public const string UnitMeasured = "unit-measured";
    public const string QualificationGranted = "qualification-granted";
    public const string QualificationWithdrawn = "qualification-withdrawn";

    /// <summary>A production order came in; the item of what happens to it is its code.</summary>
    public const string OrderOpened = "order-opened";

    /// <summary>New units take the order from now on.</summary>
    public const string OrderStarted = "order-started";

    /// <summary>No new unit takes the order any more: it is finished, or ended short.</summary>
    public const string OrderEnded = "order-ended";

    /// <summary>A person has cleared a station for an order; the item is the station.</summary>
    public const string StationCleared = "station-cleared";

    /// <summary>A rig has run a reference unit; the item is the reference's code.</summary>
    public const string ReferenceRun = "reference-run";

    /// <summary>A unit's run was judged again because its rig had drifted; its first verdict stays.</summary>
    public const string UnitRejudged = "unit-rejudged";

    /// <summary>A tool or gauge of a station was calibrated; the item is the station.</summary>
    public const string Calibrated = "calibrated";

    /// <summary>A capture file has arrived and its bytes fit its name; the item is its SHA-256.</summary>
    public const string CaptureKept = "capture-kept";

    /// <summary>A capture file was deleted under a retention rule; the item is its SHA-256.</summary>
    public const string CaptureRetired = "capture-retired";
}
