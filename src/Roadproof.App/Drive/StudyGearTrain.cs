using System.CommandLine;
using Roadproof.App.Definitions;
using Roadproof.App.Frame;
using Roadproof.App.Road;
using Roadproof.Engineering.CycleDesign;
using Roadproof.Engineering.Life;
using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Road;
using Roadproof.Records.Definitions;
using Spectre.Console;

namespace Roadproof.App.Drive;

/// <summary>What variants of a gear train would last, weigh, lose and sound like.</summary>
public static class StudyGearTrain
{
    public const string Method =
        "Each variant ridden by each rider over the same rides, second by second; linear damage sums (docs/methods/life.md); gears as solid discs; loss of a changed mesh by its sliding; docs/methods/gear-train-study.md. A ranking of designs, never a permission.";

    /// <param name="Name">Of the study; empty on the page.</param>
    /// <param name="Pareto">Names of the variants that reach the rated points and that no other such one beats in life of the train's own parts, mass and efficiency together.</param>
    public sealed record Answer(string Name, string Product, double DistanceM, IReadOnlyList<VariantAnswer> Variants, IReadOnlyList<string> Pareto, int SweptDesigns, IReadOnlyList<LeftOutDesigns> LeftOut, string Method, IReadOnlyList<string> Warnings);

    /// <param name="Train">Teeth, module and width of each stage in mm.</param>
    /// <param name="Elements">On the worst rider's rides, the most used up first.</param>
    /// <param name="ShortestLifeM">Null where nothing is used up.</param>
    /// <param name="TrainLifeM">Shortest of teeth, bearings and clutch alone, over all riders.</param>
    /// <param name="Swept">Drawn by the sweep, not named in the study.</param>
    public sealed record VariantAnswer(
        string Name, string Train, bool Swept, double Ratio, IReadOnlyList<ElementAnswer> Elements, double? ShortestLifeM, string ShortestBy, string WorstRider, double? TrainLifeM, string TrainBy, IReadOnlyList<RiderAnswer> Riders,
        double Efficiency, double MassKg, IReadOnlyList<MeshFacts> Meshes, IReadOnlyList<TrainOrder> Orders, IReadOnlyList<HuntingTooth> Hunting, bool ReachesRatedPoint, IReadOnlyList<RatedPoint> RatedPoints, double PeakWindingC);

    /// <param name="LifeM">Until a tenth has failed; null where the rides do not use it up.</param>
    /// <param name="EquivalentN">P of a bearing over the rides; null of other elements.</param>
    public sealed record ElementAnswer(string Id, string Name, double? LifeM, LifeInterval Interval, double Damage, double? EquivalentN);

    /// <summary>Edges of a life; null where it has no end.</summary>
    public sealed record LifeInterval(double? LowerM, double? UpperM, double Confidence);

    public sealed record RiderAnswer(string Rider, double? ShortestLifeM, string ShortestBy, double Efficiency, double PeakWindingC, int SecondsHeldBack, IReadOnlyList<GearUse> Gears, int Shifts);

    public static Command Command()
    {
        Argument<string> file = new("study") { Description = "Study file (YAML): product, rides, riders, variants, sweep." };
        return CommandLine.Verb("study", "What other teeth, widths, materials or a shifting gearbox would do: life of every element, mass, losses, orders; and which designs nothing beats.",
            "drive study demo/studies/af-85-train.yaml", [file], (input, face, stop) =>
            {
                var path = input.GetValue(file)!;
                var study = GearStudy.Read(path, Text(path), FindProduct.ReadFolder(input.GetValue(CommandLine.DefinitionsOption)!));
                var beside = Path.GetDirectoryName(Path.GetFullPath(path))!;
                var files = RideFiles.In(study.File.Rides.Select(r => Path.GetFullPath(r, beside)));
                var rides = new StudiedRides(files, [.. study.File.Riders.Select(r => (r.Name, r.AsRider))], study.Unit);
                var trains = study.Trains.Count + (study.Swept?.Possible.Count ?? 0);
                var rounds = rides.Count * ((trains + GearTrainStudy.AtOnce - 1) / GearTrainStudy.AtOnce);
                var a = face.Watch("rides", rounds, done => Run(study, rides, done, stop));
                foreach (var error in rides.Refused.Values.SelectMany(e => e)) face.Note(error.ToString());
                return Task.FromResult(face.Say(a, console => Print(console, a)));
            });
    }

    static string Text(string path)
    {
        if (!File.Exists(path)) throw new InputException(new InputError(path, 0, "", "no such file", "a study file (YAML)"));
        return File.ReadAllText(path);
    }

    static Answer Run(GearStudy study, StudiedRides rides, Action? done, CancellationToken stop) =>
        Run(study.File.Name, study.File.Product, study.Trains, study.Swept, rides, new() { Battery = new() { EnergyWh = study.File.BatteryWh } }, done, null, stop);

