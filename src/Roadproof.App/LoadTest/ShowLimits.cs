using System.CommandLine;
using Roadproof.App.Definitions;
using Roadproof.App.Frame;
using Roadproof.Engineering.LoadTest;
using Roadproof.Engineering.Quantities;
using Spectre.Console;

namespace Roadproof.App.LoadTest;

/// <summary>The expectation limits of a product's load test, with what they stop, pass and cost, and beside them what the plant's own units read.</summary>
public static class ShowLimits
{
    public sealed record Answer(
        IReadOnlyList<ReportedLimit> Expectations, double FalseAlarm, double SigmaLimit, double DistanceLimit, double EvidenceLimit, StopRate Sound, IReadOnlyList<PassedFault> Faults,
        IReadOnlyList<ReportedGuardBand> Requirements, IReadOnlyList<GaugeFitness> Gauges, double LargestConsumerRisk, AlarmCost? Cost, ProvenUnits? Proven, string Method, IReadOnlyList<string> Warnings);

    /// <summary>What is asked beside the limits themselves.</summary>
    /// <param name="StoppedSound">Cost of stopping a sound unit; null with <paramref name="PassedFault"/> where no cost is asked for.</param>
    public sealed record Asked(double? FalseAlarm, double LargestConsumerRisk, double? StoppedSound, double? PassedFault, IReadOnlyDictionary<string, double> Shares);

    public const string Method =
        "Drive model, part tolerances to second order, rig and noise; three limits for one false-alarm rate from 300 000 seeded draws; scatter held against draws through the whole computation (JCGM 101:2008, clause 8); guard bands by JCGM 106:2012, 9.5.";

    public static Command Command()
    {
        Option<string> product = FindProduct.Option();
        Option<double?> falseAlarm = new("--false-alarm") { Description = "Wrong alarms per sound unit over all expectations together; the definition's by default." };
        Option<double> risk = new("--consumer-risk") { Description = "Largest share of all units that may be bad and pass, for the guard bands.", DefaultValueFactory = _ => 0.0001 };
        Option<double?> sound = new("--cost-stopped-sound") { Description = "Cost of stopping a sound unit, in any money." };
        Option<double?> fault = new("--cost-passed-fault") { Description = "Cost of passing a faulty unit, in the same money." };
        Option<string[]> shares = new("--fault-share") { Description = "Share of units that have a fault, such as crimp=0.002; may be given for each.", AllowMultipleArgumentsPerToken = true };
        Option<bool> proven = new("--proven") { Description = "Hold what the units of the data folder read beside the model." };
        return CommandLine.Verb("limits", "Expectation limits of a load test: what sound units read, what the limits stop and pass, what another false-alarm rate would cost.",
            "loadtest limits --product af-85 --cost-stopped-sound 40 --cost-passed-fault 900", [product, falseAlarm, risk, sound, fault, shares, proven], (input, face, _) =>
            {
                var asked = new Asked(input.GetValue(falseAlarm), input.GetValue(risk), input.GetValue(sound), input.GetValue(fault), Shares(input.GetValue(shares) ?? []));
                var name = input.GetValue(product)!;
                var plan = FindProduct.LoadTest(input.GetValue(CommandLine.DefinitionsOption)!, name);
                var units = input.GetValue(proven) ? AskProven.OfFolder(input.GetValue(CommandLine.DataOption)!, name) : null;
                var a = Run(plan, asked, units);
                return Task.FromResult(face.Say(a, console => Print(console, a)));
            });
    }

    /// <exception cref="InputException">Numbers or faults that cannot be.</exception>
    public static Answer Run(LoadTestPlan plan, Asked asked, ProvenUnits? proven = null)
    {
        Require(plan, asked);
        var judge = new LoadTestJudge(asked.FalseAlarm is { } rate ? plan with { FalseAlarm = rate } : plan);
        var r = judge.Report(asked.LargestConsumerRisk);
        var cost = asked is { StoppedSound: { } stopped, PassedFault: { } passed } ? judge.Cost(stopped, passed, asked.Shares) : null;
        return new(r.Expectations, r.FalseAlarm, r.SigmaLimit, r.DistanceLimit, r.EvidenceLimit, r.Sound, r.Faults, r.Requirements, r.Gauges, asked.LargestConsumerRisk, cost, proven, Method, [.. Warnings(r, cost, asked, proven)]);
    }

