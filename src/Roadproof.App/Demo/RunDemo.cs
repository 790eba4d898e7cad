using System.CommandLine;
using System.Diagnostics;
using Microsoft.AspNetCore.Hosting.Server;
using Microsoft.AspNetCore.Hosting.Server.Features;
using Roadproof.App.Definitions;
using Roadproof.App.Frame;
using Roadproof.App.LoadTest;
using Roadproof.Engineering.Quantities;
using Roadproof.Plant;
using Roadproof.Plant.Line;
using Roadproof.Plant.Riders;
using Roadproof.Records.Ledger;
using Spectre.Console;

namespace Roadproof.App.Demo;

/// <summary>Runs the simulated plant against this program's own public interface: with pages, or as fast as it goes and with a report at the end.</summary>
public static class RunDemo
{
    /// <summary>Units that are built at full speed at first, so that a visitor finds a line at work.</summary>
    const int HeadStart = 24;

    public sealed record Answer(
        int UnitsStarted, int UnitsShipped, int UnitsOnHold, int UnitsScrapped, double? FirstPassYield, int LoadTestsRun, long LedgerRecords, string LedgerHead,
        double PlantTimeS, double ElapsedS, int SoundUnits, int SoundStopped, int SoundStoppedByLotOrRigHold, IReadOnlyList<FaultAnswer> Faults, IReadOnlyList<SlipCount> Slips, IReadOnlyList<OtherLineAnswer> OtherLines,
        string? WeakMagnetLot, int? WeakMagnetLotUnits, int? LotReportedAfterUnits, string? DriftingRig, int? UnitsOnDriftingRig,
        string Method, IReadOnlyList<string> Warnings);

    /// <param name="PredictedRate">Computed from the definitions before the run.</param>
    public sealed record FaultAnswer(string Fault, double? SizeSigma, int Units, int Stopped, double? PredictedRate);

    /// <param name="SoundStopped">Held for a lot left out.</param>
    public sealed record OtherLineAnswer(string Line, string Product, int Started, int Finished, int OnHold, int Scrapped, int SoundUnits, int SoundStopped, IReadOnlyList<FaultAnswer> Faults);

    public static Command Command()
    {
        Option<int?> units = new("--units") { Description = "Units to build; without pages 200, with pages until stopped." };
        Option<ulong> seed = new("--seed") { DefaultValueFactory = _ => 1, Description = "The same seed gives the same ledger." };
        Option<bool> noServe = new("--no-serve") { Description = "No pages: as fast as it goes, then the report." };
        Option<double> speed = new("--speed") { DefaultValueFactory = _ => 20, Description = "Plant seconds in one second, with pages." };
        Option<string?> secrets = new("--secrets") { Description = "Writes what each unit carried and what became of it to this CSV file." };
        Option<string> urls = Serve.Urls();
        return CommandLine.Verb("demo", "Runs the demo line: simulated stations and rigs that speak only the public interface.", "demo --no-serve --units 200 --seed 7 --json",
            [units, seed, noServe, speed, secrets, urls], async (input, face, stop) =>
            {
                var data = input.GetResult(CommandLine.DataOption) is { Implicit: false } ? input.GetValue(CommandLine.DataOption)! : Path.Combine(input.GetValue(CommandLine.DataOption)!, "demo");
                var definitions = input.GetValue(CommandLine.DefinitionsOption)!;
                Require(input.GetValue(units), input.GetValue(speed), input.GetValue(secrets), input.GetValue(urls)!);
                RequireLoadTest(definitions);
                DemoFolder.MakeAnew(data);
                var files = FindProduct.Files(definitions);
                if (!input.GetValue(noServe)) return await WithPages(data, files, input.GetValue(seed), input.GetValue(units), input.GetValue(speed), input.GetValue(urls)!, face, stop);

                var a = await AsFastAsItGoes(data, files, input.GetValue(seed), input.GetValue(units) ?? 200, input.GetValue(secrets), face, stop);
                return face.Say(a, console => Print(console, a));
            });
    }

    // All that can be known to be wrong is said before the folder of the demo before is deleted.
    static void Require(int? units, double speed, string? secrets, string urls)
    {
        var errors = new List<InputError>();
        if (units < 1) errors.Add(new("--units", 0, "", $"{units?.ToString(CultureInfo.InvariantCulture)}", "1 or more units to build"));
        if (!(speed > 0 && double.IsFinite(speed))) errors.Add(new("--speed", 0, "", speed.ToString(CultureInfo.InvariantCulture), "plant seconds in one second, above 0, such as 20"));
        if (secrets is not null && !Directory.Exists(Path.GetDirectoryName(Path.GetFullPath(secrets))))
            errors.Add(new("--secrets", 0, "", $"'{secrets}' in a folder that is not there", "a CSV file to write in a folder that is there"));
        if (errors.Count > 0) throw new InputException(errors);
        Serve.RequireUrls(urls);
    }

