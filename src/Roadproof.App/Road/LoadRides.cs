using System.CommandLine;
using System.Text.RegularExpressions;
using Roadproof.App.Definitions;
using Roadproof.App.Frame;
using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Formats;
using Roadproof.Engineering.Life;
using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Road;
using Spectre.Console;

namespace Roadproof.App.Road;

/// <summary>What recorded rides ask of rider and drive unit.</summary>
public static partial class LoadRides
{
    /// <summary>More rides than this are told together; each still stands in the JSON.</summary>
    const int RidesShown = 20;

    public sealed record Answer(
        IReadOnlyList<RideAnswer> Rides, IReadOnlyList<RefusedFile> Refused, double DistanceM, double MovingTimeS, double AscentM, double RiderEnergyJ, double MotorEnergyJ, double BatteryEnergyJ, double? WhPerKm, double PeakMotorTorqueNm, double PeakWindingC,
        double FullStarts, double CutOffs, IReadOnlyList<TemperatureSwing> WindingSwings, IReadOnlyList<TemperatureSwing> ControllerSwings, IReadOnlyList<RevolutionsAnswer> RevolutionsAtTorque, IReadOnlyList<CycleAnswer> Cycles, IReadOnlyList<DamageAnswer> Damage, LifeDistance? Life, string Method, IReadOnlyList<string> Warnings);

    /// <param name="FullStarts">From standing to nine tenths of the unit's torque within five seconds; this and what follows it are null without a road.</param>
    /// <param name="CutOffs">Times that the speed rose beyond the end of assistance while the rider pedalled.</param>
    /// <param name="WidestWindingSwingK">Middle of the class.</param>
    public sealed record RideAnswer(
        string File, bool HasRoad, double DistanceM, double? MovingTimeS, int? Stops, double? StoppedTimeS, double? AscentM, double AscentHysteresisM, double? MeanSpeedMps, double? RecordedDistanceM, double? RecordedOverPositions,
        double RiderEnergyJ, double MotorEnergyJ, double BatteryEnergyJ, double PeakMotorTorqueNm, double PeakWindingC, double? FullStarts, double? CutOffs, double? WidestWindingSwingK, double? WidestControllerSwingK, RangeOnRoad? Range, ModelAgainstMeter? ModelAgainstMeter, IReadOnlyList<string> Repaired, IReadOnlyList<string> Warnings);

    /// <summary>A file that is no ride, or a broken one, with everything that is wrong with it.</summary>
    public sealed record RefusedFile(string File, IReadOnlyList<InputError> Errors);

    /// <param name="TorqueNm">Middle of the class, motor torque at the unit's output, mean over its pushes.</param>
    /// <param name="Revolutions">Of the output.</param>
    public sealed record RevolutionsAnswer(double TorqueNm, double TimeS, double Revolutions);

    /// <summary>Of the torque on the output's shaft, every push; middles of the classes.</summary>
    public sealed record CycleAnswer(double RangeNm, double MeanNm, double Count);

    /// <param name="Slope">Of life over torque; null for what ages.</param>
    /// <param name="Miner">Damage of these rides: 1 when a tenth of such elements have failed.</param>
    /// <param name="LifeM">Distance of such rides until then; null where nothing is used up.</param>
    /// <param name="EquivalentN">P of a bearing over these rides; null of other elements.</param>
    public sealed record DamageAnswer(string Element, string Name, double? Slope, double Miner, Interval MinerInterval, double? LifeM, Interval? LifeIntervalM, double? EquivalentN, string Origin);

