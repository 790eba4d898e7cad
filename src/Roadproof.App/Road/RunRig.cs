using System.CommandLine;
using Roadproof.App.Definitions;
using Roadproof.App.Frame;
using Roadproof.Engineering.CycleDesign;
using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Life;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Definitions;
using Spectre.Console;

namespace Roadproof.App.Road;

/// <summary>How long a durability rig must run, and how many units, for the riders of a mix; and whom a programme of so many hours covers.</summary>
public static class RunRig
{
    /// <param name="Value">Null where the cycle leaves the element untouched.</param>
    public sealed record HoursAnswer(double? Value, double? Lower, double? Upper, double Confidence);

    public sealed record CoveredAnswer(double Value, double Lower, double Upper, double Confidence);

    /// <param name="HoursNeeded">Null where a rig cannot imitate the road; so are the figures behind it.</param>
    /// <param name="LivesByThen">Lives of the share's rider that it has been through when the last element has one.</param>
    public sealed record ElementAnswer(string Element, string Name, double? Slope, HoursAnswer? HoursNeeded, CoveredAnswer? Covered, double? TorqueRatio, double? LivesByThen, string? NotReproduced);

    /// <param name="Lives">Length of each unit's run.</param>
    /// <param name="Hours">On the rig, of one unit.</param>
    public sealed record UnitsAnswer(double Lives, int Units, double Hours);

    public sealed record MoreAnswer(double TorqueNm, double SpeedRadPerS, double OnS, double OffS, double Hours);

    /// <param name="RidersPeakWindingC">The share of the riders stay below it.</param>
    /// <param name="HoursForAll">Until every element that a rig can imitate has gone through the share's rider's distance.</param>
    /// <param name="More">What would have to be added to the hours of the programme at the largest torque; null where nothing is lacking or no hours were told.</param>
    public sealed record Answer(
        string Mix, int Riders, double TargetKm, double Share, double? Hours, string Cycle, IReadOnlyList<CyclePoint> Points, double DurationS, double PeakWindingC, double RidersPeakWindingC, HoursAnswer HoursForAll, string? Slowest,
        IReadOnlyList<ElementAnswer> Elements, MoreAnswer? More, double Reliability, double Confidence, double Shape, IReadOnlyList<UnitsAnswer> Units, IReadOnlyList<LoadRides.RefusedFile> Refused, string Method, IReadOnlyList<string> Warnings);

    /// <summary>What is asked.</summary>
    /// <param name="Cycle">Repeated by the rig; null for the unit's largest torque, on and off.</param>
    /// <param name="TargetKm">Null for the product's own.</param>
    /// <param name="Shape">Weibull shape of the life, taken as known.</param>
    public sealed record Asked(
        DesignCycle.NamedCycle? Cycle = null, double? TorqueNm = null, double? SpeedRpm = null, double? Hours = null, double? TargetKm = null, double Share = 0.9, double Reliability = 0.9, double Confidence = 0.9, double Shape = 2, int Riders = 200, ulong Seed = 1);

    public const string Method =
        "Riders of the mix over their rides, the rig's cycle as it goes on for hours, damage against damage for each element (strength cancels, slopes do not); zero failures: n = ln(1 - C)/(L^b ln R); docs/methods/cycle-design.md.";

