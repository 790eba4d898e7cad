using Roadproof.Records.Tests.Crash;

namespace Roadproof.Records.Tests;

/// <summary>Runs the tests; or, told so by its first argument, is the program that the crash tests kill.</summary>
static class Program
{
    public static async Task<int> Main(string[] args)
    {
        if (args is [CrashChild.Argument, var folder, var run]) return await CrashChild.Write(folder, int.Parse(run));
        return args.Contains("--server") || args.Contains("--internal-msbuild-node")
            ? await Xunit.MicrosoftTestingPlatform.TestPlatformTestFramework.RunAsync(args, SelfRegisteredExtensions.AddSelfRegisteredExtensions)
            : await Xunit.Runner.InProc.SystemConsole.ConsoleRunner.Run(args);
    }
}
