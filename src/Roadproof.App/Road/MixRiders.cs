using System.CommandLine;
using Roadproof.App.Definitions;
using Roadproof.App.Frame;
using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Life;
using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Road;
using Roadproof.Records.Definitions;
using Spectre.Console;

namespace Roadproof.App.Road;

/// <summary>Takes drawn riders of a mix over recorded rides: what breaks first, for whom.</summary>
public static class MixRiders
{
    public sealed record Answer(
        string Mix, int Riders, IReadOnlyList<MixedElement> Elements, RidersFigure WhPerKm, RidersFigure PeakWindingC, IReadOnlyDictionary<string, int> RidesByTerrain, IReadOnlyList<RiderLine> WorstRiders,
        IReadOnlyList<LoadRides.RefusedFile> Refused, string Method, IReadOnlyList<string> Warnings);

    /// <summary>A figure over the riders: a tenth lies below the first, half below the second, nine tenths below the third.</summary>
    public sealed record RidersFigure(double Tenth, double Half, double NineTenths);

    /// <param name="LifeKm">Of the element that goes first.</param>
    public sealed record RiderLine(double? LifeKm, string First, double RiderMassKg, double BikeMassKg, double AssistanceFactor, double AirC, string Terrain, string Ride);

    public const string Method = "Riders drawn by Latin hypercube from the mix, each over one ride of its terrain; unit, heat and battery second by second; linear damage per kilometre. docs/methods/life.md.";

    public static Command Command()
    {
        Argument<string[]> files = new("ride") { Arity = ArgumentArity.OneOrMore, Description = "Ride files (FIT, GPX, TCX, CSV), or folders of them." };
        Option<string> product = FindProduct.Option();
        Option<string> mix = new("--mix") { Required = true, Description = "A rider mix (YAML)." };
        Option<int> riders = new("--riders") { DefaultValueFactory = _ => 200, Description = "How many riders to draw." };
        Option<int> seed = new("--seed") { DefaultValueFactory = _ => 1, Description = "The same seed draws the same riders." };
        return CommandLine.Verb("mix", "What breaks first, for whom: riders of a mix drawn over recorded rides.", "road mix rides/ --product af-85 --mix city.yaml",
            [files, product, mix, riders, seed], (input, face, stop) =>
            {
                var definition = FindProduct.WithUnit(input.GetValue(CommandLine.DefinitionsOption)!, input.GetValue(product)!);
                var count = input.GetValue(riders);
                if (count is < 10 or > 100_000) throw new InputException(new InputError("--riders", 0, "", Invariant($"{count}"), "a number from 10 to 100000"));
                if (input.GetValue(seed) < 0) throw new InputException(new InputError("--seed", 0, "", Invariant($"{input.GetValue(seed)}"), "a whole number of 0 or more"));
                var named = RideFiles.In(input.GetValue(files)!);
                var drawn = ReadMix(input.GetValue(mix)!);
                var a = face.Watch("rides", 2 * named.Count, done => Run(definition, MixedRides.OfFiles(drawn, named, done, stop), count, (ulong)input.GetValue(seed), done, stop));
                foreach (var error in a.Refused.SelectMany(r => r.Errors)) face.Note(error.ToString());
                return Task.FromResult(face.Say(a, console => Print(console, a)));
            });
    }

    internal static RiderMix ReadMix(string file) => File.Exists(file)
        ? MixFile.Read(file, File.ReadAllText(file))
        : throw new InputException(new InputError(file, 0, "", "no such file", "a rider mix (YAML)"));

    /// <exception cref="InputException">A product without figures for its life, or no ride of the mix's terrains.</exception>
    internal static Answer Run(ProductDefinition product, MixedRides rides, int riders, ulong seed, Action? done, CancellationToken stop)
    {
        var unit = product.LoadTest!.Unit;
        var life = new UnitLife(unit, DesignCycle.LifeOf(product));
        List<string> warnings = [];
        var all = rides.Ridden(unit, riders, seed, warnings, (rider, name, ride) => new MixedDamage(
            rider, name, ride.Load.Summary.DistanceM / 1000, ride.WhPerKm, ride.PeakWindingC, PerKm(life, ride)), done, stop);
        warnings.Add("The mix's shares and spreads are as good as their origin; rides of few riders stand for all. An estimate, never a permission.");
        var names = NamesOf(life, unit);
        return new(rides.Mix.Name, all.Count, MixedLife.Of(all, names), Over(all, d => d.WhPerKm), Over(all, d => d.PeakWindingC), rides.Terrains.ToDictionary(t => t.Key, t => t.Value.Count, StringComparer.Ordinal), Worst(all, names), rides.Refused, Method, warnings);
    }