    static IEnumerable<string> Warnings(LimitReport r, AlarmCost? cost, Asked asked, ProvenUnits? proven)
    {
        var second = r.Expectations.Where(e => !e.Drawn.Drawn.Holds).Select(e => e.Id).ToList();
        if (second.Count > 0) yield return $"The linear scatter alone would be wrong in its second digit for {string.Join(", ", second)}: the limits hold the second order.";
        yield return "Part tolerances and shares of faults are common practice (no source) until a plant puts in its own.";
        if (cost is { AtEdge: true }) yield return "The cheapest false-alarm rate is the smallest or largest that was looked at: the true one may lie beyond.";
        if (cost is not null && asked.Shares.Count == 0) yield return "Costs rest on shares of faults that are common practice, no source: give your own with --fault-share.";
        if (r.Requirements.Any(q => q.ConsumerRisk is null)) yield return "No model says how sound units scatter in what software alone decides: those requirements have no risk here.";
        if (proven is not null) yield return ProvenUnits.Selection;
    }

    static void Require(LoadTestPlan plan, Asked asked)
    {
        var errors = new List<InputError>();
        void Need(bool right, string option, double? found, string expected)
        {
            if (!right) errors.Add(new(option, 0, "", found?.ToString("G6", CultureInfo.InvariantCulture) ?? "nothing", expected));
        }

        Need(asked.FalseAlarm is null or (>= 0.0001 and <= 0.2), "--false-alarm", asked.FalseAlarm, "a share from 0.0001 to 0.2 such as 0.01");
        Need(asked.LargestConsumerRisk is > 0 and < 1, "--consumer-risk", asked.LargestConsumerRisk, "a share between 0 and 1 such as 0.0001");
        Need(asked.StoppedSound is null == asked.PassedFault is null, asked.StoppedSound is null ? "--cost-stopped-sound" : "--cost-passed-fault", null, "both costs, or neither");
        Need(asked.StoppedSound is null or (> 0 and < 1e12), "--cost-stopped-sound", asked.StoppedSound, "a cost above 0");
        Need(asked.PassedFault is null or (> 0 and < 1e12), "--cost-passed-fault", asked.PassedFault, "a cost above 0");
        var known = LoadTestJudge.FaultsOf(plan.Unit);
        foreach (var id in asked.Shares.Keys.Where(id => !known.Contains(id, StringComparer.Ordinal))) errors.Add(new("--fault-share", 0, "", $"'{id}'", $"a fault: {string.Join(", ", known)}"));
        Need(asked.Shares.Values.Sum() < 0.9, "--fault-share", asked.Shares.Values.Sum(), "shares that leave sound units: less than 0.9 together");
        if (errors.Count > 0) throw new InputException(errors);
    }

    static Dictionary<string, double> Shares(IEnumerable<string> typed)
    {
        var shares = new Dictionary<string, double>(StringComparer.Ordinal);
        foreach (var one in typed)
        {
            var parts = one.Split('=');
            if (parts.Length != 2 || !double.TryParse(parts[1], NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture, out var share) || share is not (>= 0 and < 1))
                throw new InputException(new InputError("--fault-share", 0, "", $"'{one}'", "a fault and its share of units, such as crimp=0.002"));
            shares[parts[0]] = share;
        }

        return shares;
    }