    public static Command Command()
    {
        Argument<string[]> files = new("ride") { Arity = ArgumentArity.OneOrMore, Description = "Ride files (FIT, GPX, TCX, CSV), or folders of them." };
        Option<string> product = FindProduct.Option();
        Option<double?> lifeKm = new("--life-km") { Description = "Distance of a life to carry the rides on to, km; without, the product's own." };
        Option<bool> range = new("--range") { Description = "Energy per kilometre and range of each ride with an interval of what is unsure of rider and wind; takes eleven times as long." };
        var riding = new RidingOptions();
        return CommandLine.Verb("load", "Distance, ascent, work of rider and motor, and torque of recorded rides; says what was repaired.",
            "road load ride.gpx --product af-85 --assist 1.5", [files, product, lifeKm, range, .. riding.All], (input, face, stop) =>
            {
                var plan = FindProduct.WithUnit(input.GetValue(CommandLine.DefinitionsOption)!, input.GetValue(product)!);
                if (input.GetValue(lifeKm) is { } km and not (> 0 and <= 1e7)) throw new InputException(new InputError("--life-km", 0, "", Invariant($"{km}"), "a distance above 0 and up to ten million km"));
                var (rider, options) = riding.Of(input);
                var named = RideFiles.In(input.GetValue(files)!);
                var a = face.Watch("rides", named.Count, done => Run(named, rider, plan.LoadTest!.Unit, plan.Life, input.GetValue(lifeKm), options, input.GetValue(range), done, stop));
                foreach (var error in a.Refused.SelectMany(r => r.Errors)) face.Note(error.ToString());
                return Task.FromResult(face.Say(a, console => Print(console, a)));
            });
    }

    /// <summary>Reads and loads rides on all cores; of each only its line is kept, so that thousands fit.</summary>
    /// <param name="done">Told after each file.</param>
    /// <exception cref="InputException">A rider who cannot be; or no file is a ride: every fault of every file, at once.</exception>
    public static Answer Run(IReadOnlyList<string> files, Rider rider, DriveUnit unit, LifePlan? life, double? lifeKm, UnitOnRoadOptions options, bool withRange, Action? done, CancellationToken stop)
    {
        var rides = new RideAnswer?[files.Count];
        var refused = new RefusedFile?[files.Count];
        var sums = new MergedRides(unit);
        EachRide.Run(files, rider, unit, options, (i, ridden) =>
        {
            var own = sums.SpectrumOf(ridden.Ride);
            if (ridden.Ride is { } ride) rides[i] = OfRide(ride, own, withRange && ride.Load.HasRoad ? RangeOf(files[i], rider, unit, options) : null);
            else refused[i] = new(files[i], ridden.Errors);
            sums.Take(i, ridden.Ride, own);
            done?.Invoke();
        }, stop);
        return Together([.. rides.OfType<RideAnswer>()], [.. refused.OfType<RefusedFile>()], sums, life is null ? null : new UnitLife(unit, life), lifeKm ?? life?.TargetKm);
    }

    static RangeOnRoad RangeOf(string file, Rider rider, DriveUnit unit, UnitOnRoadOptions options)
    {
        using var stream = RideFiles.Open(file);
        return RangeOnRoad.Of(RideFile.Read(file, stream), rider, unit, options);
    }

    static Answer Together(RideAnswer[] rides, RefusedFile[] refused, MergedRides sums, UnitLife? life, double? lifeKm)
    {
        if (rides.Length == 0) throw new InputException([.. refused.SelectMany(r => r.Errors)]);
        List<string> warnings = [];
        if (refused.Length > 0) warnings.Add(Invariant($"{refused.Length} of {rides.Length + refused.Length} files were refused and count for nothing here."));
        var roadless = rides.Count(r => !r.HasRoad);
        if (roadless > 0) warnings.Add(Invariant($"{roadless} of {rides.Length} rides have no road: their work counts, their way does not, and they are left out of cycles and damage."));
        if (life is null) warnings.Add("The product's definition has no figures for its life: no damage.");
        var spectrum = sums.Spectrum;
        IReadOnlyList<ElementLife> elements = life is null || spectrum.DistanceM == 0 ? [] : life.Of(spectrum);
        var atEnd = life is null || lifeKm is null || spectrum.DistanceM == 0 ? null : LifeDistance.Of(sums.Groups, life, lifeKm.Value);
        if (atEnd is not null && sums.Groups.Count < 2) warnings.Add("One ride: how far a life would change with other rides is not in its intervals.");
        if (elements.Count > 0) warnings.Add("A computed life is an estimate with the figures of its definition behind it, never a permission.");
        return new(rides, refused, rides.Sum(r => r.DistanceM), rides.Sum(r => r.MovingTimeS ?? 0), rides.Sum(r => r.AscentM ?? 0),
            rides.Sum(r => r.RiderEnergyJ), rides.Sum(r => r.MotorEnergyJ), rides.Sum(r => r.BatteryEnergyJ), spectrum.DistanceM > 0 ? spectrum.BatteryEnergyJ / 3.6 / spectrum.DistanceM : null,
            rides.Max(r => r.PeakMotorTorqueNm), rides.Max(r => r.PeakWindingC),
            spectrum.FullStarts, spectrum.CutOffs, TemperatureSwing.Of(spectrum.WindingSwings), TemperatureSwing.Of(spectrum.ControllerSwings), [.. sums.Classes.Select(c => new RevolutionsAnswer(c.TorqueNm, c.TimeS, c.Revolutions))], [.. spectrum.TotalRanges.Cycles().Select(c => new CycleAnswer(c.Range, c.Mean, c.Count))], [.. elements.Select(OfElement)], atEnd,
            Invariant($"Geodesic distance of the positions (WGS-84) without smoothing; ascent with {RideSummary.AscentHysteresisM:0.#} m hysteresis; power balance of Martin et al. 1998; the unit's losses, heat and battery second by second; rainflow of the shaft's torque with every push (ASTM E1049); linear damage. docs/methods/road.md, drive-on-the-road.md, life.md."), warnings);
    }

