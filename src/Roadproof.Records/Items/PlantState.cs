using Dapper;
using Microsoft.Data.Sqlite;
using Roadproof.Records.Ledger;
using Roadproof.Records.Gauges;
using Roadproof.Records.Lots;
using Roadproof.Records.Orders;
using Roadproof.Records.People;
using Roadproof.Records.Rework;
using Roadproof.Records.Rigs;

namespace Roadproof.Records.Items;

/// <summary>Lays the ledger out as tables for questions: units, steps, parts, readings, lots, holds, stations.</summary>
/// <remarks>Used when a record is kept and when all is rebuilt; it looks at nothing but the record and what earlier records left in the tables.</remarks>
public sealed class PlantState : IDerive
{
    static readonly string[] Tables =
    [
        "unit", "unit_step", "part_use", "reading", "screw", "lot", "hold", "refusal", "capture", "capture_ref", "curve_check", "load_test", "station_state", "unit_residual", "lot_shift", "lot_source",
        "lot_opening", "qualification", "calibration", "part_out", "rework_measurement", "rework_finding", "work_order", "order_run", "station_setup", "reference_run", "rig_suspect", "rejudged",
    ];

    public void Apply(LedgerRecord record, SqliteConnection connection, SqliteTransaction transaction)
    {
        switch (record.Kind)
        {
            case RecordKinds.StepBegun: new StepRecord(record, connection, transaction).Begun(); break;
            case RecordKinds.StepDone: new StepRecord(record, connection, transaction).Done(); break;
            case RecordKinds.Judged: JudgedRecord.Apply(record, connection, transaction); break;
            case RecordKinds.CaptureKept: CaptureRecord.Kept(record, connection, transaction); break;
            case RecordKinds.CaptureRetired: CaptureRecord.Retired(record, connection, transaction); break;
            case RecordKinds.Refused: RefusedRecord.Apply(record, connection, transaction); break;
            case RecordKinds.UnitHeld: UnitActRecord.Held(record, connection, transaction); break;
            case RecordKinds.UnitReleased: UnitActRecord.Released(record, connection, transaction); break;
            case RecordKinds.UnitScrapped: UnitActRecord.Scrapped(record, connection, transaction); break;
            case RecordKinds.PartSwapped: ReworkRecord.Swapped(record, connection, transaction); break;
            case RecordKinds.PartPlaced: ReworkRecord.Placed(record, connection, transaction); break;
            case RecordKinds.UnitMeasured: ReworkRecord.Measured(record, connection, transaction); break;
            case RecordKinds.LotReceived: LotRecord.Received(record, connection, transaction); break;
            case RecordKinds.LotSplit or RecordKinds.LotMixed: LotRecord.Made(record, connection, transaction); break;
            case RecordKinds.LotBrought: LotRecord.Brought(record, connection, transaction); break;
            case RecordKinds.LotHeld: LotRecord.Held(record, connection, transaction); break;
            case RecordKinds.LotReleased: LotRecord.Released(record, connection, transaction); break;
            case RecordKinds.LotShift: LotRecord.Shifted(record, connection, transaction); break;
            case RecordKinds.QualificationGranted: QualificationRecord.Granted(record, connection, transaction); break;
            case RecordKinds.QualificationWithdrawn: QualificationRecord.Withdrawn(record, connection, transaction); break;
            case RecordKinds.ReferenceRun: ReferenceRecord.Apply(record, connection, transaction); break;
            case RecordKinds.UnitRejudged: RejudgedRecord.Apply(record, connection, transaction); break;
            case RecordKinds.Calibrated: CalibrationRecord.Apply(record, connection, transaction); break;
            case RecordKinds.OrderOpened: OrderRecord.Opened(record, connection, transaction); break;
            case RecordKinds.OrderStarted: OrderRecord.Started(record, connection, transaction); break;
            case RecordKinds.OrderEnded: OrderRecord.Ended(record, connection, transaction); break;
            case RecordKinds.StationCleared: OrderRecord.Cleared(record, connection, transaction); break;
            default: break; // The ledger keeps the book of serial numbers itself; a revision has no table.
        }
    }

    public void Clear(SqliteConnection connection, SqliteTransaction transaction)
    {
        foreach (var table in Tables) connection.Execute($"delete from {table}", transaction: transaction);
    }
}
