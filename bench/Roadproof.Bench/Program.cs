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

switch (args)
{
    // Raced against programs in other languages: each run is one process that prints its answers and its time.
    case ["identification", var file]:
        Races.Identification(file);
        return;
    case ["risks"]:
        Races.Risks();
        return;
    case ["rainflow", var history]:
        Races.Rainflow(history);
        return;
    case ["orders", var folder, .. var captures]:
        OrderRace.Run(folder, captures.Length > 0 ? int.Parse(captures[0], CultureInfo.InvariantCulture) : 50);
        return;
}

BenchmarkSwitcher.FromAssembly(typeof(CaptureBench).Assembly).Run(args);
