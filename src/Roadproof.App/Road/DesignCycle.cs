using System.CommandLine;
using Roadproof.App.Definitions;
using Roadproof.App.Frame;
using Roadproof.Engineering.CycleDesign;
using Roadproof.Engineering.Life;
using Roadproof.Engineering.LoadTest;
using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Road;
using Roadproof.Records.Definitions;
using Spectre.Console;

namespace Roadproof.App.Road;

/// <summary>Designs a cycle for the line or a block for the durability rig out of rides, beside the product's present load cycle.</summary>
public static class DesignCycle
{
    /// <summary>The piece of a durability block that repeats, s.</summary>
    const double BlockS = 600;

    public sealed record DistanceAnswer(double Value, Interval Interval);

    public sealed record ElementAnswer(string Element, string Name, double PerPass, double RoadPerKm, double? EquivalentM, double? Ratio, string? NotReproduced);

    /// <summary>A cycle beside the road.</summary>
    /// <param name="DamageRatio">Of the elements that it is held against: each element's own distance over the common one.</param>
    /// <param name="EquivalentDistanceM">Road that one pass stands for.</param>
    public sealed record CycleAnswer(
        IReadOnlyList<CyclePoint> Points, double DurationS, IReadOnlyDictionary<string, double> DamageRatio, double LargestError, IReadOnlyList<ElementAnswer> Elements, double PeakWindingC,
        DistanceAnswer EquivalentDistanceM, DistanceAnswer EquivalentKmPerHour, string? Binding, IReadOnlyList<string> Warnings);

    public sealed record Answer(
        IReadOnlyList<CyclePoint> Points, double DurationS, IReadOnlyDictionary<string, double> DamageRatio, double LargestError, double PeakWindingC, DistanceAnswer EquivalentDistanceM, DistanceAnswer EquivalentKmPerHour,
        string? Binding, IReadOnlyList<ElementAnswer> Elements, CycleAnswer PresentCycle, int Rides, double DistanceM, IReadOnlyList<LoadRides.RefusedFile> Refused, string Method, IReadOnlyList<string> Warnings);

    public const string Method =
        "Non-negative least squares over points, pulses and rest on the damage per kilometre of each element, then whole seconds and trimmed torques (Nelder and Mead), counted on the cycle as it would run; docs/methods/cycle-design.md.";

    public static Command Command()
    {
        Argument<string[]> files = new("ride") { Arity = ArgumentArity.OneOrMore, Description = "Ride files (FIT, GPX, TCX, CSV), or folders of them." };
        Option<string> product = FindProduct.Option();
        Option<double?> duration = new("--duration-s") { Description = "Length of a pass, s: 60 to 120 for a line. From the room's temperature." };
        Option<bool> durability = new("--durability") { Description = "A block that goes on for hours, as a piece that repeats (600 s, or --duration-s)." };
        Option<double?> torque = new("--torque-limit-nm") { Description = "The rig's largest torque at the unit's output, N·m; without, the unit's." };
        Option<double?> winding = new("--winding-limit-c") { Description = "The winding's highest temperature, °C; without, 10 K below the start of derating." };
        Option<double> fan = new("--air-mps") { DefaultValueFactory = _ => new RigLimits().AirMps, Description = "Air over the unit on the rig, m/s." };
        Option<double> room = new("--room-c") { DefaultValueFactory = _ => new RigLimits().AmbientC, Description = "Room of the rig, °C." };
        var riding = new RidingOptions();
        return CommandLine.Verb("cycle", "A load cycle that uses up a unit in the proportions of recorded rides: what it stands for, what it cannot reproduce, and what the present cycle does.",
            "road cycle rides/ --product af-85 --duration-s 90 --assist 2", [files, product, duration, durability, torque, winding, fan, room, .. riding.All], (input, face, stop) =>
            {
                var definition = FindProduct.WithUnit(input.GetValue(CommandLine.DefinitionsOption)!, input.GetValue(product)!);
                var limits = new RigLimits { MaximumTorqueNm = input.GetValue(torque), WindingC = input.GetValue(winding), AirMps = input.GetValue(fan), AmbientC = input.GetValue(room) };
                var settled = input.GetValue(durability);
                var durationS = input.GetValue(duration) ?? (settled ? BlockS
                    : throw new InputException(new InputError("--duration-s", 0, "", "neither --duration-s nor --durability", "a length such as 90, or a durability block")));
                var (rider, options) = riding.Of(input);
                var named = RideFiles.In(input.GetValue(files)!);
                var a = face.Watch("rides", named.Count, done => Run(definition, named, rider, options, limits, durationS, settled, done, stop));
                foreach (var error in a.Refused.SelectMany(r => r.Errors)) face.Note(error.ToString());
                return Task.FromResult(face.Say(a, console => Print(console, a)));
            });
    }

    /// <exception cref="InputException">A product without figures for its life, limits that leave nothing, or no ride.</exception>
    public static Answer Run(ProductDefinition product, IReadOnlyList<string> files, Rider rider, UnitOnRoadOptions options, RigLimits limits, double durationS, bool settled, Action? done, CancellationToken stop)
    {
        var unit = product.LoadTest!.Unit;
        var designer = new DamageCycle(unit, LifeOf(product), limits);
        var refused = new LoadRides.RefusedFile?[files.Count];
        var sums = new MergedRides(unit);
        EachRide.Run(files, rider, unit, options, (i, ridden) =>
        {
            if (ridden.Ride is null) refused[i] = new(files[i], ridden.Errors);
            sums.Take(i, ridden.Ride);
            done?.Invoke();
        }, stop);
        if (refused.All(r => r is not null)) throw new InputException([.. refused.OfType<LoadRides.RefusedFile>().SelectMany(r => r.Errors)]);

        return Of(product, designer, sums, [.. refused.OfType<LoadRides.RefusedFile>()], durationS, settled);
    }

