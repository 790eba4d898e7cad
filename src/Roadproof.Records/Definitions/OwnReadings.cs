namespace Roadproof.Records.Definitions;

/// <summary>Readings of the mark step that this program itself reads.</summary>
static class MarkReadings
{
    /// <summary>The code as read back from the metal; must equal the serial number issued.</summary>
    public const string ReadBack = "mark-read";

    /// <summary>The serial number of a mark that went wrong; the number is void from then on. Known without a definition.</summary>
    public const string Spoiled = "mark-spoiled";
}

/// <summary>Readings of the pack step that this program itself reads: where a unit went, for the day on which its lot turns out bad.</summary>
static class PackReadings
{
    public const string Box = "box";
    public const string Customer = "customer";
}
