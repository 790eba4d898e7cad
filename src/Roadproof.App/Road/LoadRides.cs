using System.Collections.Concurrent;
using System.CommandLine;
using System.Text.RegularExpressions;
using Roadproof.App.Definitions;
using Roadproof.App.Frame;
using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Formats;
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
        IReadOnlyList<RideAnswer> Rides, IReadOnlyList<RefusedFile> Refused, double DistanceM, double MovingTimeS, double AscentM, double RiderEnergyJ, double MotorEnergyJ, double PeakMotorTorqueNm,
        IReadOnlyList<RevolutionsAnswer> RevolutionsAtTorque, string Method, IReadOnlyList<string> Warnings);

    public sealed record RideAnswer(
        string File, bool HasRoad, double DistanceM, double? MovingTimeS, int? Stops, double? StoppedTimeS, double? AscentM, double AscentHysteresisM, double? MeanSpeedMps, double? RecordedDistanceM, double? RecordedOverPositions,
        double RiderEnergyJ, double MotorEnergyJ, double PeakMotorTorqueNm, ModelAgainstMeter? ModelAgainstMeter, IReadOnlyList<string> Repaired, IReadOnlyList<string> Warnings);

    /// <summary>A file that is no ride, or a broken one, with everything that is wrong with it.</summary>
    public sealed record RefusedFile(string File, IReadOnlyList<InputError> Errors);

    /// <param name="TorqueNm">Middle of the class, motor torque at the chainring.</param>
    /// <param name="Revolutions">Of the chainring.</param>
    public sealed record RevolutionsAnswer(double TorqueNm, double TimeS, double Revolutions);

    public static Command Command()
    {
        Argument<string[]> files = new("ride") { Arity = ArgumentArity.OneOrMore, Description = "Ride files (FIT, GPX, TCX, CSV), or folders of them." };
        Option<string> product = FindProduct.Option();
        Option<double> riderMass = new("--rider-mass-kg") { DefaultValueFactory = _ => Rider.Default.RiderMassKg, Description = "Rider, kg." };
        Option<double> bikeMass = new("--bike-mass-kg") { DefaultValueFactory = _ => Rider.Default.BikeMassKg, Description = "Bike and luggage, kg." };
        Option<double> cda = new("--cda-m2") { DefaultValueFactory = _ => Rider.Default.CdaM2, Description = "Drag area, m²." };
        Option<double> rolling = new("--crr") { DefaultValueFactory = _ => Rider.Default.RollingCoefficient, Description = "Rolling resistance coefficient." };
        Option<double> cadence = new("--cadence-rad-s") { DefaultValueFactory = _ => Rider.Default.PreferredCadenceRadPerS, Description = "Preferred cadence, rad/s." };
        Option<double> assist = new("--assist") { DefaultValueFactory = _ => Rider.Default.AssistanceFactor, Description = "Assistance factor: motor power over rider power." };
        return CommandLine.Verb("load", "Distance, ascent, work of rider and motor, and torque of recorded rides; says what was repaired.",
            "road load ride.gpx --product af-85 --assist 1.5", [files, product, riderMass, bikeMass, cda, rolling, cadence, assist], (input, face, stop) =>
            {
                var unit = FindProduct.LoadTest(input.GetValue(CommandLine.DefinitionsOption)!, input.GetValue(product)!).Unit;
                var rider = new Rider
                {
                    RiderMassKg = input.GetValue(riderMass),
                    BikeMassKg = input.GetValue(bikeMass),
                    CdaM2 = input.GetValue(cda),
                    RollingCoefficient = input.GetValue(rolling),
                    PreferredCadenceRadPerS = input.GetValue(cadence),
                    AssistanceFactor = input.GetValue(assist),
                };
                var named = RideFiles.In(input.GetValue(files)!);
                var a = face.Watch("rides", named.Count, done => Run(named, rider, unit, done, stop));
                foreach (var error in a.Refused.SelectMany(r => r.Errors)) face.Note(error.ToString());
                return Task.FromResult(face.Say(a, console => Print(console, a)));
            });
    }

    /// <summary>Reads and loads rides on all cores; of each only its line is kept, so that thousands fit.</summary>
    /// <param name="done">Told after each file.</param>
    /// <exception cref="InputException">A rider who cannot be; or no file is a ride: every fault of every file, at once.</exception>
    public static Answer Run(IReadOnlyList<string> files, Rider rider, DriveUnit unit, Action? done, CancellationToken stop)
    {
        rider.RequirePossible();
        var rides = new RideAnswer?[files.Count];
        var refused = new RefusedFile?[files.Count];
        var spectrum = new MergedSpectrum();
        var one = Partitioner.Create(Enumerable.Range(0, files.Count), EnumerablePartitionerOptions.NoBuffering);
        Parallel.ForEach(one, new ParallelOptions { MaxDegreeOfParallelism = Environment.ProcessorCount, CancellationToken = stop }, i =>
        {
            IReadOnlyList<TorqueClass> classes = [];
            try
            {
                using var stream = RideFiles.Open(files[i]);
                var load = RoadLoad.Run(RideFile.Read(files[i], stream), rider, unit);
                (rides[i], classes) = (OfRide(load), load.Spectrum);
            }
            catch (InputException e)
            {
                refused[i] = new(files[i], e.Errors);
            }

            spectrum.Take(i, classes);
            done?.Invoke();
        });
        return Together([.. rides.OfType<RideAnswer>()], [.. refused.OfType<RefusedFile>()], spectrum.Classes);
    }

    static Answer Together(RideAnswer[] rides, RefusedFile[] refused, IReadOnlyList<TorqueClass> spectrum)
    {
        if (rides.Length == 0) throw new InputException([.. refused.SelectMany(r => r.Errors)]);
        List<string> warnings = [];
        if (refused.Length > 0) warnings.Add(string.Create(CultureInfo.InvariantCulture, $"{refused.Length} of {rides.Length + refused.Length} files were refused and count for nothing here."));
        var roadless = rides.Count(r => !r.HasRoad);
        if (roadless > 0) warnings.Add(string.Create(CultureInfo.InvariantCulture, $"{roadless} of {rides.Length} rides have no road: their work counts, their way does not."));
        return new(rides, refused, rides.Sum(r => r.DistanceM), rides.Sum(r => r.MovingTimeS ?? 0), rides.Sum(r => r.AscentM ?? 0), rides.Sum(r => r.RiderEnergyJ), rides.Sum(r => r.MotorEnergyJ), rides.Max(r => r.PeakMotorTorqueNm),
            [.. spectrum.Select(c => new RevolutionsAnswer(c.TorqueNm, c.TimeS, c.Revolutions))],
            string.Create(CultureInfo.InvariantCulture, $"Geodesic distance of the positions (WGS-84) without smoothing; ascent with {RideSummary.AscentHysteresisM:0.#} m hysteresis; power balance of Martin et al. 1998; docs/methods/road.md."), warnings);
    }

    /// <summary>Adds spectra up in the order of the files, whichever core is done first: the same files give the same digits.</summary>
    sealed class MergedSpectrum
    {
        readonly Dictionary<int, IReadOnlyList<TorqueClass>> waiting = [];
        readonly Lock one = new();
        int next;

        public IReadOnlyList<TorqueClass> Classes { get; private set; } = [];

        public void Take(int place, IReadOnlyList<TorqueClass> classes)
        {
            lock (one)
            {
                waiting.Add(place, classes);
                while (waiting.Remove(next, out var due))
                {
                    Classes = TorqueSpectrum.Together([Classes, due]);
                    next++;
                }
            }
        }
    }

    static RideAnswer OfRide(RoadLoad l) => new(
        l.Summary.File, l.HasRoad, l.Summary.DistanceM, l.Summary.MovingTimeS, l.Summary.Stops, l.Summary.StoppedTimeS, l.Summary.AscentM, RideSummary.AscentHysteresisM, l.Summary.MeanSpeedMps, l.Summary.RecordedDistanceM, l.Summary.RecordedOverPositions,
        l.RiderEnergyJ, l.MotorEnergyJ, l.PeakMotorTorqueNm, l.ModelAgainstMeter, l.Summary.Repaired, l.Warnings);

    static void Print(IAnsiConsole console, Answer a)
    {
        var table = Tables.Of("ride", ">km", ">moving", ">ascent m", ">km/h", ">rider Wh", ">motor Wh", ">peak N·m");
        foreach (var r in a.Rides.Take(RidesShown))
        {
            table.Row(Path.GetFileName(r.File), Tables.Figure(r.DistanceM / 1000), r.MovingTimeS is { } t ? TimeSpan.FromSeconds(Math.Round(t)).ToString("g", CultureInfo.InvariantCulture) : "",
                r.AscentM is { } m ? Tables.Figure(m, 0) : "", r.MeanSpeedMps is { } v ? Tables.Figure(v * 3.6, 1) : "", Tables.Figure(r.RiderEnergyJ / 3600, 1), Tables.Figure(r.MotorEnergyJ / 3600, 1), Tables.Figure(r.PeakMotorTorqueNm, 1));
        }

        var more = a.Rides.Count - RidesShown;
        if (more > 0) table.Row(string.Create(CultureInfo.InvariantCulture, $"and {more} more"), "", "", "", "", "", "", "");
        if (a.Rides.Count > 1)
        {
            table.Row("together", Tables.Figure(a.DistanceM / 1000), TimeSpan.FromSeconds(Math.Round(a.MovingTimeS)).ToString("g", CultureInfo.InvariantCulture), Tables.Figure(a.AscentM, 0), a.MovingTimeS > 0 ? Tables.Figure(a.DistanceM / a.MovingTimeS * 3.6, 1) : "",
                Tables.Figure(a.RiderEnergyJ / 3600, 1), Tables.Figure(a.MotorEnergyJ / 3600, 1), Tables.Figure(a.PeakMotorTorqueNm, 1));
        }

        console.Write(table);
        foreach (var note in more > 0 ? NotesOfMany(a.Rides) : NotesOfEach(a.Rides)) console.WriteLine(note);
        foreach (var warning in a.Warnings) console.WriteLine(warning);

        var most = a.RevolutionsAtTorque.Count == 0 ? 0 : a.RevolutionsAtTorque.Max(c => c.TimeS);
        if (most <= 0) return;
        var bars = Tables.Of(">N·m", ">minutes", ">turns", "time at this motor torque at the chainring");
        foreach (var c in a.RevolutionsAtTorque)
            bars.Row(Tables.Figure(c.TorqueNm, 1), Tables.Figure(c.TimeS / 60, 1), Tables.Figure(c.Revolutions, 0), new string('▇', (int)Math.Round(40 * c.TimeS / most)));
        console.Write(bars);
        console.WriteLine(a.Method);
    }

    static IEnumerable<string> NotesOfEach(IReadOnlyList<RideAnswer> rides) =>
        rides.SelectMany(r => r.Repaired.Concat(r.Warnings).Select(note => $"{Path.GetFileName(r.File)}: {note}"));

    /// <summary>The same sentence in many rides is said once, with how many it is said of; their figures differ.</summary>
    static IEnumerable<string> NotesOfMany(IReadOnlyList<RideAnswer> rides) => rides
        .SelectMany(r => r.Repaired.Concat(r.Warnings)).GroupBy(WithoutFigures, StringComparer.Ordinal).OrderByDescending(alike => alike.Count())
        .Select(alike => string.Create(CultureInfo.InvariantCulture, $"in {alike.Count()} of {rides.Count} rides: {(alike.Count() == 1 ? alike.First() : alike.Key)}"));

    static string WithoutFigures(string note) => Figures().Replace(note, "N");

    [GeneratedRegex(@"\d+(?:[.,]\d+)*", RegexOptions.CultureInvariant, matchTimeoutMilliseconds: 1000)]
    private static partial Regex Figures();
}
