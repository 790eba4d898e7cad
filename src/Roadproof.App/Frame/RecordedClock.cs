using Microsoft.Data.Sqlite;
using Roadproof.Records.Ledger;

namespace Roadproof.App.Frame;

/// <summary>The clock of a plant whose records were made on a clock of its own, as a demo's are: it goes on from the newest record.</summary>
/// <remarks>
/// By the clock on the wall such a plant has not begun yet, and nothing in it would be approved. A wall clock that once was ahead and was put right is none of these: its first record lies behind it.
/// </remarks>
sealed class RecordedClock : TimeProvider
{
    readonly DateTimeOffset newest;
    readonly long opened;

    RecordedClock(DateTimeOffset newest, TimeSpan offset)
    {
        (this.newest, opened) = (newest, System.GetTimestamp());
        LocalTimeZone = offset == TimeSpan.Zero ? TimeZoneInfo.Utc : TimeZoneInfo.CreateCustomTimeZone("plant", offset, "plant time", "plant time");
    }

    public override TimeZoneInfo LocalTimeZone { get; }

    public override DateTimeOffset GetUtcNow() => newest + System.GetElapsedTime(opened);

    /// <returns>The clock on the wall, unless the first record lies ahead of it.</returns>
    public static TimeProvider Of(SqliteConnection connection) =>
        LedgerRows.Ends(connection) is { } ends && ends.First.ReceivedAt > System.GetUtcNow() ? new RecordedClock(ends.Newest.ReceivedAt.ToUniversalTime(), ends.Newest.OccurredAt.Offset) : System;
}