    static void RequireLoadTest(string definitions)
    {
        if (FindProduct.ReadFolder(definitions).All(r => r.Product.LoadTest is null))
            throw new InputException(new InputError(definitions, 0, "products", "no product with a load test", "a drive unit for the demo line to build", "roadproof serve serves your own products."));
    }

    static async Task<Answer> AsFastAsItGoes(string data, IReadOnlyList<(string Name, string Text)> files, ulong seed, int units, string? secrets, Face face, CancellationToken stop)
    {
        var clock = Stopwatch.StartNew();
        var options = new DemoOptions { Seed = seed, Units = units };
        var (result, head, rates, main) = await Build(data, files, options, face, stop);
        if (secrets is not null) await File.WriteAllLinesAsync(secrets, Secrets(result), stop);
        return new(
            result.UnitsStarted, result.UnitsShipped, result.UnitsOnHold, result.UnitsScrapped, result.FirstPassYield, result.LoadTestsRun, head.Size, head.RootHash,
            result.PlantTimeS, clock.Elapsed.TotalSeconds, result.SoundUnits, result.SoundStopped, result.SoundStoppedByLotOrRigHold,
            Told(main, result.Faults), result.Slips,
            [.. result.OtherLines.Select(c => new OtherLineAnswer(c.Line, c.Product, c.Started, c.Finished, c.OnHold, c.Scrapped, c.SoundUnits, c.SoundStopped, Told(c.Product, c.Faults)))],
            result.WeakLot?.Lot, result.WeakLot?.Units, result.WeakLot?.TestedUntilReported, result.DriftingRig?.Rig, result.DriftingRig?.UnitsAfter,
            "Simulated stations over HTTP on a stepped plant clock; faults from the plant's own secret list, told after the run; rates predicted from the definitions beforehand.", result.Surprises);

        List<FaultAnswer> Told(string product, IReadOnlyList<FaultCount> faults) => [.. faults.Select(f => new FaultAnswer(f.Fault, f.SizeSigma, f.Units, f.Stopped, rates.GetValueOrDefault((product, f.Fault))))];
    }

    static async Task<(DemoResult Result, LedgerHead Head, IReadOnlyDictionary<(string Product, string Fault), double?> Rates, string Main)> Build(
        string data, IReadOnlyList<(string Name, string Text)> files, DemoOptions options, Face face, CancellationToken stop)
    {
        var clock = options.Clock();
        await using var line = await OpenLine.Open(data, clock);
        await line.Approve(files, new("demo"));
        var rates = PredictRates.Run(line);
        await using var app = WebHost.Build(line, "http://127.0.0.1:0", quiet: true);
        await app.StartAsync(stop);
        using var http = new HttpClient { BaseAddress = new Uri(Address(app)), Timeout = TimeSpan.FromMinutes(5) };
        var result = await DemoLine.Run(http, clock, options, new Progress(face), stop);
        await app.StopAsync(stop);
        return (result, line.Ledger.Head, rates, line.Standing.First(r => r.Product.LoadTest is not null).Product.Id);
    }

    static async Task<int> WithPages(
        string data, IReadOnlyList<(string Name, string Text)> files, ulong seed, int? units, double speed, string urls, Face face, CancellationToken stop)
    {
        var options = new DemoOptions { Seed = seed, Units = units, Speed = speed, HeadStart = HeadStart };
        var clock = options.Clock();
        await using var line = await OpenLine.Open(data, clock);
        await line.Approve(files, new("demo"));
        await using var app = WebHost.Build(line, urls);
        await app.StartAsync(stop);
        var seen = app.Services.GetRequiredService<LoadTestSeen>().Begin();
        face.Note($"Roadproof serves the demo line at {string.Join(" ", app.Urls)} (simulated, {speed.ToString(CultureInfo.InvariantCulture)} times as fast as a real one). Stop with Ctrl+C.");
        using var http = new HttpClient { BaseAddress = new Uri(Address(app)), Timeout = TimeSpan.FromMinutes(5) };
        using var ending = CancellationTokenSource.CreateLinkedTokenSource(stop, app.Lifetime.ApplicationStopping);
        var plant = Simulate(http, clock, options, face, ending.Token);
        var rides = SendRides(http, options, seen, face, ending.Token);
        await app.WaitForShutdownAsync(stop);
        await plant;
        await rides;
        return Exit.Done;
    }

    /// <summary>Riders wait until the line runs and its load tests know what they see: a visitor's first minute belongs to the line.</summary>
    static async Task SendRides(HttpClient http, DemoOptions options, Task before, Face face, CancellationToken stop)
    {
        try
        {
            await before.WaitAsync(stop);
            await DemoRides.Send(http, options.Seed, options.Now, stop);
        }
        catch (OperationCanceledException)
        {
            // Stopped with the program.
        }
        catch (Exception e)
        {
            face.Note($"The invented riders could not send their rides; the line goes on. {e.Message}");
        }
    }

