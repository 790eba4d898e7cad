#:project ../src/Roadproof.Engineering/Roadproof.Engineering.csproj
#:project ../src/Roadproof.Plant/Roadproof.Plant.csproj
#:project ../src/Roadproof.Records/Roadproof.Records.csproj
#:property RestorePackagesWithLockFile=false
// Runs simulated sound units through the load test and prints, for every expectation, the mean and standard deviation of what was read
// and how far both lie from what the judge expects. The values of characteristics without a model (vibration, ripple) go into the product's
// definition file as "population"; all others must read a mean sigma near 0 and a spread near 1.
//
//   dotnet run bench/population.cs -- [units] [first seed] [folder of definitions] [product]
using System.Globalization;
using Roadproof.Engineering.Formats;
using Roadproof.Engineering.LoadTest;
using Roadproof.Plant.Faults;
using Roadproof.Plant.Rigs;
using Roadproof.Records.Definitions;

CultureInfo.CurrentCulture = CultureInfo.InvariantCulture;
var units = args.Length > 0 ? int.Parse(args[0], CultureInfo.InvariantCulture) : 300;
var seed = args.Length > 1 ? ulong.Parse(args[1], CultureInfo.InvariantCulture) : 1_000_000UL;
var folder = args.Length > 2 ? args[2] : "demo";
var plan = DefinitionFolder.Read(DefinitionFolder.Files(Path.Combine(Environment.GetEnvironmentVariable("ROADPROOF_ROOT") ?? Directory.GetCurrentDirectory(), folder)))
    .Where(r => args.Length < 4 || r.Product.Id == args[3]).Select(r => r.Product.LoadTest).OfType<LoadTestPlan>().First();
var judge = new LoadTestJudge(plan);
var results = new LoadTestVerdict?[units];

Parallel.For(0, units, new ParallelOptions { MaxDegreeOfParallelism = Environment.ProcessorCount }, n =>
{
    var number = seed + (ulong)n;
    // A rig for every unit: the spread over all rigs that the gauges allow, not over three of them.
    var parts = UnitTruth.Draw(number, 1, plan.Tolerances, [], []).Parts;
    var run = RunGenerator.Run(plan, parts, RigErrors.Draw(plan.Gauges, number), new RunConditions { UnitSeed = number, AmbientC = 20 + n % 7, UnitStartC = 20 + n % 7 });
    results[n] = judge.Judge(new Capture(CaptureHeader.Unknown, [run.Slow, run.Fast, run.Vibration]), idleH: 0);
});

Console.WriteLine($"{"characteristic",-20} {"mean",12} {"sd",12} {"expected",12} {"expected sd",12} {"mean sigma",11} {"spread",7}");
foreach (var e in results[0]!.Expectations)
{
    var read = results.Select(v => v!.Expectations.First(x => x.Id == e.Id)).ToArray();
    var values = read.Select(r => r.Value).ToArray();
    var sigma = read.Select(r => r.Sigma).ToArray();
    Console.WriteLine($"{e.Id,-20} {values.Average(),12:G6} {Sd(values),12:G4} {e.Expected,12:G6} {e.StandardDeviation,12:G4} {sigma.Average(),11:F3} {Sd(sigma),7:F3}");
}

foreach (var group in results.SelectMany(v => v!.Requirements).GroupBy(r => r.Id))
    Console.WriteLine($"{group.Key,-26} {group.Average(r => r.Value),10:G5} sd {Sd([.. group.Select(r => r.Value)]),8:G3} u {group.Average(r => r.StandardUncertainty),8:G3} not passed {group.Count(r => r.Verdict != Roadproof.Engineering.Judging.Verdict.Pass)}");
Console.WriteLine($"distance mean {results.Average(v => v!.Distance):F2}, limit {results[0]!.DistanceLimit:F2}, single limit {results[0]!.SigmaLimit:F2}");
Console.WriteLine($"stopped {results.Count(v => v!.Verdict != Roadproof.Engineering.Judging.RunVerdict.Pass)} of {units} sound units");
foreach (var w in results.SelectMany(v => v!.Warnings).GroupBy(w => w.Length > 60 ? w[..60] : w).Take(5)) Console.WriteLine($"{w.Count()} × {w.Key}");

static double Sd(double[] x)
{
    var mean = x.Average();
    return Math.Sqrt(x.Sum(v => (v - mean) * (v - mean)) / (x.Length - 1));
}
