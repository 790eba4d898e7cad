using System.Buffers;
using System.Diagnostics.CodeAnalysis;
using System.Security.Cryptography;
using System.Text.Json;
using Dapper;
using Microsoft.Data.Sqlite;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Ledger;
using Roadproof.Records.Stores;

namespace Roadproof.Records.Captures;

/// <summary>Whether the bytes of a capture are at hand.</summary>
public enum CaptureState
{
    /// <summary>It never arrived.</summary>
    Awaited,
    Kept,

    /// <summary>Deleted under a retention rule, by a record.</summary>
    Retired,

    /// <summary>It arrived once, no record retired it, and its file is gone.</summary>
    Missing,
}

/// <summary>What became of a capture that was brought.</summary>
/// <param name="New">False when it was there already.</param>
public sealed record KeptCapture(string Sha256, long Bytes, bool New);

/// <summary>Capture files, each named by the SHA-256 of its bytes. A file is whole or not there: it gets its name only when it is on disk.</summary>
/// <remarks>Its arrival and its retirement are records, so that a missing file can be told from one that never came and from one that was retired.
/// A crash between file and record leaves a file without a record; the sender, who got no answer, sends again and the record follows.</remarks>
public sealed class CaptureStore
{
    readonly DataFolder folder;
    readonly LineLedger ledger;
    readonly string incoming;
    int arrivals;

    /// <summary>Opens the store: clears away what was half received when the program last ended, and files whose retirement was recorded but not done.</summary>
    public CaptureStore(DataFolder folder, LineLedger ledger)
    {
        (this.folder, this.ledger) = (folder, ledger);
        incoming = Path.Combine(folder.CapturesPath, "incoming");
        if (Directory.Exists(incoming)) Directory.Delete(incoming, recursive: true);
        Directory.CreateDirectory(incoming);
        DeleteRetired(after: 0);
    }

    /// <summary>Takes in a capture. When the task completes the file is on disk and its arrival is in the ledger.</summary>
    /// <param name="sha256">64 hex digits; the bytes must hash to it.</param>
    /// <exception cref="InputException">The name is no SHA-256, or the bytes do not hash to it: a transfer that was cut short, or the wrong file.</exception>
    /// <exception cref="NotKeptException">The disk is full or fails; nothing was kept.</exception>
    public async Task<KeptCapture> Keep(string sha256, Stream content, CancellationToken stop = default)
    {
        sha256 = RequireName(sha256);
        var file = PathOf(folder, sha256);
        var fresh = !await IsWhole(file, sha256, stop).ConfigureAwait(false);
        if (fresh) await Receive(sha256, content, file, stop).ConfigureAwait(false);
        var bytes = new FileInfo(file).Length;
        var recorded = await ledger.Write(t => RecordArrival(t, sha256, bytes)).ConfigureAwait(false);
        return new(sha256, bytes, recorded);
    }

    /// <summary>The bytes of a capture, or null when they are not at hand; see <see cref="State"/>.</summary>
    public FileStream? Open(string sha256)
    {
        try
        {
            return new FileStream(PathOf(folder, RequireName(sha256)), FileMode.Open, FileAccess.Read, FileShare.Read | FileShare.Delete, 1 << 16, useAsync: true);
        }
        catch (Exception e) when (e is FileNotFoundException or DirectoryNotFoundException)
        {
            return null;
        }
    }

    public CaptureState State(string sha256)
    {
        sha256 = RequireName(sha256);
        using var connection = folder.ReadConnection();
        return LastKind(connection, sha256) switch
        {
            null => CaptureState.Awaited,
            RecordKinds.CaptureRetired => CaptureState.Retired,
            _ => File.Exists(PathOf(folder, sha256)) ? CaptureState.Kept : CaptureState.Missing,
        };
    }

    /// <summary>Deletes a capture under a rule: first the record, then the file.</summary>
    /// <param name="reason">The rule, in words, such as "passed, and 500 newer runs are kept".</param>
    public async Task<Outcome<LedgerRecord>> Retire(string sha256, string reason, string person)
    {
        sha256 = RequireName(sha256);
        var done = await ledger.Write<Outcome<LedgerRecord>>(t => LastKind(t.Connection, sha256, t.Transaction) == RecordKinds.CaptureKept
            ? AppendRetirement(t, sha256, reason, person)
            : new Refusal($"Capture {sha256[..12]}… is not kept here.", "Only a capture that has arrived and was not retired yet can be retired.")).ConfigureAwait(false);
        if (done.Done is not null) Delete(sha256);
        return done;
    }

    internal static LedgerRecord AppendRetirement(LedgerTransaction t, string sha256, string reason, string person) =>
        t.Append(Movement(t, RecordKinds.CaptureRetired, sha256, person, new Retirement(reason)));

    // A capture that was retired and is brought again gets a record of its own; one that is known does not.
    static bool RecordArrival(LedgerTransaction t, string sha256, long bytes)
    {
        if (LastKind(t.Connection, sha256, t.Transaction) == RecordKinds.CaptureKept) return false;
        t.Append(Movement(t, RecordKinds.CaptureKept, sha256, "", new Arrival(bytes)));
        return true;
    }