    static Dictionary<string, double> PerKm(UnitLife life, UnitOnRoad ride)
    {
        var spectrum = new LoadSpectrum(ride.Unit);
        spectrum.Add(ride);
        return life.Damages(spectrum).ToDictionary(d => d.Key, d => d.Value / (ride.Load.Summary.DistanceM / 1000), StringComparer.Ordinal);
    }

    static Dictionary<string, string> NamesOf(UnitLife life, DriveUnit unit) => life.Of(new LoadSpectrum(unit)).ToDictionary(e => e.Id, e => e.Name, StringComparer.Ordinal);

    static RidersFigure Over(IReadOnlyList<MixedDamage> all, Func<MixedDamage, double> figure)
    {
        var sorted = all.Select(figure).Order().ToList();
        return new(sorted[(int)(0.1 * (sorted.Count - 1))], sorted[(int)(0.5 * (sorted.Count - 1))], sorted[(int)(0.9 * (sorted.Count - 1))]);
    }

    static IReadOnlyList<RiderLine> Worst(IReadOnlyList<MixedDamage> all, Dictionary<string, string> names) =>
    [
        .. all.Select(d => (Damage: d, First: d.PerKm.MaxBy(e => e.Value))).OrderByDescending(d => d.First.Value).Take(5).Select(d => new RiderLine(
            d.First.Value > 0 ? 1 / d.First.Value : null, names[d.First.Key], d.Damage.Rider.Rider.RiderMassKg, d.Damage.Rider.Rider.BikeMassKg, d.Damage.Rider.Rider.AssistanceFactor, d.Damage.Rider.AirC, d.Damage.Rider.Terrain, Path.GetFileName(d.Damage.Ride))),
    ];

    static void Print(IAnsiConsole console, Answer a)
    {
        var table = Tables.Of("element", ">km, worst tenth", ">half", ">best tenth", ">first for", ">heavier half does", ">strong assistance does", "terrain that does most");
        foreach (var e in a.Elements)
        {
            var most = e.TerrainShares.MaxBy(t => t.Value);
            table.Row(e.Name, LoadRides.Km(1000 * e.LifeKm10), LoadRides.Km(1000 * e.LifeKm50), LoadRides.Km(1000 * e.LifeKm90), P(e.FirstFor), P(e.HeavyShare), P(e.StrongAssistanceShare), $"{most.Key} {P(most.Value)}");
        }

        console.Write(table);
        console.WriteLine(Invariant($"{a.Riders} riders of mix {a.Mix}: {a.WhPerKm.Tenth:0.0}, {a.WhPerKm.Half:0.0}, {a.WhPerKm.NineTenths:0.0} Wh/km and {a.PeakWindingC.Tenth:0}, {a.PeakWindingC.Half:0}, {a.PeakWindingC.NineTenths:0} °C of winding for a tenth, half, nine tenths of them."));
        var worst = Tables.Of(">km", "goes first", ">rider kg", ">bike kg", ">assistance", ">air °C", "terrain", "ride");
        foreach (var r in a.WorstRiders) worst.Row(LoadRides.Km(1000 * r.LifeKm), r.First, Tables.Figure(r.RiderMassKg, 0), Tables.Figure(r.BikeMassKg, 0), Tables.Figure(r.AssistanceFactor, 1), Tables.Figure(r.AirC, 0), r.Terrain, r.Ride);
        console.Write(worst);
        foreach (var warning in a.Warnings) console.WriteLine(warning);
        console.WriteLine(a.Method);
    }

    static string P(double share) => share.ToString("P0", CultureInfo.InvariantCulture);
}