    public static Command Command()
    {
        Argument<string[]> files = new("ride") { Arity = ArgumentArity.OneOrMore, Description = "Ride files (FIT, GPX, TCX, CSV), or folders of them." };
        Option<string> product = FindProduct.Option();
        Option<string> mix = new("--mix") { Required = true, Description = "A rider mix (YAML)." };
        Option<string?> cycle = new("--cycle") { Description = "What the rig repeats: CSV with torque_nm, speed_rpm, hold_s (and times), or an answer of road cycle in JSON. Without, one torque, on and off." };
        Option<double?> torque = new("--torque-nm") { Description = "One torque, on for as long as the winding bears it; without, the unit's largest." };
        Option<double?> speed = new("--speed-rpm") { Description = "At this speed of the output; without, the rated one, or the highest at which the unit gives the torque." };
        Option<double?> hours = new("--hours") { Description = "Hours that the programme runs: tells whom they cover and what is lacking." };
        Option<double?> target = new("--target-km") { Description = "Distance that each rider rides; without, the product's own." };
        Option<double> share = new("--share") { DefaultValueFactory = _ => 0.9, Description = "Share of the riders to be covered." };
        Option<double> reliability = new("--reliability") { DefaultValueFactory = _ => 0.9, Description = "Share of the units that must last." };
        Option<double> confidence = new("--confidence") { DefaultValueFactory = _ => 0.9, Description = "Confidence of that claim." };
        Option<double> shape = new("--shape") { DefaultValueFactory = _ => 2, Description = "Weibull shape of the life, taken as known: 1 for chance, 2 and more for wear." };
        Option<int> riders = new("--riders") { DefaultValueFactory = _ => 200, Description = "How many riders to draw." };
        Option<int> seed = new("--seed") { DefaultValueFactory = _ => 1, Description = "The same seed draws the same riders." };
        Option<double?> winding = new("--winding-limit-c") { Description = "The winding's highest temperature, °C; without, 10 K below the start of derating." };
        Option<double> fan = new("--air-mps") { DefaultValueFactory = _ => new RigLimits().AirMps, Description = "Air over the unit on the rig, m/s." };
        Option<double> room = new("--room-c") { DefaultValueFactory = _ => new RigLimits().AmbientC, Description = "Room of the rig, °C." };
        return CommandLine.Verb("rig", "How long a durability rig must run and how many units, for the riders of a mix; whom a programme of so many hours covers.",
            "road rig rides/ --product af-85 --mix mountain.yaml --hours 300", [files, product, mix, cycle, torque, speed, hours, target, share, reliability, confidence, shape, riders, seed, winding, fan, room], (input, face, stop) =>
            {
                var definition = FindProduct.WithUnit(input.GetValue(CommandLine.DefinitionsOption)!, input.GetValue(product)!);
                if (input.GetValue(seed) < 0) throw new InputException(new InputError("--seed", 0, "", Invariant($"{input.GetValue(seed)}"), "a whole number of 0 or more"));
                var asked = new Asked(
                    input.GetValue(cycle) is { } file ? CycleInput.File(file, definition.LoadTest!.Unit) : null, input.GetValue(torque), input.GetValue(speed), input.GetValue(hours), input.GetValue(target), input.GetValue(share),
                    input.GetValue(reliability), input.GetValue(confidence), input.GetValue(shape), input.GetValue(riders), (ulong)input.GetValue(seed));
                var limits = new RigLimits { WindingC = input.GetValue(winding), AirMps = input.GetValue(fan), AmbientC = input.GetValue(room) };
                var named = RideFiles.In(input.GetValue(files)!);
                var drawn = MixRiders.ReadMix(input.GetValue(mix)!);
                Require(asked);
                var a = face.Watch("rides", 2 * named.Count, done => Run(definition, MixedRides.OfFiles(drawn, named, done, stop), limits, asked, done, stop));
                foreach (var error in a.Refused.SelectMany(r => r.Errors)) face.Note(error.ToString());
                return Task.FromResult(face.Say(a, console => Print(console, a)));
            });
    }