    static async Task Simulate(HttpClient http, PlantClock clock, DemoOptions options, Face face, CancellationToken stop)
    {
        try
        {
            await DemoLine.Run(http, clock, options, null, stop);
            face.Note("All units of the demo are built; the pages stay open.");
        }
        catch (OperationCanceledException)
        {
            // Stopped with the program.
        }
        catch (Exception e)
        {
            face.Note($"The simulated plant has stopped; the pages stay open. {e.Message}");
        }
    }

    static string Address(WebApplication app)
    {
        var address = app.Services.GetRequiredService<IServer>().Features.Get<IServerAddressesFeature>()!.Addresses.First();
        return address.Replace("[::]", "localhost", StringComparison.Ordinal).Replace("0.0.0.0", "localhost", StringComparison.Ordinal);
    }

    static IEnumerable<string> Secrets(DemoResult result) =>
        ["product,unit,serial,fault,stopped,end,reasons", .. result.Units.Select(u => $"{u.Product},{u.Unit},{u.Serial},{u.Fault},{(u.Stopped ? "1" : "0")},{u.End},\"{string.Join("; ", u.Reasons).Replace("\"", "\"\"", StringComparison.Ordinal)}\"")];

    static void Print(IAnsiConsole console, Answer a)
    {
        console.WriteLine(Invariant($"{a.UnitsStarted} units started, {a.UnitsShipped} shipped, {a.UnitsOnHold} on hold, {a.UnitsScrapped} scrapped; first-pass yield {a.FirstPassYield:P1}; {a.LoadTestsRun} load tests."));
        var table = Tables.Of("hidden fault", ">size σ", ">units", ">stopped", ">predicted");
        foreach (var f in a.Faults)
            table.Row(f.Fault, f.SizeSigma?.ToString("F1", CultureInfo.InvariantCulture) ?? "", f.Units.ToString(CultureInfo.InvariantCulture), f.Stopped.ToString(CultureInfo.InvariantCulture), f.PredictedRate?.ToString("P1", CultureInfo.InvariantCulture) ?? "");
        console.Write(table);
        console.WriteLine($"Slips made and met: {string.Join(", ", a.Slips.Select(s => Invariant($"{s.Slip} {s.Caught} of {s.Made}")))}.");
        console.WriteLine(Invariant($"{a.SoundUnits} sound units, {a.SoundStopped} stopped, {a.SoundStoppedByLotOrRigHold} of them for a held lot or a drifting rig."));
        foreach (var c in a.OtherLines)
            console.WriteLine(Invariant($"{c.Product}: {c.Started} started, {c.Finished} finished, {c.OnHold} on hold, {c.Scrapped} scrapped; {c.SoundStopped} of {c.SoundUnits} sound ones stopped; {string.Join(", ", c.Faults.Where(f => f.Units > 0).Select(f => Invariant($"{f.Fault} {f.Stopped} of {f.Units}")))}."));
        if (a.WeakMagnetLot is { } lot) console.WriteLine(Invariant($"Weak magnet lot {lot}: {a.WeakMagnetLotUnits} drive units, {(a.LotReportedAfterUnits is { } n ? Invariant($"reported after {n}") : "never reported")}."));
        if (a.DriftingRig is { } rig) console.WriteLine(Invariant($"{rig} drifted: {a.UnitsOnDriftingRig} units after that may be judged wrong."));
        foreach (var w in a.Warnings) console.WriteLine(w);
        console.WriteLine(Invariant($"{a.LedgerRecords} records, head {a.LedgerHead}; {a.PlantTimeS / 3600:F1} plant hours in {a.ElapsedS:F0} s."));
    }

    sealed class Progress(Face face) : IProgress<DemoProgress>
    {
        int told;

        public void Report(DemoProgress value)
        {
            if (value.Started < told + 20) return;
            told = value.Started;
            face.Note(Invariant($"{value.PlantTime:HH:mm} {value.Started}{(value.Units is { } all ? Invariant($" of {all}") : "")} started, {value.Shipped} shipped, {value.OnHold} on hold, {value.Scrapped} scrapped"));
        }
    }
}

/// <summary>The demo's folder is made anew at each start; a folder that holds anything but a demo is left alone.</summary>
static class DemoFolder
{
    const string Mark = "simulated.txt";

    /// <exception cref="InputException">The folder holds something that is not a demo's.</exception>
    public static void MakeAnew(string path)
    {
        if (File.Exists(path)) throw new InputException(new InputError(path, 0, "", "a file", "a folder", "Choose another one with --data."));
        if (Directory.Exists(path) && Directory.EnumerateFileSystemEntries(path).Any())
        {
            if (!File.Exists(Path.Combine(path, Mark)))
                throw new InputException(new InputError(path, 0, "", "a folder that holds something else than a demo", "a new folder, or that of an earlier demo", "Choose another one with --data."));
            using (Roadproof.Records.Stores.DataFolder.Open(path))
            {
                // Only to know that no other program has it open.
            }

            Directory.Delete(path, recursive: true);
        }

        Directory.CreateDirectory(path);
        File.WriteAllText(Path.Combine(path, Mark), "Everything in this folder is simulated. It is deleted when the demo starts again.\n");
    }
}
