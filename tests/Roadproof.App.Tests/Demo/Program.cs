using System.Diagnostics;
using Roadproof.App.Frame;

namespace Roadproof.App.Tests.Demo;

/// <summary>Roadproof as a program of its own, as the script starts it.</summary>
static class Program
{
    public static Process Start(string words)
    {
        var start = new ProcessStartInfo("dotnet") { RedirectStandardOutput = true, RedirectStandardError = true, UseShellExecute = false };
        start.ArgumentList.Add(typeof(CommandLine).Assembly.Location);
        foreach (var word in words.Split(' ')) start.ArgumentList.Add(word);
        return Process.Start(start)!;
    }

    public static async Task<(int Exit, string Error)> Run(string words)
    {
        using var program = Start(words);
        var (output, error) = (program.StandardOutput.ReadToEndAsync(), program.StandardError.ReadToEndAsync());
        await program.WaitForExitAsync();
        await output;
        return (program.ExitCode, await error);
    }
}
