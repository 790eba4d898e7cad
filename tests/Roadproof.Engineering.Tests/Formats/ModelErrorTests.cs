using System.Globalization;
using Roadproof.Engineering.Formats;
using Roadproof.Engineering.Road;

namespace Roadproof.Engineering.Tests.Formats;

/// <summary>The table of the model's error in docs/methods/road.md is computed here, row by row: it may not say anything else. Recordings that nobody here made, read where they lie.</summary>
public sealed class ModelErrorTests
{
    // A sporty rider on a light bicycle: our guess of what nobody recorded.
    static readonly Rider Sporty = Rider.Default with { RiderMassKg = 75, BikeMassKg = 8 };

    [Theory]
    [InlineData("outdoor/hilly-power.fit"), InlineData("outdoor/hilly-power.gpx"), InlineData("outdoor/outdoor-1.fit"), InlineData("outdoor/outdoor-2.fit"), InlineData("outdoor/short-below-sea-power.tcx")]
    public void The_documented_error_is_the_computed_one(string file)
    {
        using var stream = File.OpenRead(Path.Combine(DataSets.Folder("rides"), file));
        var ride = RideFile.Read(Path.GetFileName(file), stream);
        var usual = RoadLoad.Run(ride, Rider.Default, MidDrive.Unit).ModelAgainstMeter!;
        var fit = RiderFit.Of(ride, Sporty);
        var (fitted, values) = ("cannot tell | – | –", fit.CdaM2 is { } c && fit.RollingCoefficient is { } r ? $"{Interval(c, "0.000")} | {Interval(r, "0.0000")}" : "– | –");
        if (fit.CannotTell is null)
        {
            var own = RoadLoad.Run(ride, Sporty with { CdaM2 = fit.CdaM2!.Value.Value, RollingCoefficient = fit.RollingCoefficient!.Value.Value }, MidDrive.Unit).ModelAgainstMeter!;
            fitted = $"told | {Watts(own.MeanErrorW)} | {Watts(own.MinuteRmsErrorW)}";
        }

        var row = $"| {Path.GetFileName(file)} | {Watts(usual.MeanRecordedW)} | {Watts(usual.MeanErrorW)} | {Watts(usual.MinuteRmsErrorW)} | {values} | {fitted} |";
        Assert.Contains(row, File.ReadLines(Path.Combine(Checkout.Root, "docs", "methods", "road.md")));
    }

    // Whole watts: what rounding on another machine moves is a millionth of one.
    static string Watts(double? watts) => watts?.ToString("0", CultureInfo.InvariantCulture) ?? "–";

    static string Interval(FittedValue value, string form) =>
        string.Create(CultureInfo.InvariantCulture, $"{value.Value.ToString(form, CultureInfo.InvariantCulture)} ({value.Lower.ToString(form, CultureInfo.InvariantCulture)} to {value.Upper.ToString(form, CultureInfo.InvariantCulture)})");
}