    static DamageAnswer OfElement(ElementLife e) => new(
        e.Id, e.Name, double.IsNaN(e.Slope) ? null : e.Slope, e.Damage, e.DamageInterval, e.Damage > 0 ? e.LifeM : null, e.Damage > 0 && e.DamageInterval.Lower > 0 ? e.LifeIntervalM : null, e.Bearing?.EquivalentN, e.Origin);

    static RideAnswer OfRide(UnitOnRoad r, LoadSpectrum? own, RangeOnRoad? range) => new(
        r.Load.Summary.File, r.Load.HasRoad, r.Load.Summary.DistanceM, r.Load.Summary.MovingTimeS, r.Load.Summary.Stops, r.Load.Summary.StoppedTimeS, r.Load.Summary.AscentM, RideSummary.AscentHysteresisM, r.Load.Summary.MeanSpeedMps, r.Load.Summary.RecordedDistanceM, r.Load.Summary.RecordedOverPositions,
        r.RiderEnergyJ, r.MotorEnergyJ, r.BatteryEnergyJ, r.PeakMotorTorqueNm, r.PeakWindingC, own?.FullStarts, own?.CutOffs, Widest(own?.WindingSwings), Widest(own?.ControllerSwings), range, r.Load.ModelAgainstMeter, r.Load.Summary.Repaired, [.. r.Load.Warnings, .. r.Warnings]);

    static double? Widest(RangeMeanMatrix? swings) => swings?.Cycles().Select(c => (double?)c.Range).FirstOrDefault();