    static NewRecord Movement<T>(LedgerTransaction t, string kind, string sha256, string person, T body)
    {
        var before = t.Connection.ExecuteScalar<long>(
            "select count(*) from ledger where item = @sha256 and kind in ('capture-kept', 'capture-retired')", new { sha256 }, t.Transaction);
        return new(OwnKeys.Capture(kind, sha256, before + 1), kind, sha256, "", t.Now, person, CanonicalJson.From(body, JsonSerializerOptions.Web));
    }

    static string? LastKind(SqliteConnection connection, string sha256, SqliteTransaction? transaction = null) => connection.ExecuteScalar<string?>(
        "select kind from ledger where item = @sha256 and kind in ('capture-kept', 'capture-retired') order by sequence desc limit 1", new { sha256 }, transaction);

    async Task Receive(string sha256, Stream content, string file, CancellationToken stop)
    {
        var part = Path.Combine(incoming, FormattableString.Invariant($"{sha256}.{Interlocked.Increment(ref arrivals)}"));
        try
        {
            var found = await Copy(content, part, stop).ConfigureAwait(false);
            if (found != sha256) throw Mismatch(sha256, found, new FileInfo(part).Length);
            var home = Path.GetDirectoryName(file)!;
            var newHome = !Directory.Exists(home);
            Directory.CreateDirectory(home);
            File.Move(part, file, overwrite: true);
            Durable.Flush(home);
            if (newHome) Durable.Flush(folder.CapturesPath);
        }
        finally
        {
            DeletePart(part);
        }
    }

    // Why the capture was not kept must not be hidden by what is left of it; the next start clears that away.
    static void DeletePart(string part)
    {
        try
        {
            File.Delete(part);
        }
        catch (IOException)
        {
        }
    }

    // Only failures of our disk become NotKept; what the sender's stream throws is passed on as it is.
    static async Task<string> Copy(Stream content, string part, CancellationToken stop)
    {
        using var hash = IncrementalHash.CreateHash(HashAlgorithmName.SHA256);
        var buffer = ArrayPool<byte>.Shared.Rent(1 << 17);
        try
        {
            await using var writing = OnDisk(() => new FileStream(part, FileMode.CreateNew, FileAccess.Write, FileShare.None, bufferSize: 0));
            while (await content.ReadAsync(buffer, stop).ConfigureAwait(false) is var read && read > 0)
            {
                hash.AppendData(buffer, 0, read);
                OnDisk(() => writing.Write(buffer, 0, read));
            }

            OnDisk(() => writing.Flush(flushToDisk: true));
            return Convert.ToHexStringLower(hash.GetHashAndReset());
        }
        finally
        {
            ArrayPool<byte>.Shared.Return(buffer);
        }
    }

    static void OnDisk(Action act) => OnDisk(() =>
    {
        act();
        return true;
    });

    static T OnDisk<T>(Func<T> act)
    {
        try
        {
            return act();
        }
        catch (IOException e)
        {
            throw new NotKeptException($"The capture could not be written ({e.Message}): nothing of it was kept. Make room; it may then be sent again.", e);
        }
    }

    void Delete(string sha256)
    {
        File.Delete(PathOf(folder, sha256));
        if (Path.GetDirectoryName(PathOf(folder, sha256)) is { } home && Directory.Exists(home)) Durable.Flush(home);
    }

    /// <summary>Deletes the files of what was retired; a capture that was brought again since stays.</summary>
    /// <param name="after">Records up to this one have been looked at.</param>
    /// <returns>The last record that has been looked at now.</returns>
    public long DeleteRetired(long after)
    {
        using var connection = folder.ReadConnection();
        var last = connection.ExecuteScalar<long>("select coalesce(max(sequence), 0) from ledger");
        var retired = connection.Query<string>(
            """
            select item from ledger l where l.sequence > @after and l.sequence <= @last and l.kind = 'capture-retired'
              and not exists (select 1 from ledger n where n.item = l.item and n.kind = 'capture-kept' and n.sequence > l.sequence)
            """,
            new { after, last }).AsList();
        foreach (var sha256 in retired.Where(s => File.Exists(PathOf(folder, s)))) Delete(sha256);
        return last;
    }

    static async Task<bool> IsWhole(string file, string sha256, CancellationToken stop)
    {
        if (!File.Exists(file)) return false;
        await using var reading = new FileStream(file, FileMode.Open, FileAccess.Read, FileShare.Read | FileShare.Delete, 1 << 17);
        return Convert.ToHexStringLower(await SHA256.HashDataAsync(reading, stop).ConfigureAwait(false)) == sha256;
    }

    internal static string PathOf(DataFolder folder, string sha256) => Path.Combine(folder.CapturesPath, sha256[..2], sha256 + ".parquet");

    // The name becomes part of a path: nothing but hex digits may pass.
    static string RequireName(string sha256) => IsName(sha256)
        ? sha256.ToLowerInvariant()
        : throw new InputException(new InputError("capture", 0, "sha256", $"'{sha256}'", "the SHA-256 of the file as 64 hex digits"));

    internal static bool IsName([NotNullWhen(true)] string? sha256) => sha256 is { Length: 64 } && sha256.All(char.IsAsciiHexDigit);

    static InputException Mismatch(string named, string found, long bytes) => new(new InputError("capture", 0, "sha256",
        FormattableString.Invariant($"{bytes} bytes that hash to {found}"), $"bytes that hash to {named}",
        "The transfer was cut short or the wrong file was sent: send the whole file again. Nothing was kept."));

    sealed record Arrival(long Bytes);

    sealed record Retirement(string Reason);
}
