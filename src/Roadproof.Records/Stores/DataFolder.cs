using System.Globalization;
using Microsoft.Data.Sqlite;
using Roadproof.Engineering.Quantities;

namespace Roadproof.Records.Stores;

/// <summary>The folder that holds everything a line remembers: <c>records.db</c>, <c>captures/</c> and the lock that keeps a second program out.</summary>
public sealed class DataFolder : IDisposable
{
    readonly FileStream? holding;
    readonly string readConnectionString;

    DataFolder(string path, FileStream? holding)
    {
        (Path, this.holding) = (path, holding);
        DatabasePath = System.IO.Path.Combine(path, "records.db");
        CapturesPath = System.IO.Path.Combine(path, "captures");
        readConnectionString = new SqliteConnectionStringBuilder { DataSource = DatabasePath, Mode = SqliteOpenMode.ReadOnly }.ToString();
    }

    /// <summary>The folder as an absolute path.</summary>
    public string Path { get; }
    public string DatabasePath { get; }
    public string CapturesPath { get; }

    /// <summary>Takes the folder for this program alone; creates it and brings its tables up to this version.</summary>
    /// <exception cref="InputException">Another program has it open, its tables are of a newer version, or it cannot be written.</exception>
    public static DataFolder Open(string path)
    {
        path = System.IO.Path.GetFullPath(path);
        var folder = new DataFolder(path, Lock(path));
        try
        {
            Directory.CreateDirectory(folder.CapturesPath);
            using var connection = folder.WriteConnection();
            SchemaSteps.Apply(connection, path);
            return folder;
        }
        catch (SqliteException e) when (e.SqliteErrorCode is SQLitePCL.raw.SQLITE_NOTADB or SQLitePCL.raw.SQLITE_CORRUPT)
        {
            folder.Dispose();
            throw new InputException(new InputError(folder.DatabasePath, 0, "", "a file that is no whole SQLite database", "the records of a line",
                "Restore the folder from its last backup, or choose another one with --data."));
        }
        catch
        {
            folder.Dispose();
            throw;
        }
    }

    /// <summary>Looks into a folder without taking it: another program may be writing to it meanwhile.</summary>
    /// <exception cref="InputException">There are no records in it, or its tables are of another version.</exception>
    public static DataFolder OpenToRead(string path)
    {
        RequireRecords(path);
        path = System.IO.Path.GetFullPath(path);
        var folder = new DataFolder(path, null);
        using var connection = folder.ReadConnection();
        SchemaSteps.Require(connection, path);
        return folder;
    }

    /// <summary>For work on records that must be there already: a folder without any is not made into an empty line.</summary>
    /// <exception cref="InputException">There are no records in the folder.</exception>
    public static void RequireRecords(string path)
    {
        if (!File.Exists(System.IO.Path.Combine(path, "records.db")))
            throw new InputException(new InputError(System.IO.Path.GetFullPath(path), 0, "", "no records.db", "the data folder of a line", "Name the folder with --data."));
    }

    /// <summary>An open connection that can only read, from a pool; give it back with <c>using</c>.</summary>
    public SqliteConnection ReadConnection() => Connect(readConnectionString, "pragma busy_timeout = 5000");

    /// <summary>Answers a question of several parts at one moment: what is written meanwhile is not seen.</summary>
    public T Ask<T>(Func<SqliteConnection, T> question)
    {
        using var connection = ReadConnection();
        // By its word and not by an object of the driver, which every statement would have to name.
        Run(connection, "begin");
        try
        {
            return question(connection);
        }
        finally
        {
            // Before the connection goes back to its pool: the next question is asked at its own moment.
            Run(connection, "rollback");
        }
    }

    /// <summary>The connection that writes. There is one, and it belongs to the ledger's writer.</summary>
    /// <remarks>Durability does not live in the file: <c>synchronous = full</c> is set on every connection, so that a commit is on disk when it returns.</remarks>
    internal SqliteConnection WriteConnection()
    {
        if (holding is null) throw new InvalidOperationException("Bug in Roadproof: a folder that was opened to read is written to.");
        var connectionString = new SqliteConnectionStringBuilder { DataSource = DatabasePath, Mode = SqliteOpenMode.ReadWriteCreate, Pooling = false }.ToString();
        return Connect(connectionString, """
            pragma busy_timeout = 5000;
            pragma journal_mode = wal;
            pragma synchronous = full;
            pragma foreign_keys = on;
            pragma wal_autocheckpoint = 4000;
            pragma cache_size = -65536;
            """);
    }

    static SqliteConnection Connect(string connectionString, string settings)
    {
        var connection = new SqliteConnection(connectionString);
        try
        {
            connection.Open();
            Run(connection, settings);
            return connection;
        }
        catch
        {
            connection.Dispose();
            throw;
        }
    }

    static void Run(SqliteConnection connection, string sql)
    {
        using var command = connection.CreateCommand();
        command.CommandText = sql;
        command.ExecuteNonQuery();
    }

    public void Dispose()
    {
        using (var pooled = new SqliteConnection(readConnectionString)) SqliteConnection.ClearPool(pooled);
        holding?.Dispose();
    }

    // The operating system lets go of this lock when the program ends, however it ends.
    static FileStream Lock(string path)
    {
        var file = System.IO.Path.Combine(path, "in-use.lock");
        try
        {
            Directory.CreateDirectory(path);
            var stream = new FileStream(file, FileMode.OpenOrCreate, FileAccess.ReadWrite, FileShare.None);
            // A locked file cannot be read by others everywhere: who holds it stands beside it.
            File.WriteAllText(file + ".by", Environment.ProcessId.ToString(CultureInfo.InvariantCulture));
            return stream;
        }
        catch (UnauthorizedAccessException e)
        {
            throw new InputException(new InputError(path, 0, "", $"a folder that cannot be written ({e.Message})", "a data folder",
                "Give yourself the right to write there, or choose another folder with --data."));
        }
        catch (IOException) when (File.Exists(file))
        {
            throw new InputException(new InputError(path, 0, "", $"a folder in use by {Holder(file)}", "a data folder that no other program has open",
                "Stop that program, or choose another folder with --data."));
        }
        catch (IOException e)
        {
            throw new InputException(new InputError(path, 0, "", $"a path that cannot be a folder ({e.Message})", "a data folder",
                "Choose another folder with --data."));
        }
    }

    static string Holder(string file)
    {
        try
        {
            return $"process {File.ReadAllText(file + ".by")}";
        }
        catch (IOException)
        {
            return "another program";
        }
    }
}