    /// <param name="trains">The base first.</param>
    /// <param name="cores">Those to use; null takes all.</param>
    /// <exception cref="InputException">No file is a ride: everything that is wrong with them.</exception>
    internal static Answer Run(string name, string product, IReadOnlyList<GearTrain> trains, SweptDesigns? swept, StudiedRides rides, UnitOnRoadOptions options, Action? done, int? cores, CancellationToken stop)
    {
        IReadOnlyList<StudiedTrain> told;
        try
        {
            told = GearTrainStudy.Run(rides.All(), [.. trains, .. swept?.Possible ?? []], options, done, cores, stop);
        }
        catch (InputException) when (rides.Refused.Count == rides.Files.Count)
        {
            throw new InputException([.. rides.Refused.Values.SelectMany(e => e)]);
        }

        var able = told.Where(t => t.ReachesRatedPoints).ToList();
        var front = ParetoFront.Of([.. able.Select(t => t.Merits)]);
        List<string> warnings = ["A ranking of designs on these rides, not a release: strengths and wear are data of the plant, and a gear is released by tests of its own pair."];
        if (rides.Refused.Count > 0) warnings.Add(string.Create(CultureInfo.InvariantCulture, $"{rides.Refused.Count} of {rides.Files.Count} files were refused and count for nothing here."));
        if (told[0].Riders.Any(r => r.SecondsHeldBack > 0)) warnings.Add("Heat, rating or battery hold the motor back on some rides of the train as drawn: the riders there are the stronger ones.");
        if (told.Any(t => t.Train.Transmission is { MassKg: null })) warnings.Add("A transmission without massKg weighs nothing here.");
        if (told.Any(t => t.Train.Transmission is not null)) warnings.Add("The life of a transmission's own gears, and the moments without torque while it shifts, are left out.");
        return new(name, product, told[0].Riders.Max(r => r.DistanceM), [.. told.Select((t, i) => OfTrain(t, i >= trains.Count))], [.. able.Where((_, i) => front[i]).Select(t => t.Name)],
            swept?.Possible.Count ?? 0, swept?.LeftOut ?? [], Method, warnings);
    }

    static VariantAnswer OfTrain(StudiedTrain t, bool isSwept) => new(
        t.Name, t.Train.Description, isSwept, t.Train.Unit.Ratio, [.. t.Worst.Elements.Select(OfElement)], Finite(t.Worst.First.LifeM), t.Worst.First.Name, t.Worst.Rider, Finite(t.WorstForTrain.FirstOfTrain.LifeM), t.WorstForTrain.FirstOfTrain.Name,
        [.. t.Riders.Select(r => new RiderAnswer(r.Rider, Finite(r.First.LifeM), r.First.Name, r.Efficiency, r.PeakWindingC, r.SecondsHeldBack, r.Gears, r.Shifts))],
        t.Efficiency, t.MassKg, t.Meshes, t.Orders, t.Hunting, t.ReachesRatedPoints, t.RatedPoints, t.PeakWindingC);

    static ElementAnswer OfElement(ElementLife e) => new(e.Id, e.Name, Finite(e.LifeM), new(Finite(e.LifeIntervalM.Lower), Finite(e.LifeIntervalM.Upper), e.DamageInterval.Confidence), e.Damage, e.Bearing?.EquivalentN);

    static double? Finite(double m) => double.IsFinite(m) ? m : null;

    static void Print(IAnsiConsole console, Answer a)
    {
        var shown = a.Variants.Where(v => !v.Swept || a.Pareto.Contains(v.Name)).ToList();
        var table = Tables.Of("variant", "train, mm", ">shortest km", "what", "for whom", ">of the train km", "what", ">efficiency %", ">gears kg", ">winding °C", "rated points", "front");
        foreach (var v in shown)
            table.Row(v.Name, v.Train, Km(v.ShortestLifeM), v.ShortestBy, v.WorstRider, Km(v.TrainLifeM), v.TrainBy, Tables.Figure(100 * v.Efficiency, 1), Tables.Figure(v.MassKg, 3), Tables.Figure(v.PeakWindingC, 0), v.ReachesRatedPoint ? "reached" : "not reached", a.Pareto.Contains(v.Name) ? "yes" : "");
        console.Write(table);
        var first = Tables.Of("variant", "rider", ">km", ">from", ">to", "breaks first");
        foreach (var v in shown.Where(v => !v.Swept))
        {
            foreach (var r in v.Riders)
            {
                var edges = r.Rider == v.WorstRider ? v.Elements[0].Interval : null;
                first.Row(v.Name, r.Rider, Km(r.ShortestLifeM), edges is null ? "" : Km(edges.LowerM), edges is null ? "" : Km(edges.UpperM), r.ShortestBy);
            }
        }

        console.Write(first);
        foreach (var v in shown)
        {
            foreach (var p in v.RatedPoints.Where(p => !p.Reached)) console.WriteLine($"{v.Name}: {p.Name}: {p.Reason}.");
            foreach (var o in v.Orders.Where(o => o.FallsOn.Count > 0)) console.WriteLine($"{v.Name}: {o.Name} falls on {string.Join(", ", o.FallsOn)}.");
            foreach (var h in v.Hunting.Where(h => !h.Hunting))
                console.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{v.Name}: stage {h.Stage}, {h.Pair} {h.Teeth}:{h.OtherTeeth} share the factor {h.CommonFactor}: the same teeth meet every {h.TurnsToMeetAgain} turns."));
        }

        if (a.SweptDesigns + a.LeftOut.Count > 0)
        {
            console.WriteLine(string.Create(CultureInfo.InvariantCulture, $"Sweep: {a.SweptDesigns} designs computed, {a.LeftOut.Sum(l => l.Designs)} left out. Those on the front stand above."));
            foreach (var l in a.LeftOut) console.WriteLine(string.Create(CultureInfo.InvariantCulture, $"  {l.Designs} left out: {l.Reason}."));
        }

        foreach (var w in a.Warnings) console.WriteLine(w);
        console.WriteLine(a.Method);
    }

    static string Km(double? m) => m is { } known ? known < 1e9 ? (known / 1000).ToString("N0", CultureInfo.InvariantCulture) : "> 1,000,000" : "no end";
}
