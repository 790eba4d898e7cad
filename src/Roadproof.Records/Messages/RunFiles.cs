namespace Roadproof.Records.Messages;

/// <summary>The files of a load-test run by the names that a rig gives them: one table for each rate, with or without its ending.</summary>
public static class RunFiles
{
    public static readonly IReadOnlyList<string> Tables = ["slow", "fast", "vibration"];

    /// <summary>"slow.parquet" and "run-7/slow" are the same table.</summary>
    public static string TableOf(string name) => name.Split('/')[^1].Split('.')[0];

    /// <summary>A file beside a table that says of which run it is.</summary>
    public static bool IsMetadata(string name) => name.EndsWith(".yaml", StringComparison.OrdinalIgnoreCase) || name.EndsWith(".yml", StringComparison.OrdinalIgnoreCase);
}