    static void Print(IAnsiConsole console, Answer a)
    {
        var limits = Tables.Of("expectation", ">from", ">expected", ">to", "unit", ">sd", ">of it parts", ">rig", ">own", ">model", ">drawn sd", "linear");
        foreach (var e in a.Expectations)
            limits.Row(e.Name, G(e.Lower), G(e.Expected), G(e.Upper), e.Unit, G(e.StandardDeviation), P(e.Shares.Parts + e.Shares.SecondOrder), P(e.Shares.Rig), P(e.Shares.Own), P(e.Shares.Model), G(e.Drawn.Drawn.StandardUncertainty), e.Drawn.Drawn.Holds ? "holds" : "second order matters");
        console.Write(limits);
        console.WriteLine($"Of sound units {P(a.Sound.Rate, 2)} are stopped: by a single reading beyond {G(a.SigmaLimit)} sigma {P(a.Sound.BySingleReading, 2)}, by the distance beyond {G(a.DistanceLimit)} {P(a.Sound.ByDistance, 2)}, along a known fault beyond its own limit {P(a.Sound.ByKnownFault, 2)}, by requirements {P(a.Sound.ByRequirement, 2)}.");
        var faults = Tables.Of("fault", ">typical size", "unit", ">passed", ">limit along it, sigma");
        foreach (var f in a.Faults) faults.Row(f.Name, G(f.Size), f.Unit, P(f.Passed, 1), f.LimitSigma is { } limit ? limit.ToString("0.0", CultureInfo.InvariantCulture) : "");
        console.Write(faults);
        var bands = Tables.Of("requirement", ">from", ">to", "unit", ">u", ">guard band", ">bad and passed", ">good and stopped", $">band for {G(a.LargestConsumerRisk)}");
        foreach (var r in a.Requirements) bands.Row(r.Name, G(r.Lower), G(r.Upper), r.Unit, G(r.StandardUncertainty), G(r.GuardBand), Risk(r.ConsumerRisk), Risk(r.ProducerRisk), G(r.GuardBandForRisk));
        console.Write(bands);
        var gauges = Tables.Of("is the gauge good enough for", ">u", "unit", ">6 u of the tolerance, %", ">sizes told apart", "", "most of u² is");
        foreach (var g in a.Gauges) gauges.Row(g.Name, g.StandardUncertainty > 0 ? G(g.StandardUncertainty) : "by each run", g.Unit, G(g.PercentOfTolerance), G(g.DistinctCategories), g.Word, g.Largest.Length > 0 ? $"{g.Largest}, {P(g.LargestShare)}" : "");
        console.Write(gauges);
        if (a.Cost is { } cost)
        {
            var curve = Tables.Of(">false alarms", ">sound stopped", ">faulty passed", ">cost a unit");
            foreach (var c in cost.Curve) curve.Row(P(c.FalseAlarm, 2), P(c.SoundStopped, 2), P(c.FaultyPassed, 2), G(c.CostPerUnit));
            console.Write(curve);
            console.WriteLine($"Least at a false-alarm rate of {G(cost.Least.FalseAlarm)}; from {G(cost.From.FalseAlarm)} to {G(cost.To.FalseAlarm)} it costs at most a twentieth more.");
        }

        if (a.Proven is { } proven) PrintProven(console, proven);
        foreach (var w in a.Warnings) console.WriteLine(w);
    }

    static void PrintProven(IAnsiConsole console, ProvenUnits proven)
    {
        console.WriteLine($"{Frame.Figure.Of(proven.Units, "unit")} at their first run, {Frame.Figure.Count(proven.Rigs)} of {Frame.Figure.Of(proven.RigsOfPlant, "rig")}, least lots of a part: {Frame.Figure.Count(proven.Lots)}.");
        foreach (var missing in proven.Missing) console.WriteLine($"Not enough: {missing}.");
        if (proven.Characteristics.Count == 0) return;
        var table = Tables.Of("reading", ">units", ">median", ">model", ">difference", ">from", ">to", "unit", ">spread", ">model", "");
        foreach (var c in proven.Characteristics)
            table.Row(c.Name, c.Units.ToString(CultureInfo.InvariantCulture), G(c.Location), G(c.Expected), G(c.Difference), G(c.DifferenceInterval.Lower), G(c.DifferenceInterval.Upper), c.Unit, G(c.Scale), G(c.StandardDeviation), c.Word);
        console.Write(table);
        if (proven.Definition.Length == 0) return;
        console.WriteLine("To take these over, a person puts them into the product's file and approves it as a new revision:");
        console.WriteLine(proven.Definition);
    }

    static string G(double? value) => value?.ToString("G4", CultureInfo.InvariantCulture) ?? "";

    static string P(double share, int decimals = 0) => share.ToString("P" + decimals.ToString(CultureInfo.InvariantCulture), CultureInfo.InvariantCulture);

    static string Risk(double? share) => share is { } s ? s is > 0 and < 1e-6 ? "< 1 ppm" : (1e6 * s).ToString("0.##", CultureInfo.InvariantCulture) + " ppm" : "cannot tell";
}