    /// <exception cref="InputException">Figures that cannot be, a product without life, no ride of the mix's terrains.</exception>
    internal static Answer Run(ProductDefinition product, MixedRides rides, RigLimits limits, Asked asked, Action? done, CancellationToken stop)
    {
        Require(asked);
        var unit = product.LoadTest!.Unit;
        var life = DesignCycle.LifeOf(product);
        var targetKm = asked.TargetKm ?? life.TargetKm ?? throw new InputException(new InputError("--target-km", 0, "", Invariant($"'{product.Id}' without a target for its life"), "a distance that each rider rides, km"));
        var rig = new RigHours(unit, life, limits);
        var (torqueNm, radPerS) = (asked.TorqueNm ?? unit.Rating.MaximumTorqueNm, SpeedOf(unit, asked));
        var steady = rig.OnAndOff(torqueNm, radPerS);
        var cycle = asked.Cycle ?? (steady is not null ? new("one torque, on and off", steady)
            : throw new InputException(new InputError("--torque-nm", 0, "", Invariant($"{torqueNm:0.#} N·m, which passes the winding's limit within a second"), "a torque that the winding bears, or a higher limit")));
        List<string> warnings = [];
        var road = new LoadSpectrum(unit);
        var ridden = rides.Ridden(unit, asked.Riders, asked.Seed, warnings, (rider, _, ride) =>
        {
            var spectrum = new LoadSpectrum(unit);
            spectrum.Add(ride);
            lock (road) road.Add(spectrum);
            return (Wear: rig.WearOf(rider.Number, spectrum), ride.PeakWindingC);
        }, done, stop);
        IReadOnlyList<RiderWear> wears = [.. ridden.Select(r => r.Wear)];
        var elements = rig.Of(wears, targetKm, asked.Share, cycle.Points, asked.Hours, road);
        var imitated = elements.Where(e => e.WhyNot is null).ToList();
        if (imitated.Count == 0) throw new InputException(new InputError(rides.Mix.Name, 0, "rides", "nothing that these riders use up and a rig can imitate", "rides on which the motor pulls"));
        var slowest = imitated[0];
        Warn(warnings, imitated, asked.Share);
        return new(
            rides.Mix.Name, wears.Count, targetKm, asked.Share, asked.Hours, cycle.Name, cycle.Points, cycle.Points.Sum(p => p.HoldS), rig.PeakWindingC(cycle.Points), ridden.Select(r => r.PeakWindingC).Order().ElementAt((int)(asked.Share * (ridden.Count - 1))), Of(slowest.HoursNeeded, slowest.HoursInterval), double.IsFinite(slowest.HoursNeeded) ? slowest.Name : null,
            [.. elements.Select(e => Of(e, slowest.HoursNeeded))], asked.Hours is { } hours ? MoreOf(rig, wears, targetKm, asked, steady, road, imitated, hours) : null, asked.Reliability, asked.Confidence, asked.Shape,
            UnitsOf(asked, slowest.HoursNeeded), rides.Refused, Method, warnings);
    }

    /// <summary>The rated speed, or the highest at which the unit gives the torque.</summary>
    static double SpeedOf(DriveUnit unit, Asked asked)
    {
        var torqueNm = asked.TorqueNm ?? unit.Rating.MaximumTorqueNm;
        if (!(torqueNm > 0 && torqueNm <= unit.Rating.MaximumTorqueNm)) throw new InputException(new InputError("--torque-nm", 0, "", Invariant($"{torqueNm}"), Invariant($"a torque above 0 and up to the unit's {unit.Rating.MaximumTorqueNm:0.#} N·m")));
        var rpm = asked.SpeedRpm ?? Math.Min(unit.Rating.RatedOutputRpm, unit.Rating.MaximumOutputW / torqueNm / ReferenceConditions.RadPerSPerRpm);
        return CycleFile.Reaches(unit, torqueNm, rpm) ? rpm * ReferenceConditions.RadPerSPerRpm
            : throw new InputException(new InputError("--speed-rpm", 0, "", Invariant($"{rpm:0.#} turns per minute at {torqueNm:0.#} N·m"), "a point that the unit reaches"));
    }

    static void Warn(List<string> warnings, IReadOnlyList<ElementHours> imitated, double share)
    {
        var finite = imitated.Where(e => e.HoursNeeded > 0 && double.IsFinite(e.HoursNeeded)).ToList();
        if (finite.Count > 1 && finite[0].HoursNeeded > 3 * finite[^1].HoursNeeded)
            warnings.Add(Invariant($"When {finite[0].Name} has its distance, {finite[^1].Name} has been through {finite[0].HoursNeeded / finite[^1].HoursNeeded:0} lives: it breaks before, and a failure on the rig need not be the road's. A cycle out of the rides (road cycle --durability) brings them together."));
        foreach (var e in imitated.Where(e => double.IsInfinity(e.HoursNeeded))) warnings.Add($"The cycle does nothing to what the road uses up: {e.Name}.");
        warnings.Add(Invariant($"{100 * share:0} % of the riders are {100 * share:0} % of the mix's draws over these rides; how well they stand for the buyers is not in the intervals, nor are heat and age that change how a part fails. An estimate, never a release."));
    }

