#:project ../src/Roadproof.Engineering/Roadproof.Engineering.csproj
#:project ../src/Roadproof.Plant/Roadproof.Plant.csproj
#:project ../src/Roadproof.Records/Roadproof.Records.csproj
#:property RestorePackagesWithLockFile=false
// Load-tests simulated units with each fault of the demo on the simulated rig and compares how often they were stopped with the rate predicted beforehand.
// No line around it: many more units of one fault than bench/fault-table sees, each with a rig of its own.
//
//   dotnet run -c Release bench/rig-table.cs -- [units of each fault] [first seed] [product] [fault, ...]
using System.Globalization;
using MathNet.Numerics.Distributions;
using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Formats;
using Roadproof.Engineering.Judging;
using Roadproof.Engineering.LoadTest;
using Roadproof.Plant.Faults;
using Roadproof.Plant.Rigs;
using Roadproof.Records.Definitions;

CultureInfo.CurrentCulture = CultureInfo.InvariantCulture;
var units = args.Length > 0 ? int.Parse(args[0], CultureInfo.InvariantCulture) : 60;
var seed = args.Length > 1 ? ulong.Parse(args[1], CultureInfo.InvariantCulture) : 5_000_000UL;
var product = args.Length > 2 ? args[2] : "af-85";
var plan = DefinitionFolder.Read(DefinitionFolder.Files(Path.Combine(Environment.GetEnvironmentVariable("ROADPROOF_ROOT") ?? Directory.GetCurrentDirectory(), "demo"))).Single(r => r.Product.Id == product).LoadTest;
var judge = new LoadTestJudge(plan);
var faults = FaultList.All.Select(f => (f.Id, Change: (Func<Deviation, Deviation>)(d => f.Change(d, plan)))).Where(f => f.Change(Deviation.None) != Deviation.None && (plan.Unit.TorqueSensor is not null || f.Id != "torque-sensor-zero"))
    .Append((Id: "none", Change: d => d)).Where(f => args.Length < 4 || args[3..].Contains(f.Id)).ToList();

var outside = 0;
Console.WriteLine($"{"fault",-20} {"units",6} {"stopped",8} {"rate",7} {"predicted",10} {"99 % interval",14}   single  joint  fault  requirement");
foreach (var (id, change) in faults)
{
    var predicted = judge.PredictedStopRate(change(Deviation.None)).Rate;
    var verdicts = new LoadTestVerdict[units];
    Parallel.For(0, units, n =>
    {
        // The same units and rigs for every fault.
        var number = seed + (ulong)n;
        var parts = UnitTruth.Draw(number, 1, plan.Tolerances, [], []).Parts;
        var run = RunGenerator.Run(plan, change(parts), RigErrors.Draw(plan.Gauges, number), new RunConditions { UnitSeed = number, AmbientC = 20 + n % 7, UnitStartC = 20 + n % 7 });
        verdicts[n] = judge.Judge(new Capture(CaptureHeader.Unknown, [run.Slow, run.Fast, run.Vibration]));
    });

    int Count(Func<LoadTestVerdict, bool> stopped) => verdicts.Count(stopped);
    var count = Count(v => v.Verdict != RunVerdict.Pass);

    // The central interval that a binomial count leaves with at most 0.5 % on either side.
    int From(double share) => Enumerable.Range(0, units).FirstOrDefault(k => Binomial.CDF(predicted, units, k) > share, units);
    var (low, high) = (From(0.005), From(0.995));
    if (count < low || count > high) outside++;
    Console.WriteLine($"{id,-20} {units,6} {count,8} {(double)count / units,7:P1} {predicted,10:P1} {$"{low}..{high}",14}   {Count(v => v.Expectations.Any(e => e.Verdict == Verdict.Unusual)),6} {Count(v => v.Distance > v.DistanceLimit),6} {Count(v => v.NearestFault is { } like && like.Sigma > like.Limit),6} {Count(v => v.Requirements.Any(r => r.Verdict != Verdict.Pass)),12}{(count < low || count > high ? "  NOT AS PREDICTED" : "")}");
}

Console.WriteLine(outside == 0 ? "all as predicted" : $"{outside} not as predicted");
return outside == 0 ? 0 : 1;
