using System.Text.Json.Serialization;

namespace Roadproof.Records.Messages;

/// <summary>What a station, rig or person's screen sends. The same document over every door.</summary>
public sealed record StationMessage
{
    /// <summary>Chosen by the sender, unique for ever; a repeat with the same content gets the first answer again.</summary>
    public required string Key { get; init; }

    /// <summary><c>request</c>: may be refused. <c>report</c>: already happened, always kept.</summary>
    public required string Kind { get; init; }

    /// <summary>Shell code before marking, serial number or shell code after.</summary>
    public required string Item { get; init; }
    public required string Step { get; init; }

    /// <summary><c>begin</c>: the unit is at the station, may the work start? <c>finish</c> (the default): the work is done, with all it used and read.</summary>
    /// <remarks><c>scan</c>: may these parts go in? Asked as they are scanned, before they are fitted; only a refusal is kept.</remarks>
    public string Stage { get; init; } = "finish";
    public required DateTimeOffset OccurredAt { get; init; }

    /// <summary>Opaque person key; names live outside the ledger.</summary>
    public string? Person { get; init; }
    public IReadOnlyList<MessagePart> Parts { get; init; } = [];
    public IReadOnlyList<MessageReading> Readings { get; init; } = [];
    public IReadOnlyList<MessageScrew> Screws { get; init; } = [];
    public IReadOnlyList<MessageCapture> Captures { get; init; } = [];

    /// <summary>Free words of the sender, such as why a mark was spoiled.</summary>
    public string? Remark { get; init; }
    public int Version { get; init; } = 1;
}

/// <summary>A part that went into the unit: its lot, and its own number where it has one.</summary>
public sealed record MessagePart(string Part, string? Lot = null, string? Serial = null);

/// <summary>One reading: a number with its unit, or a text (a hash, a code read back).</summary>
public sealed record MessageReading(string Id, double? Value = null, string? Unit = null, string? Text = null);

/// <summary>One screw's torque-angle result.</summary>
public sealed record MessageScrew(string Group, int Number, double TorqueNm, double AngleDeg);

/// <summary>A capture that belongs to the message, by its hash.</summary>
public sealed record MessageCapture([property: JsonPropertyName("sha256")] string Sha256, string Name);
