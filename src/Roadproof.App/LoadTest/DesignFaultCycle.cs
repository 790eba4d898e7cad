using System.CommandLine;
using Roadproof.App.Definitions;
using Roadproof.App.Frame;
using Roadproof.Engineering.CycleDesign;
using Roadproof.Engineering.LoadTest;
using Roadproof.Engineering.Quantities;
using Spectre.Console;

namespace Roadproof.App.LoadTest;

/// <summary>Chooses the load points that find most faults in a given time.</summary>
public static class DesignFaultCycle
{
    /// <param name="LostPerSecond">Detected-fault value that would be lost without the point, for each of its seconds.</param>
    public sealed record PointAnswer(string Point, double TorqueNm, double SpeedRadPerS, double HoldS, bool IsNew, double LostPerSecond, string MostFor);

    public sealed record Answer(
        IReadOnlyList<PointAnswer> Points, IReadOnlyList<string> Dropped, double DurationS, double PresentDurationS, double Value, double PresentValue, IReadOnlyList<ExposedFault> Faults, IReadOnlyList<string> NotFound,
        string Method, IReadOnlyList<string> Warnings);

    const string Method = "Backward elimination of present and new load points by the value of faults found by the best test for each alone (Neyman and Pearson) per second, then swaps; docs/methods/cycle-design.md.";

    public static Command Command()
    {
        Option<string> product = FindProduct.Option();
        Option<double> duration = new("--duration-s") { Required = true, Description = "Seconds for the load points; function tests come on top." };
        Option<string[]> fault = new("--fault") { AllowMultipleArgumentsPerToken = true, Description = "A fault that counts, with its worth if not 1: crimp or crimp=5. Without, all count alike." };
        return CommandLine.Verb("cycle", "The load points that find most faults in a given time, beside the present ones; and which faults no load point finds.", "loadtest cycle --product af-85 --duration-s 80 --fault crimp=5 weak-flux",
            [product, duration, fault], (input, face, stop) =>
            {
                var plan = FindProduct.LoadTest(input.GetValue(CommandLine.DefinitionsOption)!, input.GetValue(product)!);
                var a = Run(plan, input.GetValue(duration), input.GetValue(fault) ?? [], stop);
                return Task.FromResult(face.Say(a, console => Print(console, a)));
            });
    }

    /// <exception cref="InputException">A fault that is not known, a worth that is no number, or a length that leaves no cycle.</exception>
    public static Answer Run(LoadTestPlan plan, double durationS, IReadOnlyList<string> faults, CancellationToken stop)
    {
        var c = FaultCycle.Design(plan, durationS, faults.Count == 0 ? null : Worths(faults), stop);
        return new([.. c.Points.Select(p => new PointAnswer(p.Point.Id, p.Point.TorqueNm, p.Point.SpeedRadPerS, p.Point.HoldS, p.IsNew, p.LostPerSecond, p.MostFor))], [.. c.Dropped.Select(p => p.Id)],
            c.DurationS, c.PresentDurationS, c.Value, c.PresentValue, c.Faults, c.NotFound, Method, c.Warnings);
    }

    static Dictionary<string, double> Worths(IReadOnlyList<string> faults)
    {
        var worths = new Dictionary<string, double>(StringComparer.Ordinal);
        foreach (var fault in faults)
        {
            var parts = fault.Split('=');
            if (parts.Length > 2 || (parts.Length == 2 && !double.TryParse(parts[1], NumberStyles.Float, CultureInfo.InvariantCulture, out _)))
                throw new InputException(new InputError("--fault", 0, "", $"'{fault}'", "a fault, or a fault with its worth such as crimp=5"));
            worths[parts[0]] = parts.Length == 2 ? double.Parse(parts[1], CultureInfo.InvariantCulture) : 1;
        }

        return worths;
    }

    static void Print(IAnsiConsole console, Answer a)
    {
        var points = Tables.Of("load point", ">N·m", ">rpm", ">hold s", ">lost without it, % per s", "most for", "");
        foreach (var p in a.Points)
            points.Row(p.Point, Tables.Figure(p.TorqueNm, 1), Tables.Figure(p.SpeedRadPerS / ReferenceConditions.RadPerSPerRpm, 0), Tables.Figure(p.HoldS, 0), Tables.Figure(100 * p.LostPerSecond, 2), p.MostFor.Length > 0 ? p.MostFor : "running in, or another point tells the same", p.IsNew ? "new" : "");
        console.Write(points);
        if (a.Dropped.Count > 0) console.WriteLine(Invariant($"Dropped: {string.Join(", ", a.Dropped)}."));
        var faults = Tables.Of("fault", ">size", "unit", ">worth", ">found by the present cycle", ">by this one");
        foreach (var f in a.Faults) faults.Row(f.Name, Tables.Figure(f.Typical, 2), f.Unit, Tables.Figure(f.Weight, 1), P(f.Present), P(f.Designed));
        console.Write(faults);
        console.WriteLine(Invariant($"{a.DurationS:0} s find {P(a.Value)} of what is worth finding, the present {a.PresentDurationS:0} s {P(a.PresentValue)}."));
        if (a.NotFound.Count > 0) console.WriteLine(Invariant($"Found by less than half either way, so that a process record must catch them: {string.Join(", ", a.NotFound)}."));
        foreach (var warning in a.Warnings) console.WriteLine(warning);
        console.WriteLine(a.Method);
    }

    static string P(double share) => share.ToString("P1", CultureInfo.InvariantCulture);
}
