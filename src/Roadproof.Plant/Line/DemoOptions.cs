namespace Roadproof.Plant.Line;

/// <summary>What a demo is started with. The same options, and a server that answers the same, give the same messages byte for byte.</summary>
public sealed record DemoOptions
{
    public ulong Seed { get; init; } = 1;

    /// <summary>Units to be started; null builds on until it is stopped.</summary>
    public int? Units { get; init; }

    /// <summary>Plant seconds in one real second; null for as fast as it goes, the clock stepped by the line.</summary>
    public double? Speed { get; init; }

    /// <summary>Units that are started as fast as it goes before a demo with a speed goes on at that speed, so that a visitor finds a line at work.</summary>
    public int HeadStart { get; init; }

    /// <summary>When the shift begins; its offset is the plant's.</summary>
    public DateTimeOffset Now { get; init; } = new(2031, 3, 4, 6, 0, 0, TimeSpan.FromHours(1));

    /// <summary>How often people and machines slip.</summary>
    public SlipRates Slips { get; init; } = SlipRates.Usual;

    /// <summary>How a rig records a run; the default integrates it in time.</summary>
    public Func<RunOrder, IReadOnlyList<RecordedFile>> Recorder { get; init; } = RunRecording.Record;

    /// <summary>The clock that plant and server share.</summary>
    public PlantClock Clock() => Speed is { } speed && HeadStart == 0 ? PlantClock.Scaled(Now, speed) : PlantClock.Stepped(Now);
}

/// <summary>How a demo stands.</summary>
public sealed record DemoProgress(DateTimeOffset PlantTime, int Started, int Shipped, int OnHold, int Scrapped, int? Units);

/// <summary>What came of a demo, told by the plant from its own secret list; the figures before the cells are those of the drive units.</summary>
/// <param name="UnitsOnHold">On hold at the end.</param>
/// <param name="FirstPassYield">Units shipped that no step ever stopped, as a share of the units that ended or are on hold; null before the first.</param>
/// <param name="SoundUnits">Units that ended or are on hold and carry nothing of the secret list.</param>
/// <param name="SoundStopped">Sound units that were scrapped or are on hold at the end.</param>
/// <param name="SoundStoppedByLotOrRigHold">Of these: held for a lot alone, or run on the drifting rig after its drift began.</param>
/// <param name="Surprises">Where the line answered other than a plant may expect, as sentences; empty when all is well.</param>
public sealed record DemoResult(
    int UnitsStarted, int UnitsShipped, int UnitsOnHold, int UnitsScrapped, double? FirstPassYield, int LoadTestsRun, double PlantTimeS,
    int SoundUnits, int SoundStopped, int SoundStoppedByLotOrRigHold,
    IReadOnlyList<FaultCount> Faults, WeakLotResult? WeakLot, DriftingRigResult? DriftingRig,
    IReadOnlyList<SlipCount> Slips, IReadOnlyList<OtherLineResult> OtherLines, IReadOnlyList<UnitResult> Units, IReadOnlyList<string> Surprises);

/// <summary>One fault of the list: units that carry it, and how many were failed, held or scrapped before shipping (or refused their wrong part).</summary>
public sealed record FaultCount(string Fault, double? SizeSigma, int Units, int Stopped);

/// <summary>What came of a cell, or of a second line.</summary>
/// <param name="SoundStopped">Sound parts that are on hold or scrapped at the end, those held for a lot left out.</param>
public sealed record OtherLineResult(string Line, string Product, int Started, int Finished, int OnHold, int Scrapped, int SoundUnits, int SoundStopped, IReadOnlyList<FaultCount> Faults);

/// <summary>The weak lot of magnets, or of rotors where they are bought whole.</summary>
/// <param name="Units">Drive units that have them inside.</param>
/// <param name="TestedUntilReported">Its units that had been load-tested when it was first reported; null where it never was.</param>
public sealed record WeakLotResult(string Lot, int Units, int? TestedUntilReported);

/// <summary>The rig that drifts.</summary>
/// <param name="UnitsAfter">Units that ran on it after its drift began.</param>
public sealed record DriftingRigResult(string Rig, int FromRun, int UnitsAfter);

/// <summary>Slips of one kind: how many were made, and how many were refused or answered as they should.</summary>
public sealed record SlipCount(string Slip, int Made, int Caught);

/// <summary>One unit: what it carried and what became of it.</summary>
/// <param name="End">shipped, scrapped, held, or building where the demo was stopped before its end.</param>
public sealed record UnitResult(string Product, string Unit, string? Serial, string? Fault, bool Stopped, string End, IReadOnlyList<string> Reasons);
