using System.CommandLine;
using Roadproof.App.Definitions;
using Roadproof.App.Frame;
using Roadproof.Engineering.CycleDesign;
using Roadproof.Engineering.Drive;
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
    /// <param name="LargestError">Null where the cycle leaves an element untouched that the road uses up.</param>
    public sealed record CycleAnswer(
        string Name, IReadOnlyList<CyclePoint> Points, double DurationS, IReadOnlyDictionary<string, double> DamageRatio, double? LargestError, IReadOnlyList<ElementAnswer> Elements, double PeakWindingC,
        DistanceAnswer? EquivalentDistanceM, DistanceAnswer? EquivalentKmPerHour, string? Binding, IReadOnlyList<string> Warnings);

    /// <summary>A cycle that somebody wrote down.</summary>
    public sealed record NamedCycle(string Name, IReadOnlyList<CyclePoint> Points);

    /// <summary>What is asked of the rides.</summary>
    /// <param name="DurationS">Length of a pass to be found; not read for a cycle of one's own.</param>
    /// <param name="Settled">Pieces that repeat for hours; else a pass from cold.</param>
    /// <param name="Own">Held against the rides instead of a found one; null finds one.</param>
    /// <param name="Beside">Others that stand beside it.</param>
    public sealed record Asked(double DurationS, bool Settled, NamedCycle? Own = null, IReadOnlyList<NamedCycle>? Beside = null);

    /// <param name="Besides">Cycles of one's own that were held against the same rides.</param>
    public sealed record Answer(
        string Name, IReadOnlyList<CyclePoint> Points, double DurationS, IReadOnlyDictionary<string, double> DamageRatio, double? LargestError, double PeakWindingC, DistanceAnswer? EquivalentDistanceM, DistanceAnswer? EquivalentKmPerHour,
        string? Binding, IReadOnlyList<ElementAnswer> Elements, CycleAnswer PresentCycle, IReadOnlyList<CycleAnswer> Besides, int Rides, double DistanceM, IReadOnlyList<LoadRides.RefusedFile> Refused, string Method, IReadOnlyList<string> Warnings);

    public const string Method =
        "Non-negative least squares over points, pulses and rest on the damage per kilometre of each element, then whole seconds and trimmed torques (Nelder and Mead), counted on the cycle as it would run; docs/methods/cycle-design.md.";

    public static Command Command()
    {
        Argument<string[]> files = new("ride") { Arity = ArgumentArity.OneOrMore, Description = "Ride files (FIT, GPX, TCX, CSV), or folders of them." };
        Option<string> product = FindProduct.Option();
        Option<double?> duration = new("--duration-s") { Description = "Length of a pass, s: 60 to 120 for a line. From the room's temperature." };
        Option<bool> durability = new("--durability") { Description = "A block that goes on for hours, as a piece that repeats (600 s, or --duration-s)." };
        Option<string?> own = new("--cycle") { Description = "A cycle of one's own, held against the rides instead of a found one: CSV with torque_nm, speed_rpm, hold_s (and times), or an answer of this command in JSON." };
        Option<string[]> beside = new("--beside") { AllowMultipleArgumentsPerToken = true, Description = "Other cycles in the same form, to stand beside it." };
        Option<double?> torque = new("--torque-limit-nm") { Description = "The rig's largest torque at the unit's output, N·m; without, the unit's." };
        Option<double?> winding = new("--winding-limit-c") { Description = "The winding's highest temperature, °C; without, 10 K below the start of derating." };
        Option<double> fan = new("--air-mps") { DefaultValueFactory = _ => new RigLimits().AirMps, Description = "Air over the unit on the rig, m/s." };
        Option<double> room = new("--room-c") { DefaultValueFactory = _ => new RigLimits().AmbientC, Description = "Room of the rig, °C." };
        var riding = new RidingOptions();
        return CommandLine.Verb("cycle", "A load cycle that uses up a unit in the proportions of recorded rides: what it stands for, what it cannot reproduce, and what the present cycle does.",
            "road cycle rides/ --product af-85 --duration-s 90 --assist 2", [files, product, duration, durability, own, beside, torque, winding, fan, room, .. riding.All], (input, face, stop) =>
            {
                var definition = FindProduct.WithUnit(input.GetValue(CommandLine.DefinitionsOption)!, input.GetValue(product)!);
                var limits = new RigLimits { MaximumTorqueNm = input.GetValue(torque), WindingC = input.GetValue(winding), AirMps = input.GetValue(fan), AmbientC = input.GetValue(room) };
                var asked = Of(definition.LoadTest!.Unit, input.GetValue(duration), input.GetValue(durability), input.GetValue(own), input.GetValue(beside) ?? []);
                var (rider, options) = riding.Of(input);
                var named = RideFiles.In(input.GetValue(files)!);
                var a = face.Watch("rides", named.Count, done => Run(definition, named, rider, options, limits, asked, done, stop));
                foreach (var error in a.Refused.SelectMany(r => r.Errors)) face.Note(error.ToString());
                return Task.FromResult(face.Say(a, console => Print(console, a)));
            });
    }

    /// <exception cref="InputException">A product without figures for its life, limits that leave nothing, or no ride.</exception>
    public static Answer Run(ProductDefinition product, IReadOnlyList<string> files, Rider rider, UnitOnRoadOptions options, RigLimits limits, Asked asked, Action? done, CancellationToken stop)
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

        return Of(product, designer, sums, [.. refused.OfType<LoadRides.RefusedFile>()], asked);
    }

    /// <summary>Out of rides that have been added up.</summary>
    /// <exception cref="InputException">As <see cref="Run"/>.</exception>
    internal static Answer Of(ProductDefinition product, RigLimits limits, MergedRides sums, Asked asked) =>
        Of(product, new DamageCycle(product.LoadTest!.Unit, LifeOf(product), limits), sums, [], asked);

    /// <exception cref="InputException">A file that is no cycle, or a length beside a cycle of one's own.</exception>
    static Asked Of(DriveUnit unit, double? durationS, bool settled, string? own, IReadOnlyList<string> beside)
    {
        if (own is not null && durationS is not null) throw new InputException(new InputError("--duration-s", 0, "", "a length beside a cycle of one's own", "one of the two: a cycle is as long as its points"));
        if (own is null && durationS is null && !settled) throw new InputException(new InputError("--duration-s", 0, "", "neither --duration-s nor --durability nor --cycle", "a length such as 90, a durability block, or a cycle to hold against the rides"));
        return new(durationS ?? BlockS, settled, own is null ? null : CycleInput.File(own, unit), [.. beside.Select(b => CycleInput.File(b, unit))]);
    }

    internal static LifePlan LifeOf(ProductDefinition product) => product.Life
        ?? throw new InputException(new InputError("--product", 0, "", Invariant($"'{product.Id}' without life"), "a product whose definition has figures for its life (section life)"));

    static Answer Of(ProductDefinition product, DamageCycle designer, MergedRides sums, IReadOnlyList<LoadRides.RefusedFile> refused, Asked asked)
    {
        var (road, rides) = (sums.Spectrum, sums.Groups);
        if (road.DistanceM == 0) throw new InputException(new InputError("rides", 0, "", "no ride with a road", "a ride that tells its distance"));
        var shown = asked.Own is { } own ? Held(own) : Of(asked.Settled ? "block" : "cycle", designer.Design(road, asked.DurationS, asked.Settled, rides));
        var present = Of("present cycle", designer.Compare(PointsOf(product.LoadTest!.Cycle), road, settled: false, rides));
        return new(shown.Name, shown.Points, shown.DurationS, shown.DamageRatio, shown.LargestError, shown.PeakWindingC, shown.EquivalentDistanceM, shown.EquivalentKmPerHour, shown.Binding, shown.Elements, present,
            [.. (asked.Beside ?? []).Select(Held)], (int)road.Rides, road.DistanceM, refused, Method,
            [.. shown.Warnings, "A cycle stands for a distance element by element; the common distance holds only as far as the proportions do. It is an estimate, never a release."]);

        CycleAnswer Held(NamedCycle cycle) => Of(cycle.Name, designer.Compare(cycle.Points, road, asked.Settled, rides));
    }

    static IReadOnlyList<CyclePoint> PointsOf(LoadCycle cycle) => [.. cycle.Points.Select(p => new CyclePoint(p.TorqueNm, p.TorqueNm > 0 ? p.SpeedRadPerS : 0, p.HoldS))];

    static CycleAnswer Of(string name, DesignedCycle c)
    {
        var perHour = 3.6 / c.DurationS;
        var known = double.IsFinite(c.EquivalentIntervalM.Lower);
        return new(name, c.Points, c.DurationS, c.Elements.Where(e => e.WhyNot is null).ToDictionary(e => e.Id, e => e.Ratio, StringComparer.Ordinal), Told(c.LargestError),
            [.. c.Elements.Select(e => new ElementAnswer(e.Id, e.Name, e.PerPass, e.RoadPerKm, Told(e.EquivalentM), Told(e.Ratio), e.WhyNot))], c.PeakWindingC,
            known ? new(c.EquivalentM, c.EquivalentIntervalM) : null,
            known ? new(c.EquivalentM * perHour, new(c.EquivalentIntervalM.Lower * perHour, c.EquivalentIntervalM.Upper * perHour, c.EquivalentIntervalM.Confidence)) : null, c.Binding, c.Warnings);
    }

    static string Figure(double? value, int digits) => value is { } known ? Tables.Figure(known, digits) : "–";

    static double? Told(double value) => double.IsFinite(value) ? value : null;

    static void Print(IAnsiConsole console, Answer a)
    {
        var points = Tables.Of(">N·m", ">rpm", ">hold s", "");
        foreach (var run in CycleFile.Runs(a.Points))
            points.Row(Tables.Figure(run.Point.TorqueNm, 1), Tables.Figure(run.Point.SpeedRadPerS / ReferenceConditions.RadPerSPerRpm, 0), Tables.Figure(run.Point.HoldS, 0), run.Times > 1 ? Invariant($"{run.Times} times, each after a pause of 1 s") : run.Point.TorqueNm == 0 ? "rest" : "");
        console.Write(points);
        var pass = Invariant($"One pass of {a.DurationS:0} s");
        console.WriteLine((a is { EquivalentDistanceM: { } road, EquivalentKmPerHour: { } hour }
            ? Invariant($"{pass} stands for {road.Value / 1000:0.0##} km of these {a.Rides} rides ({road.Interval.Lower / 1000:0.0##} to {road.Interval.Upper / 1000:0.0##} km, 95 %); an hour for {hour.Value:0} km ({hour.Interval.Lower:0} to {hour.Interval.Upper:0}).")
            : Invariant($"{pass} stands for no distance of these {a.Rides} rides.")) + Invariant($" Winding up to {a.PeakWindingC:0} °C."));
        console.WriteLine(Said(a));
        var elements = Tables.Of(["element", ">km a pass stands for", ">of the common distance", ">present cycle, km", .. a.Besides.Select(b => $">{b.Name}, km"), "not reproduced because"]);
        for (var i = 0; i < a.Elements.Count; i++)
        {
            var (e, at) = (a.Elements[i], i);
            elements.Row([e.Name, Figure(e.EquivalentM / 1000, 3), e.NotReproduced is null ? Figure(e.Ratio, 2) : "", Figure(a.PresentCycle.Elements[i].EquivalentM / 1000, 3), .. a.Besides.Select(b => Figure(b.Elements[at].EquivalentM / 1000, 3)), e.NotReproduced ?? ""]);
        }

        console.Write(elements);
        if (a.Besides.Count > 0) console.Write(Beside(a));
        foreach (var warning in a.Warnings) console.WriteLine(warning);
        console.WriteLine(a.Method);
    }

    static Table Beside(Answer a)
    {
        var table = Tables.Of("cycle", ">s", ">km a pass stands for", ">from", ">to (95 %)", ">km an hour stands for", ">furthest off", ">winding °C");
        Row(a.Name, a.DurationS, a.EquivalentDistanceM, a.EquivalentKmPerHour, a.LargestError, a.PeakWindingC);
        foreach (var c in (IEnumerable<CycleAnswer>)[a.PresentCycle, .. a.Besides]) Row(c.Name, c.DurationS, c.EquivalentDistanceM, c.EquivalentKmPerHour, c.LargestError, c.PeakWindingC);
        return table;

        void Row(string name, double durationS, DistanceAnswer? pass, DistanceAnswer? hour, double? error, double windingC) => table.Row(
            name, Tables.Figure(durationS, 0), Figure(pass?.Value / 1000, 3), Figure(pass?.Interval.Lower / 1000, 3), Figure(pass?.Interval.Upper / 1000, 3), Figure(hour?.Value, 0), Off(error), Tables.Figure(windingC, 0));
    }

    /// <summary>How near it comes to the road, in a sentence.</summary>
    public static string Said(Answer a)
    {
        ArgumentNullException.ThrowIfNull(a);
        if (a.Binding is { } binding) return Invariant($"Not within {100 * DamageCycle.Tolerance:0} %: {binding}");
        if (a.LargestError is not { } error) return "It leaves something untouched that the road uses up.";
        return error <= DamageCycle.Tolerance
            ? $"Every element that a rig can imitate is within {Off(error)} of the road's proportion."
            : $"An element that a rig can imitate is {Off(error)} off the road's proportion.";
    }

    /// <summary>A share, or how many times too much or too little.</summary>
    public static string Off(double? error) => error switch
    {
        null => "–",
        < 1 => Invariant($"{100 * error:0} %"),
        < 9 => Invariant($"{1 + error:0.0} times"),
        _ => Invariant($"{1 + error:0} times"),
    };
}
