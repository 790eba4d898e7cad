using System.CommandLine;
using Roadproof.App.Definitions;
using Roadproof.App.Frame;
using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Formats;
using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Road;
using Spectre.Console;

namespace Roadproof.App.Road;

/// <summary>What recorded rides ask of rider and drive unit.</summary>
public static class LoadRides
{
    public sealed record Answer(
        IReadOnlyList<RideAnswer> Rides, double RiderEnergyJ, double MotorEnergyJ, double PeakMotorTorqueNm,
        IReadOnlyList<RevolutionsAnswer> RevolutionsAtTorque, string Method, IReadOnlyList<string> Warnings);

    public sealed record RideAnswer(
        string File, double DistanceM, double? MovingTimeS, double? AscentM, double AscentHysteresisM, double? MeanSpeedMps, double? RecordedDistanceM,
        double RiderEnergyJ, double MotorEnergyJ, double PeakMotorTorqueNm, ModelAgainstMeter? ModelAgainstMeter, IReadOnlyList<string> Repaired, IReadOnlyList<string> Warnings);

    /// <param name="TorqueNm">Middle of the class, motor torque at the chainring.</param>
    /// <param name="Revolutions">Of the chainring.</param>
    public sealed record RevolutionsAnswer(double TorqueNm, double TimeS, double Revolutions);

    public static Command Command()
    {
        Argument<string[]> files = new("ride") { Arity = ArgumentArity.OneOrMore, Description = "Ride files (FIT, GPX, TCX, CSV)." };
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
                var a = Run(input.GetValue(files)!, rider, unit, stop);
                return Task.FromResult(face.Say(a, console => Print(console, a)));
            });
    }

    /// <exception cref="InputException">Every fault of every file, at once.</exception>
    public static Answer Run(IReadOnlyList<string> files, Rider rider, DriveUnit unit, CancellationToken stop)
    {
        var errors = new List<InputError>();
        var loads = new List<RoadLoad>();
        foreach (var file in files)
        {
            stop.ThrowIfCancellationRequested();
            try
            {
                if (!File.Exists(file)) throw new InputException(new InputError(file, 0, "", "no such file", "a ride file (GPX or CSV)"));
                using var stream = File.OpenRead(file);
                loads.Add(RoadLoad.Run(RideFile.Read(file, stream), rider, unit));
            }
            catch (InputException e)
            {
                errors.AddRange(e.Errors);
            }
        }

        if (errors.Count > 0) throw new InputException(errors);
        return new([.. loads.Select(OfRide)], loads.Sum(l => l.RiderEnergyJ), loads.Sum(l => l.MotorEnergyJ), loads.Max(l => l.PeakMotorTorqueNm),
            [.. TorqueSpectrum.Together(loads.Select(l => l.Spectrum)).Select(c => new RevolutionsAnswer(c.TorqueNm, c.TimeS, c.Revolutions))],
            string.Create(CultureInfo.InvariantCulture, $"Geodesic distance of the positions (WGS-84) without smoothing; ascent with {RideSummary.AscentHysteresisM:0.#} m hysteresis; power balance of Martin et al. 1998; docs/methods/road.md."), []);
    }

    static RideAnswer OfRide(RoadLoad l) => new(
        l.Summary.File, l.Summary.DistanceM, l.Summary.MovingTimeS, l.Summary.AscentM, RideSummary.AscentHysteresisM, l.Summary.MeanSpeedMps, l.Summary.RecordedDistanceM,
        l.RiderEnergyJ, l.MotorEnergyJ, l.PeakMotorTorqueNm, l.ModelAgainstMeter, l.Summary.Repaired, l.Warnings);

    static void Print(IAnsiConsole console, Answer a)
    {
        var table = Tables.Of("ride", ">km", ">moving", ">ascent m", ">km/h", ">rider Wh", ">motor Wh", ">peak N·m");
        foreach (var r in a.Rides)
        {
            table.Row(Path.GetFileName(r.File), Tables.Figure(r.DistanceM / 1000), r.MovingTimeS is { } t ? TimeSpan.FromSeconds(Math.Round(t)).ToString("g", CultureInfo.InvariantCulture) : "",
                r.AscentM is { } m ? Tables.Figure(m, 0) : "", r.MeanSpeedMps is { } v ? Tables.Figure(v * 3.6, 1) : "", Tables.Figure(r.RiderEnergyJ / 3600, 1), Tables.Figure(r.MotorEnergyJ / 3600, 1), Tables.Figure(r.PeakMotorTorqueNm, 1));
        }

        console.Write(table);
        foreach (var r in a.Rides)
            foreach (var note in r.Repaired.Concat(r.Warnings)) console.WriteLine($"{Path.GetFileName(r.File)}: {note}");

        var most = a.RevolutionsAtTorque.Count == 0 ? 0 : a.RevolutionsAtTorque.Max(c => c.TimeS);
        if (most <= 0) return;
        var bars = Tables.Of(">N·m", ">minutes", ">turns", "time at this motor torque at the chainring");
        foreach (var c in a.RevolutionsAtTorque)
            bars.Row(Tables.Figure(c.TorqueNm, 1), Tables.Figure(c.TimeS / 60, 1), Tables.Figure(c.Revolutions, 0), new string('▇', (int)Math.Round(40 * c.TimeS / most)));
        console.Write(bars);
        console.WriteLine(a.Method);
    }
}
