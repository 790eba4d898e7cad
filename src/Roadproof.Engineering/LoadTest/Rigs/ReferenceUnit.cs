namespace Roadproof.Engineering.LoadTest.Rigs;

/// <summary>What reference units ask of the rigs of one product, and the units themselves.</summary>
public sealed record RigReferences
{
    /// <summary>A rig runs a sound reference again after so many runs of units at the latest.</summary>
    public required int EveryRuns { get; init; }

    /// <summary>And after so many hours at the latest.</summary>
    public required double EveryH { get; init; }

    /// <summary>Each known-bad reference was stopped within so many hours.</summary>
    public required double KnownBadEveryH { get; init; }

    /// <summary>A rig that stood longer is cold, min.</summary>
    public required double ColdAfterMin { get; init; }

    /// <summary>Runs of any reference unit that a cold rig needs before one of them counts.</summary>
    public required int WarmUpRuns { get; init; }
    public required IReadOnlyList<ReferenceUnit> Units { get; init; }

    public IEnumerable<ReferenceUnit> Sound => Units.Where(u => u.Kind == ReferenceKind.Sound);

    public IEnumerable<ReferenceUnit> KnownBad => Units.Where(u => u.Kind == ReferenceKind.KnownBad);

    public ReferenceUnit? OfCode(string code) => Units.FirstOrDefault(u => u.Code == code);
}

public enum ReferenceKind
{
    /// <summary>Reads what it is known to read.</summary>
    Sound,

    /// <summary>Carries a fault and must be stopped.</summary>
    KnownBad,
}

/// <summary>A known unit that shows whether a rig may judge; it is never sold.</summary>
public sealed record ReferenceUnit
{
    public required string Id { get; init; }

    /// <summary>What is scanned and what its captures say; no unit of the line may have it.</summary>
    public required string Code { get; init; }
    public required string Name { get; init; }
    public required ReferenceKind Kind { get; init; }

    /// <summary>Of a known-bad one: what is wrong with it, as the id of a cause of the diagnosis or in words.</summary>
    public string Fault { get; init; } = "";

    /// <summary>Of a sound one: what a rig without error reads of it.</summary>
    public IReadOnlyList<ReferenceExpectation> Expected { get; init; } = [];

    /// <summary>Of a sound one: bus current at rest, which is no part of what is judged together; null leaves the bus current's zero unchecked, mA.</summary>
    public double? QuiescentMilliA { get; init; }

    /// <summary>How the values were found: runs, rigs, when.</summary>
    public required string Origin { get; init; }
}

/// <summary>What a sound reference reads in one characteristic, in its unit.</summary>
public sealed record ReferenceExpectation
{
    public required string Id { get; init; }

    /// <summary>On a rig without error, carried to reference conditions.</summary>
    public required double Value { get; init; }

    /// <summary>Standard uncertainty of the value.</summary>
    public required double StandardUncertainty { get; init; }

    /// <summary>Of one run, repeated on one rig.</summary>
    public required double StandardDeviation { get; init; }
}