    /// <summary>Hours at one torque that fill what the programme leaves open, for the element that needs most of them.</summary>
    static MoreAnswer? MoreOf(RigHours rig, IReadOnlyList<RiderWear> wears, double targetKm, Asked asked, IReadOnlyList<CyclePoint>? steady, LoadSpectrum road, IReadOnlyList<ElementHours> imitated, double hours)
    {
        var lacking = imitated.Where(e => e.HoursNeeded > hours).ToDictionary(e => e.Id, e => double.IsFinite(e.HoursNeeded) ? 1 - hours / e.HoursNeeded : 1, StringComparer.Ordinal);
        if (lacking.Count == 0 || steady is null) return null;
        var more = rig.Of(wears, targetKm, asked.Share, steady, null, road).Where(e => lacking.ContainsKey(e.Id)).Max(e => e.HoursNeeded * lacking[e.Id]);
        return double.IsFinite(more) ? new(steady[0].TorqueNm, steady[0].SpeedRadPerS, steady[0].HoldS, steady.Count > 1 ? steady[1].HoldS : 0, more) : null;
    }

    static IReadOnlyList<UnitsAnswer> UnitsOf(Asked asked, double hoursOfALife)
    {
        if (!double.IsFinite(hoursOfALife)) return [];
        var one = ZeroFailurePlan.Units(asked.Reliability, asked.Confidence, asked.Shape, 1);
        return [.. new[] { one, 12, 6, 3, 2, 1 }.Where(n => n <= one).Distinct().Select(n => (Units: n, Lives: ZeroFailurePlan.Lives(asked.Reliability, asked.Confidence, asked.Shape, n))).Select(p => new UnitsAnswer(p.Units == one ? 1 : p.Lives, p.Units, (p.Units == one ? 1 : p.Lives) * hoursOfALife))];
    }

    static ElementAnswer Of(ElementHours e, double slowestHours) => new(
        e.Id, e.Name, Told(e.Slope), e.WhyNot is null ? Of(e.HoursNeeded, e.HoursInterval) : null, e is { WhyNot: null, Covered: { } covered, CoveredInterval: { } interval } ? new(covered, interval.Lower, interval.Upper, interval.Confidence) : null,
        e is { WhyNot: null, TorqueRatio: { } ratio } ? Told(ratio) : null, e.WhyNot is null && e.HoursNeeded > 0 ? Told(slowestHours / e.HoursNeeded) : null, e.WhyNot);

    static HoursAnswer Of(double hours, Interval interval) => new(Told(hours), Told(interval.Lower), Told(interval.Upper), interval.Confidence);

    static double? Told(double value) => double.IsFinite(value) ? value : null;

    /// <param name="inPercent">Whoever is told typed shares in percent.</param>
    /// <exception cref="InputException">Figures that cannot be, all at once.</exception>
    public static void Require(Asked asked, bool inPercent = false)
    {
        List<InputError> errors = [];
        Check("--riders", asked.Riders, asked.Riders is >= 10 and <= 100_000, "a number from 10 to 100000");
        CheckShare("--share", asked.Share);
        CheckShare("--reliability", asked.Reliability);
        CheckShare("--confidence", asked.Confidence);
        Check("--shape", asked.Shape, asked.Shape is >= 0.5 and <= 10, "a Weibull shape from 0.5 to 10");
        Check("--hours", asked.Hours ?? 1, (asked.Hours ?? 1) is > 0 and <= 1e6, "hours above 0");
        Check("--target-km", asked.TargetKm ?? 1, (asked.TargetKm ?? 1) is > 0 and <= 1e7, "a distance above 0 and up to 10 million km");
        if (asked.Cycle is not null && (asked.TorqueNm ?? asked.SpeedRpm) is not null) errors.Add(new("--torque-nm", 0, "", "a torque or a speed beside a cycle", "one of the two"));
        if (errors.Count > 0) throw new InputException(errors);

        void CheckShare(string option, double share)
        {
            if (share is > 0 and < 1) return;
            errors.Add(inPercent ? new(option, 0, "", Invariant($"{100 * share:0.###} %"), "above 0 and below 100 %, such as 90") : new(option, 0, "", Invariant($"{share}"), "a share above 0 and below 1, such as 0.9"));
        }

        void Check(string option, double value, bool possible, string expected)
        {
            if (!possible) errors.Add(new(option, 0, "", Invariant($"{value}"), expected));
        }
    }

