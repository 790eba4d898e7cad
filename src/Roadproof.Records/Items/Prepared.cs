using System.Collections.Concurrent;
using System.Reflection;
using System.Runtime.CompilerServices;
using Microsoft.Data.Sqlite;

namespace Roadproof.Records.Items;

/// <summary>Statements that are prepared once for a connection and run again with other values.</summary>
/// <remarks>The driver compiles a statement anew for every command; a step's record runs some thirty, and a rebuild runs them for every record.
/// For the writer's connection, which one thread uses for as long as the ledger is open.</remarks>
static class Prepared
{
    static readonly ConditionalWeakTable<SqliteConnection, Dictionary<string, SqliteCommand>> Statements = [];
    static readonly ConcurrentDictionary<Type, (string Name, PropertyInfo Property)[]> Values = new();

    /// <summary>Runs a statement that returns nothing.</summary>
    /// <param name="values">An object whose properties are the statement's parameters, by name.</param>
    public static int Run(this SqliteConnection connection, string sql, object values, SqliteTransaction transaction) =>
        Command(connection, sql, values, transaction).ExecuteNonQuery();

    /// <summary>Runs a statement and reads its rows.</summary>
    public static List<T> Rows<T>(this SqliteConnection connection, string sql, object values, SqliteTransaction? transaction, Func<SqliteDataReader, T> read)
    {
        using var row = Command(connection, sql, values, transaction).ExecuteReader();
        var rows = new List<T>();
        while (row.Read()) rows.Add(read(row));
        return rows;
    }

    /// <summary>Whether a statement returns a row.</summary>
    public static bool Any(this SqliteConnection connection, string sql, object values, SqliteTransaction? transaction)
    {
        using var row = Command(connection, sql, values, transaction).ExecuteReader();
        return row.Read();
    }

    public static string? Text(this SqliteDataReader row, int column) => row.IsDBNull(column) ? null : row.GetString(column);

    static SqliteCommand Command(SqliteConnection connection, string sql, object values, SqliteTransaction? transaction)
    {
        var statements = Statements.GetOrCreateValue(connection);
        if (!statements.TryGetValue(sql, out var command))
        {
            command = connection.CreateCommand();
            command.CommandText = sql;
            statements.Add(sql, command);
        }

        command.Transaction = transaction;
        var properties = Values.GetOrAdd(values.GetType(), t => t.GetProperties().Select(p => ($"@{p.Name}", p)).ToArray());
        if (command.Parameters.Count == 0)
        {
            foreach (var (name, _) in properties.Where(p => sql.Contains(p.Name, StringComparison.Ordinal))) command.Parameters.Add(new SqliteParameter { ParameterName = name });
        }

        for (var i = 0; i < command.Parameters.Count; i++)
        {
            var parameter = command.Parameters[i];
            var property = Array.Find(properties, p => p.Name == parameter.ParameterName).Property;
            parameter.Value = property.GetValue(values) ?? DBNull.Value;
        }

        return command;
    }
}
