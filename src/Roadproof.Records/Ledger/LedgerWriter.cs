using Dapper;
using Microsoft.Data.Sqlite;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Stores;
using static System.FormattableString;

namespace Roadproof.Records.Ledger;

/// <summary>The end of the ledger, held open on one connection: takes records, keeps chain, tree and derived tables in step. For one thread.</summary>
sealed class LedgerWriter : IDisposable
{
    /// <summary>A head is kept at each multiple of this, and when the ledger is closed.</summary>
    public const int RecordsBetweenHeads = 1000;

    static readonly byte[] NoHash = new byte[MerkleRange.HashBytes];

    readonly IDerive derive;
    readonly RecordHash recordHash = new();
    readonly SqliteCommand insert;
    readonly SqliteCommand lastHash;
    MerkleRange tree = new();
    MerkleRange treeBefore = new();
    SqliteTransaction? transaction;

    public LedgerWriter(DataFolder folder, IDerive derive)
    {
        this.derive = derive;
        Connection = folder.WriteConnection();
        insert = Prepare($"""
            insert into ledger ({LedgerRows.Columns}, skew_ms)
            values ($sequence, $key, $kind, $item, $station, $occurred, $received, $person, $body, $version, $previous, $hash, $skew)
            """);
        lastHash = Prepare("select hash from ledger where item = $item order by sequence desc limit 1");
        ReadTip(folder.Path);
        RebuildIfTablesMoved();
    }

    public SqliteConnection Connection { get; }
    public SqliteTransaction Transaction => transaction ?? throw new InvalidOperationException("Bug in Roadproof: the ledger is written outside a transaction.");
    public long Size => tree.Size;
    public LedgerHead Head => new(tree.Size, Convert.ToHexStringLower(tree.Root()));

    public void Begin()
    {
        treeBefore = tree.Copy();
        transaction = Connection.BeginTransaction(deferred: false);
    }

    /// <summary>Makes all since <see cref="Begin"/> durable: it is on disk when this returns.</summary>
    public void Commit()
    {
        WriteTip();
        Transaction.Commit();
        Forget();
    }

    /// <summary>Forgets all since <see cref="Begin"/>, also where the database has done so already.</summary>
    public void Abandon()
    {
        tree = treeBefore;
        Forget();
    }

    /// <summary>Runs a work that is kept or forgotten on its own.</summary>
    /// <remarks>A failing disk is passed on as it is: the database may have given up the whole transaction.</remarks>
    public void Apart(Action work)
    {
        var before = tree.Copy();
        Transaction.Save("work");
        try
        {
            work();
            Transaction.Release("work");
        }
        catch (Exception e) when (!IsDisk(e))
        {
            Transaction.Rollback("work");
            Transaction.Release("work");
            tree = before;
            throw;
        }
    }

    public LedgerRecord Append(NewRecord record, DateTimeOffset now)
    {
        RequireComplete(record);
        var receivedAt = now.ToUniversalTime();
        var sequence = tree.Size + 1;
        var body = CanonicalJson.Of(record.Body);
        var previous = LastHashOf(record.Item);
        var hash = new byte[MerkleRange.HashBytes];
        recordHash.Of(new RecordBytes
        {
            Sequence = sequence,
            Key = Utf8(record.Key),
            Kind = Utf8(record.Kind),
            Item = Utf8(record.Item),
            Station = Utf8(record.Station),
            OccurredAt = Utf8(LedgerTime.Text(record.OccurredAt)),
            ReceivedAt = Utf8(LedgerTime.Text(receivedAt)),
            Person = Utf8(record.Person),
            Body = Utf8(body),
            BodyVersion = record.BodyVersion,
            PreviousHash = previous,
        }, hash);

        Insert(record, sequence, body, receivedAt, previous, hash);
        tree.Add(hash);
        if (tree.Size % RecordsBetweenHeads == 0) KeepHead();

        var kept = new LedgerRecord(sequence, record.Key, record.Kind, record.Item, record.Station, record.OccurredAt, receivedAt, record.Person,
            body, record.BodyVersion, Convert.ToHexStringLower(previous), Convert.ToHexStringLower(hash));
        derive.Apply(kept, Connection, Transaction);
        return kept;
    }

    /// <summary>Keeps the present head for ever.</summary>
    public void KeepHead() => Connection.Execute(
        "insert into ledger_head (size, root) values (@Size, @Root) on conflict (size) do nothing", new { tree.Size, Root = tree.Root() }, Transaction);

    public long Rebuild() => LedgerRebuild.Run(Connection, Transaction, derive);

