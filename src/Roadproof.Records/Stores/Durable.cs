using System.Runtime.InteropServices;

namespace Roadproof.Records.Stores;

/// <summary>Makes a new or deleted name in a folder survive a power loss. The file's own bytes are flushed by whoever writes them.</summary>
static class Durable
{
    const int ReadOnly = 0;

    /// <exception cref="IOException">The folder could not be written to disk.</exception>
    public static void Flush(string folder)
    {
        // Windows has no such call: its file system journals names by itself.
        if (OperatingSystem.IsWindows()) return;
        var handle = Open(System.Text.Encoding.UTF8.GetBytes(folder + '\0'), ReadOnly);
        if (handle < 0) throw new IOException($"The folder {folder} could not be opened to make it durable.");
        var failed = Synchronise(handle) != 0;
        _ = Close(handle);
        if (failed) throw new IOException($"The folder {folder} could not be written to disk.");
    }

    [DllImport("libc", EntryPoint = "open")]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
    static extern int Open(byte[] path, int flags);

    [DllImport("libc", EntryPoint = "fsync")]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
    static extern int Synchronise(int handle);

    [DllImport("libc", EntryPoint = "close")]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
    static extern int Close(int handle);
}