    static void Print(IAnsiConsole console, Answer a)
    {
        foreach (var run in CycleFile.Runs(a.Points).Take(12))
            console.WriteLine(Invariant($"{(run.Point.TorqueNm > 0 ? Invariant($"{run.Point.TorqueNm:0.#} N·m at {run.Point.SpeedRadPerS / ReferenceConditions.RadPerSPerRpm:0} rpm") : "rest")} for {run.Point.HoldS:0} s{(run.Times > 1 ? Invariant($", {run.Times} times") : "")}"));
        console.WriteLine(Invariant($"again and again; winding up to {a.PeakWindingC:0} °C. {a.Riders} riders of mix {a.Mix}, {a.TargetKm:0} km each; {100 * a.Share:0} % are to be covered: they stay below {a.RidersPeakWindingC:0} °C."));
        var table = Tables.Of(["element", ">slope", ">hours needed", ">from", ">to (95 %)", ">lives by then", .. a.Hours is null ? Array.Empty<string>() : [">riders covered", ">from", ">to (95 %)", ">their torque over the rig's"], "not reproduced because"]);
        foreach (var e in a.Elements)
        {
            var c = e.Covered;
            table.Row([e.Name, F(e.Slope, 1), F(e.HoursNeeded?.Value, 1), F(e.HoursNeeded?.Lower, 1), F(e.HoursNeeded?.Upper, 1), F(e.LivesByThen, 1), .. a.Hours is null ? Array.Empty<string>() : [P(c?.Value), P(c?.Lower), P(c?.Upper), F(e.TorqueRatio, 2)], e.NotReproduced ?? ""]);
        }

        console.Write(table);
        if (a is { HoursForAll: { Value: { } all } h, Slowest: { } slowest })
            console.WriteLine(Invariant($"{all:0} h ({F(h.Lower, 0)} to {F(h.Upper, 0)}, 95 %) on the rig for one life of them all: {slowest} needs longest."));
        if (a.More is { } m) console.WriteLine(Invariant($"{a.Hours:0} h leave something open: add {m.Hours:0.#} h of {m.TorqueNm:0.#} N·m at {m.SpeedRadPerS / ReferenceConditions.RadPerSPerRpm:0} rpm, {m.OnS:0} s on and {m.OffS:0} s off."));
        else if (a.Hours is { } hours) console.WriteLine(a.HoursForAll.Value <= hours ? Invariant($"{hours:0} h are enough for every element that a rig can imitate.") : Invariant($"{hours:0} h leave something open that one torque cannot fill."));
        var units = Tables.Of(">units", ">lives each", ">hours each");
        foreach (var u in a.Units) units.Row(Invariant($"{u.Units}"), Tables.Figure(u.Lives, 2), Tables.Figure(u.Hours, 0));
        if (a.Units.Count > 0)
        {
            console.WriteLine(Invariant($"Without a failure, {100 * a.Reliability:0} % last with {100 * a.Confidence:0} % confidence (Weibull shape {a.Shape:0.##}, taken as known):"));
            console.Write(units);
        }

        foreach (var warning in a.Warnings) console.WriteLine(warning);
        console.WriteLine(a.Method);

        static string F(double? value, int digits) => value is { } v ? Tables.Figure(v, digits) : "–";
        static string P(double? value) => value is { } v ? v.ToString("P0", CultureInfo.InvariantCulture) : "";
    }
}