    static void Print(IAnsiConsole console, Answer a)
    {
        var table = Tables.Of("ride", ">km", ">moving", ">ascent m", ">km/h", ">rider Wh", ">motor Wh", ">battery Wh", ">peak N·m", ">winding °C");
        foreach (var r in a.Rides.Take(RidesShown))
        {
            table.Row(Path.GetFileName(r.File), Tables.Figure(r.DistanceM / 1000), r.MovingTimeS is { } t ? Hours(t) : "",
                r.AscentM is { } m ? Tables.Figure(m, 0) : "", r.MeanSpeedMps is { } v ? Tables.Figure(v * 3.6, 1) : "", Tables.Figure(r.RiderEnergyJ / 3600, 1), Tables.Figure(r.MotorEnergyJ / 3600, 1), Tables.Figure(r.BatteryEnergyJ / 3600, 1), Tables.Figure(r.PeakMotorTorqueNm, 1), Tables.Figure(r.PeakWindingC, 0));
        }

        var more = a.Rides.Count - RidesShown;
        if (more > 0) table.Row(string.Create(CultureInfo.InvariantCulture, $"and {more} more"), "", "", "", "", "", "", "", "", "");
        if (a.Rides.Count > 1)
        {
            table.Row("together", Tables.Figure(a.DistanceM / 1000), Hours(a.MovingTimeS), Tables.Figure(a.AscentM, 0), a.MovingTimeS > 0 ? Tables.Figure(a.DistanceM / a.MovingTimeS * 3.6, 1) : "",
                Tables.Figure(a.RiderEnergyJ / 3600, 1), Tables.Figure(a.MotorEnergyJ / 3600, 1), Tables.Figure(a.BatteryEnergyJ / 3600, 1), Tables.Figure(a.PeakMotorTorqueNm, 1), Tables.Figure(a.PeakWindingC, 0));
        }

        console.Write(table);
        foreach (var r in a.Rides.Take(RidesShown).Where(r => r.Range is not null))
            console.WriteLine(Invariant($"{Path.GetFileName(r.File)}: {r.Range!.WhPerKm:0.0} Wh/km ({r.Range.WhPerKmInterval.Lower:0.0} to {r.Range.WhPerKmInterval.Upper:0.0}, 95 %){(r.Range is { RangeKm: { } km, RangeKmInterval: { } reach } ? Invariant($", {km:0} km on a battery ({reach.Lower:0} to {reach.Upper:0})") : "")}; most unsure: {r.Range.MostFrom}."));
        foreach (var note in more > 0 ? NotesOfMany(a.Rides) : NotesOfEach(a.Rides)) console.WriteLine(note);
        foreach (var warning in a.Warnings) console.WriteLine(warning);

        var most = a.RevolutionsAtTorque.Count == 0 ? 0 : a.RevolutionsAtTorque.Max(c => c.TimeS);
        PrintEvents(console, a);
        if (most <= 0) return;
        var bars = Tables.Of(">N·m", ">minutes", ">turns", "time at this motor torque at the chainring");
        foreach (var c in a.RevolutionsAtTorque)
            bars.Row(Tables.Figure(c.TorqueNm, 1), Tables.Figure(c.TimeS / 60, 1), Tables.Figure(c.Revolutions, 0), new string('▇', (int)Math.Round(40 * c.TimeS / most)));
        console.Write(bars);
        if (a.Damage.Count > 0)
        {
            var lives = Tables.Of("what these rides use up", ">slope", ">damage", ">km to a tenth failed", ">95 %", ">bearing's P, N", "figures from");
            foreach (var d in a.Damage)
                lives.Row(d.Name, d.Slope is { } k ? Tables.Figure(k, 1) : "", d.Miner.ToString("0.0e0", CultureInfo.InvariantCulture), Km(d.LifeM), d.LifeIntervalM is { } i ? $"{Km(i.Lower)} to {Km(i.Upper)}" : "", d.EquivalentN is { } n ? Tables.Figure(n, 0) : "", d.Origin);
            console.Write(lives);
            if (a.Life is { } life)
                console.WriteLine(Invariant($"Carried on to {life.Km:N0} km: {Largest(life)}most used up by then: {string.Join("; ", life.Elements.Take(3).Select(e => Invariant($"{e.Name} {e.Damage:0.00} ({e.Interval.Lower:0.00} to {e.Interval.Upper:0.00})")))}, where 1 means that a tenth has failed."));
        }

        console.WriteLine(a.Method);
    }

