using System.Diagnostics;
using System.Net;
using Roadproof.App.Tests.Commands;
using Roadproof.App.Tests.Server;
using Roadproof.Plant.Line;

namespace Roadproof.App.Tests.Damage;

/// <summary>A data folder on a disk that is really full. Needs the right to mount a small one in memory; without it the check says so and is skipped.</summary>
public sealed class FullDiskTests
{
    [Fact]
    public async Task A_full_disk_keeps_nothing_by_halves_and_the_same_message_is_taken_when_there_is_room()
    {
        using var disk = SmallDisk.Mount(megabytes: 3);
        var filler = disk["filler"];
        await using (var line = await ServedLine.Start(disk["data"]))
        {
            // What fills a disk is captures: one that does not fit is refused with the reason, and none of it stays.
            var large = RecordedFile.Of("vibration", RecordedRun.Octets(RecordedRun.Sound.Vibration, "SH-0000001") is { Length: > 3_000_000 } octets ? octets : new byte[4_000_000]);
            var before = line.Line.Ledger.Head;
            using (var full = await line.Put(large)) await IsFull(full);
            Assert.Equal(before, line.Line.Ledger.Head);
            Assert.Empty(Directory.EnumerateFiles(Path.Combine(line.Line.FolderPath, "captures"), "*", SearchOption.AllDirectories));

            // Then the last of it: records cannot be kept either.
            Fill(filler);
            var kept = 0;
            var message = line.Finish("SH-0000000", "shell-in");
            HttpResponseMessage response;
            while ((response = await line.Send("st10", message)).IsSuccessStatusCode && kept < 3_000) message = line.Finish($"SH-{++kept:d7}", "shell-in");
            await IsFull(response);
            before = line.Line.Ledger.Head;
            await IsFull(await line.Send("st10", message));
            Assert.Equal(before, line.Line.Ledger.Head);
            Assert.Equal(HttpStatusCode.NotFound, (await line.Http.GetAsync(new Uri($"api/v1/units/{message.Item}", UriKind.Relative))).StatusCode);

            File.Delete(filler);
            var answer = await ServedLine.Read(await line.Send("st10", message));
            Assert.Equal(("pass", false), (answer.GetProperty("verdict").GetString(), answer.GetProperty("repeat").GetBoolean()));
            Assert.Equal(before.Size + 1, line.Line.Ledger.Head.Size);
        }

        var said = await Typed.Line($"records verify --json --data {disk["data"]}");
        Assert.Equal((0, "[]"), (said.Exit, said.Json.GetProperty("broken").ToString()));
    }

    static async Task IsFull(HttpResponseMessage response)
    {
        Assert.Equal(HttpStatusCode.InsufficientStorage, response.StatusCode);
        Assert.Equal("application/problem+json", response.Content.Headers.ContentType?.MediaType);
        Assert.Contains("kept", (await ServedLine.Read(response)).GetProperty("title").GetString(), StringComparison.Ordinal);
    }

    static void Fill(string file)
    {
        using var stream = new FileStream(file, FileMode.Create, FileAccess.Write, FileShare.None, bufferSize: 0);
        foreach (var size in new[] { 65_536, 4_096 })
        {
            try
            {
                while (true) stream.Write(new byte[size]);
            }
            catch (IOException)
            {
                // Full, to this size of piece.
            }
        }
    }

    sealed class SmallDisk : IDisposable
    {
        readonly Folder folder = new();

        public string this[string name] => folder[name];

        public static SmallDisk Mount(int megabytes)
        {
            var disk = new SmallDisk();
            if (OperatingSystem.IsLinux() && Run("mount", "-t", "tmpfs", "-o", $"size={megabytes}m", "tmpfs", disk.folder.Path)) return disk;
            disk.folder.Dispose();
            Assert.Skip("NOT CHECKED on a full disk: mounting a small one in memory needs Linux and the right to mount.");
            return disk;
        }

        public void Dispose()
        {
            Run("umount", folder.Path);
            folder.Dispose();
        }

        static bool Run(string program, params string[] words)
        {
            try
            {
                var start = new ProcessStartInfo(program) { UseShellExecute = false, RedirectStandardError = true, RedirectStandardOutput = true };
                foreach (var word in words) start.ArgumentList.Add(word);
                using var run = Process.Start(start)!;
                run.WaitForExit();
                return run.ExitCode == 0;
            }
            catch (System.ComponentModel.Win32Exception)
            {
                return false;
            }
        }
    }
}
