using System.Globalization;
using BenchmarkDotNet.Running;
using Roadproof.Bench;

CultureInfo.CurrentCulture = CultureInfo.InvariantCulture;
if (args is ["steps", .. var rest])
{
    // A rate and its slowest answers are no matter of one operation's mean: they are measured apart.
    await StationSteps.Run(rest.Length > 0 ? int.Parse(rest[0], CultureInfo.InvariantCulture) : 200, rest.Length > 1 ? int.Parse(rest[1], CultureInfo.InvariantCulture) : 10);
    return;
}

if (args is ["orders", var folder, .. var captures])
{
    // Raced against programs of other languages in turn: each is a process of its own.
    OrderRace.Run(folder, captures.Length > 0 ? int.Parse(captures[0], CultureInfo.InvariantCulture) : 50);
    return;
}

BenchmarkSwitcher.FromAssembly(typeof(CaptureBench).Assembly).Run(args);