    void Insert(NewRecord record, long sequence, string body, DateTimeOffset receivedAt, byte[] previous, byte[] hash)
    {
        insert.Transaction = Transaction;
        Set(insert, "$sequence", sequence);
        Set(insert, "$key", record.Key);
        Set(insert, "$kind", record.Kind);
        Set(insert, "$item", record.Item);
        Set(insert, "$station", record.Station);
        Set(insert, "$occurred", LedgerTime.Text(record.OccurredAt));
        Set(insert, "$received", LedgerTime.Text(receivedAt));
        Set(insert, "$person", record.Person);
        Set(insert, "$body", body);
        Set(insert, "$version", record.BodyVersion);
        Set(insert, "$previous", previous);
        Set(insert, "$hash", hash);
        Set(insert, "$skew", LedgerTime.SkewMs(record.OccurredAt, receivedAt));
        try
        {
            insert.ExecuteNonQuery();
        }
        catch (SqliteException e) when (e.SqliteExtendedErrorCode == SQLitePCL.raw.SQLITE_CONSTRAINT_UNIQUE)
        {
            throw new InvalidOperationException($"Bug in Roadproof: the key {record.Key} is in the ledger already; look with Find before appending.", e);
        }
    }

    byte[] LastHashOf(string item)
    {
        lastHash.Transaction = Transaction;
        Set(lastHash, "$item", item);
        return (byte[]?)lastHash.ExecuteScalar() ?? NoHash;
    }

    // A ledger that ends elsewhere than its tip says has been changed from outside: writing on would bury that.
    void ReadTip(string folder)
    {
        var tip = Connection.QuerySingleOrDefault<Tip>("select size, root, peaks from ledger_tip");
        var last = Connection.ExecuteScalar<long?>("select max(sequence) from ledger") ?? 0;
        tree = tip is null ? new() : ReadTree(tip);
        if (tree.Size != last || (tip is not null && !tree.Root().AsSpan().SequenceEqual(tip.Root)))
            throw new InputException(new InputError(folder, 0, "ledger", Invariant($"{last} records"),
                Invariant($"the {tip?.Size ?? 0} records and the hash that its tip names"),
                "The records were changed from outside. 'roadproof records verify' names the places; restore the folder from a backup."));
    }

    static MerkleRange ReadTree(Tip tip)
    {
        try
        {
            return new(tip.Size, tip.Peaks);
        }
        catch (ArgumentException)
        {
            return new();
        }
    }

    sealed record Tip(long Size, byte[] Root, byte[] Peaks);

    void WriteTip() => Connection.Execute("""
        insert into ledger_tip (id, size, root, peaks, derived_schema) values (1, @Size, @Root, @Peaks, @Newest)
        on conflict (id) do update set size = excluded.size, root = excluded.root, peaks = excluded.peaks, derived_schema = excluded.derived_schema
        where size != excluded.size or derived_schema != excluded.derived_schema
        """, new { tree.Size, Root = tree.Root(), Peaks = tree.Peaks.ToArray(), SchemaSteps.Newest }, Transaction);

    void RebuildIfTablesMoved()
    {
        var filledUnder = Connection.ExecuteScalar<int?>("select derived_schema from ledger_tip");
        if (filledUnder == SchemaSteps.Newest) return;
        Begin();
        Rebuild();
        Commit();
    }

    void Forget()
    {
        transaction?.Dispose();
        transaction = null;
    }

    SqliteCommand Prepare(string sql)
    {
        var command = Connection.CreateCommand();
        command.CommandText = sql;
        return command;
    }

    static void Set(SqliteCommand command, string name, object value)
    {
        if (command.Parameters.Contains(name)) command.Parameters[name].Value = value;
        else command.Parameters.AddWithValue(name, value);
    }

    static byte[] Utf8(string text) => CanonicalJson.StrictUtf8.GetBytes(text);

    static void RequireComplete(NewRecord record)
    {
        if (record.Key.Length == 0 || record.Kind.Length == 0 || record.Item.Length == 0)
            throw new ArgumentException($"Bug in Roadproof: a record needs key, kind and item: '{record.Key}', '{record.Kind}', '{record.Item}'.", nameof(record));
    }

    /// <summary>The database could not write or read: full, failing or out of memory. Anything may have been rolled back.</summary>
    public static bool IsDisk(Exception e) => e is SqliteException
    {
        SqliteErrorCode: SQLitePCL.raw.SQLITE_FULL or SQLitePCL.raw.SQLITE_IOERR or SQLitePCL.raw.SQLITE_NOMEM or SQLitePCL.raw.SQLITE_READONLY or SQLitePCL.raw.SQLITE_CANTOPEN
    };

    public void Dispose()
    {
        Forget();
        insert.Dispose();
        lastHash.Dispose();
        Connection.Dispose();
    }
}
