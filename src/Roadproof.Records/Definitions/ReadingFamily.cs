using System.Text.Json;

namespace Roadproof.Records.Definitions;

/// <summary>Readings of a load test that one property of a part moves together.</summary>
public enum ReadingFamily
{
    /// <summary>Flux linkage, and the currents that follow from it.</summary>
    Flux,

    /// <summary>Winding resistance and the warming by it.</summary>
    Resistance,

    /// <summary>What the controller reads and how it warms.</summary>
    Controller,

    /// <summary>The stored rotor angle.</summary>
    RotorOffset,

    /// <summary>Power without load and at load points: drag, mesh and iron.</summary>
    Losses,

    /// <summary>Orders, ripple and blows.</summary>
    Vibration,
}

static class ReadingFamilies
{
    /// <summary>As definitions and records write it.</summary>
    public static string Word(this ReadingFamily family) => JsonNamingPolicy.KebabCaseLower.ConvertName(family.ToString());
}
