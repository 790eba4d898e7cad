using System.CommandLine;
using Roadproof.App.Frame;
using Roadproof.Engineering.Formats;
using Roadproof.Engineering.Road;
using Spectre.Console;

namespace Roadproof.App.Road;

/// <summary>Drag area and rolling resistance of a rider, from a ride with a power meter and without a motor.</summary>
public static class FitRider
{
    public sealed record Answer(FitAnswer? CdaM2, FitAnswer? RollingCoefficient, string? CannotTell, int Windows, int Blocks, double Correlation, double ResidualW, string Method, IReadOnlyList<string> Warnings);

    public sealed record FitAnswer(double Value, double Lower, double Upper, double Confidence);

    public static Command Command()
    {
        Argument<string> file = new("ride") { Description = "A ride file with power and heights (FIT, GPX, TCX, CSV)." };
        Option<double> riderMass = new("--rider-mass-kg") { DefaultValueFactory = _ => Rider.Default.RiderMassKg, Description = "Rider, kg." };
        Option<double> bikeMass = new("--bike-mass-kg") { DefaultValueFactory = _ => Rider.Default.BikeMassKg, Description = "Bike and luggage, kg." };
        var wind = new WindOptions();
        return CommandLine.Verb("fit", "Drag area and rolling resistance from a ride with a power meter, or why it does not tell them.",
            "road fit ride.fit --rider-mass-kg 75 --bike-mass-kg 9", [file, riderMass, bikeMass, .. wind.All], (input, face, _) =>
            {
                var a = Run(input.GetValue(file)!, Rider.Default with { RiderMassKg = input.GetValue(riderMass), BikeMassKg = input.GetValue(bikeMass) }, wind.Of(input));
                return Task.FromResult(face.Say(a, console =>
                {
                    if (a.CdaM2 is { } c && a.RollingCoefficient is { } r)
                    {
                        console.Write(Tables.Of("", ">value", ">from", ">to (95 %)")
                            .Row("drag area, m²", Tables.Figure(c.Value, 3), Tables.Figure(c.Lower, 3), Tables.Figure(c.Upper, 3))
                            .Row("rolling resistance", Tables.Figure(r.Value, 4), Tables.Figure(r.Lower, 4), Tables.Figure(r.Upper, 4)));
                    }

                    if (a.CannotTell is { } why) console.WriteLine($"Cannot tell. {why}");
                    foreach (var warning in a.Warnings) console.WriteLine(warning);
                    console.WriteLine(a.Method);
                }, a.CannotTell is null ? Exit.Done : Exit.CannotTell));
            });
    }

    public static Answer Run(string file, Rider rider, Wind wind)
    {
        using var stream = RideFiles.Open(file);
        var fit = RiderFit.Of(RideFile.Read(file, stream), rider, RoadLoadOptions.Default with { Wind = wind });
        return new(Of(fit.CdaM2), Of(fit.RollingCoefficient), fit.CannotTell, fit.Windows, fit.Blocks, fit.Correlation, fit.ResidualW,
            "Power balance of Martin et al. 1998 over minutes, Huber's weights, intervals by leaving out blocks of minutes; docs/methods/road.md.",
            [.. fit.Warnings, "The mass and the wind are taken as given: the intervals do not hold an error of these.", "It is right for a ride without a motor: a meter at the crank of an assisted bicycle reads the rider alone."]);
    }

    static FitAnswer? Of(FittedValue? value) => value is { } v ? new(v.Value, v.Lower, v.Upper, 0.95) : null;
}