    /// <summary>What tires by times, not by turns: starts at full torque, cut-offs, and swings of temperature by their size.</summary>
    static void PrintEvents(IAnsiConsole console, Answer a)
    {
        if (a.Rides.All(r => r.FullStarts is null)) return;
        var events = Tables.Of("ride", ">starts at full torque", ">cut-offs", ">widest swing of winding K", ">of controller K");
        foreach (var r in a.Rides.Take(RidesShown))
            events.Row(Path.GetFileName(r.File), Whole(r.FullStarts), Whole(r.CutOffs), r.WidestWindingSwingK is { } w ? Tables.Figure(w, 1) : "", r.WidestControllerSwingK is { } c ? Tables.Figure(c, 1) : "");
        if (a.Rides.Count > 1) events.Row("together", Whole(a.FullStarts), Whole(a.CutOffs), "", "");
        if (a.Life is { } life) events.Row(Invariant($"carried on to {life.Km:N0} km"), Between(life.FullStarts, life.FullStartsInterval), Between(life.CutOffs, life.CutOffsInterval), "", "");
        console.Write(events);
        var swings = Tables.Of(">swings of at least K", ">winding", ">controller");
        foreach (var k in new[] { 2, 5, 10, 20, 40, 80 }.Where(k => Reaching(a.WindingSwings, k) + Reaching(a.ControllerSwings, k) > 0))
            swings.Row(Tables.Figure(k, 0), Tables.Figure(Reaching(a.WindingSwings, k), 1), Tables.Figure(Reaching(a.ControllerSwings, k), 1));
        console.Write(swings);

        static double Reaching(IReadOnlyList<TemperatureSwing> swings, double k) => swings.Where(s => s.RangeK >= k).Sum(s => s.Count);

        static string Whole(double? count) => count is { } n ? n.ToString("N0", CultureInfo.InvariantCulture) : "";

        static string Between(double count, Interval interval) => Invariant($"{count:N0} ({interval.Lower:N0} to {interval.Upper:N0})");
    }

    static string Largest(LifeDistance life) => (life.LargestRangeNm, life.LargestRangeIntervalNm) switch
    {
        (null, _) => "",
        ({ } nm, null) => Invariant($"the largest range of torque on the shaft expected once is {nm:0} N·m; "),
        ({ } nm, { } interval) => Invariant($"the largest range of torque on the shaft expected once is {nm:0} N·m ({interval.Lower:0} to {interval.Upper:0}, 95 %); "),
    };

    /// <summary>Hours go on beyond a day.</summary>
    static string Hours(double s) => (long)Math.Round(s) is var whole ? Invariant($"{whole / 3600}:{whole / 60 % 60:00}:{whole % 60:00}") : "";

    /// <summary>Three figures: more would not be known.</summary>
    internal static string Km(double? m) => m is not { } known || !double.IsFinite(known) ? "–" : (known / 1000) switch
    {
        >= 1e6 => (known / 1000).ToString("0.0e0", CultureInfo.InvariantCulture),
        var km => Math.Round(km, Math.Max(0, 2 - (int)Math.Floor(Math.Log10(Math.Max(km, 1e-3))))).ToString("N0", CultureInfo.InvariantCulture),
    };

    static IEnumerable<string> NotesOfEach(IReadOnlyList<RideAnswer> rides) =>
        rides.SelectMany(r => r.Repaired.Concat(r.Warnings).Select(note => $"{Path.GetFileName(r.File)}: {note}"));

    /// <summary>The same sentence in many rides is said once, with how many it is said of; figures that differ are told from least to most.</summary>
    static IEnumerable<string> NotesOfMany(IReadOnlyList<RideAnswer> rides) => rides
        .SelectMany(r => r.Repaired.Concat(r.Warnings)).GroupBy(WithoutFigures, StringComparer.Ordinal).OrderByDescending(alike => alike.Count())
        .Select(alike => string.Create(CultureInfo.InvariantCulture, $"in {alike.Count()} of {rides.Count} rides: {Together([.. alike])}"));

    static string WithoutFigures(string note) => Figures().Replace(note, "N");

    static string Together(IReadOnlyList<string> alike)
    {
        var figures = alike.Select(note => Figures().Matches(note).Select(m => m.Value).ToList()).ToList();
        var place = 0;
        return Figures().Replace(alike[0], _ =>
        {
            var told = figures.Select(f => f[place]).Distinct(StringComparer.Ordinal).OrderBy(f => double.Parse(f, NumberStyles.AllowDecimalPoint | NumberStyles.AllowThousands, CultureInfo.InvariantCulture)).ToList();
            place++;
            return told.Count == 1 ? told[0] : $"{told[0]} to {told[^1]}";
        });
    }

    [GeneratedRegex(@"\d+(?:,\d{3})*(?:\.\d+)?", RegexOptions.CultureInvariant, matchTimeoutMilliseconds: 1000)]
    private static partial Regex Figures();
}