    /// <summary>Out of rides that have been added up.</summary>
    /// <exception cref="InputException">As <see cref="Run"/>.</exception>
    internal static Answer Of(ProductDefinition product, RigLimits limits, MergedRides sums, double durationS, bool settled) =>
        Of(product, new DamageCycle(product.LoadTest!.Unit, LifeOf(product), limits), sums, [], durationS, settled);

    static LifePlan LifeOf(ProductDefinition product) => product.Life
        ?? throw new InputException(new InputError("--product", 0, "", Invariant($"'{product.Id}' without life"), "a product whose definition has figures for its life (section life)"));

    static Answer Of(ProductDefinition product, DamageCycle designer, MergedRides sums, IReadOnlyList<LoadRides.RefusedFile> refused, double durationS, bool settled)
    {
        var (road, rides) = (sums.Spectrum, sums.Groups);
        if (road.DistanceM == 0) throw new InputException(new InputError("rides", 0, "", "no ride with a road", "a ride that tells its distance"));
        var designed = designer.Design(road, durationS, settled, rides);
        var present = designer.Compare(PointsOf(product.LoadTest!.Cycle), road, settled: false, rides);
        var (own, beside) = (Of(designed), Of(present));
        return new(own.Points, own.DurationS, own.DamageRatio, own.LargestError, own.PeakWindingC, own.EquivalentDistanceM, own.EquivalentKmPerHour, own.Binding, own.Elements, beside,
            (int)road.Rides, road.DistanceM, refused, Method,
            [.. own.Warnings, "A cycle stands for a distance element by element; the common distance holds only as far as the proportions do. It is an estimate, never a release."]);
    }

    static IReadOnlyList<CyclePoint> PointsOf(LoadCycle cycle) => [.. cycle.Points.Select(p => new CyclePoint(p.TorqueNm, p.TorqueNm > 0 ? p.SpeedRadPerS : 0, p.HoldS))];

    static CycleAnswer Of(DesignedCycle c)
    {
        var perHour = 3.6 / c.DurationS;
        return new(c.Points, c.DurationS, c.Elements.Where(e => e.WhyNot is null).ToDictionary(e => e.Id, e => e.Ratio, StringComparer.Ordinal), c.LargestError,
            [.. c.Elements.Select(e => new ElementAnswer(e.Id, e.Name, e.PerPass, e.RoadPerKm, Told(e.EquivalentM), Told(e.Ratio), e.WhyNot))], c.PeakWindingC,
            new(c.EquivalentM, c.EquivalentIntervalM), new(c.EquivalentM * perHour, new(c.EquivalentIntervalM.Lower * perHour, c.EquivalentIntervalM.Upper * perHour, c.EquivalentIntervalM.Confidence)), c.Binding, c.Warnings);
    }

    static string Figure(double? value, int digits) => value is { } known ? Tables.Figure(known, digits) : "–";

    static double? Told(double value) => double.IsFinite(value) ? value : null;

    static void Print(IAnsiConsole console, Answer a)
    {
        var points = Tables.Of(">N·m", ">rpm", ">hold s", "");
        foreach (var run in Runs(a.Points))
            points.Row(Tables.Figure(run.Point.TorqueNm, 1), Tables.Figure(run.Point.SpeedRadPerS / ReferenceConditions.RadPerSPerRpm, 0), Tables.Figure(run.Point.HoldS, 0), run.Times > 1 ? Invariant($"{run.Times} times, each after a pause of 1 s") : run.Point.TorqueNm == 0 ? "rest" : "");
        console.Write(points);
        console.WriteLine(Invariant($"One pass of {a.DurationS:0} s stands for {a.EquivalentDistanceM.Value / 1000:0.0##} km of these {a.Rides} rides ({a.EquivalentDistanceM.Interval.Lower / 1000:0.0##} to {a.EquivalentDistanceM.Interval.Upper / 1000:0.0##} km, 95 %); an hour for {a.EquivalentKmPerHour.Value:0} km ({a.EquivalentKmPerHour.Interval.Lower:0} to {a.EquivalentKmPerHour.Interval.Upper:0}). Winding up to {a.PeakWindingC:0} °C."));
        console.WriteLine(a.Binding is { } binding ? Invariant($"Not within {100 * DamageCycle.Tolerance:0} %: {binding}") : Invariant($"Every element that it is made for is within {100 * a.LargestError:0} % of the road's proportion."));
        var elements = Tables.Of("element", ">km a pass stands for", ">of the common distance", ">present cycle, km", "not reproduced because");
        foreach (var (e, p) in a.Elements.Zip(a.PresentCycle.Elements))
            elements.Row(e.Name, Figure(e.EquivalentM / 1000, 3), e.NotReproduced is null ? Figure(e.Ratio, 2) : "", Figure(p.EquivalentM / 1000, 3), e.NotReproduced ?? "");
        console.Write(elements);
        foreach (var warning in a.Warnings) console.WriteLine(warning);
        console.WriteLine(a.Method);
    }

    /// <summary>Pulses that repeat, as one line.</summary>
    internal static IEnumerable<(CyclePoint Point, int Times)> Runs(IReadOnlyList<CyclePoint> points)
    {
        for (var i = 0; i < points.Count; i++)
        {
            var times = 1;
            while (i + 2 < points.Count && points[i + 1].TorqueNm == 0 && points[i + 2] == points[i])
            {
                times++;
                i += 2;
            }

            yield return (points[i], times);
        }
    }
}
