using System.CommandLine;
using Roadproof.App.Definitions;
using Roadproof.App.Frame;
using Roadproof.Engineering.LoadTest;
using Roadproof.Engineering.Quantities;
using Spectre.Console;

namespace Roadproof.App.LoadTest;

/// <summary>Finds a unit's own parameters from the capture of one load test: what the run says, and what only the drawing does.</summary>
public static class IdentifyUnit
{
    public sealed record Answer(
        IReadOnlyDictionary<string, IdentifiedParameter> Parameters, IReadOnlyDictionary<string, IdentifiedParameter> Combinations, IReadOnlyList<ParameterCorrelation> Correlations,
        FitTest Fit, IReadOnlyList<ChannelResidual> Residual, IReadOnlyList<PointTest> Points, IReadOnlyList<string> LeftOut, string Method, IReadOnlyList<string> Warnings);

    public static Command Command()
    {
        Argument<string[]> files = new("file") { Arity = ArgumentArity.OneOrMore, Description = "All capture files of one run (Parquet, CSV)." };
        Option<string> product = FindProduct.Option();
        return CommandLine.Verb("identify", "Finds the unit's own resistance, flux, drags and gear efficiency from one run of its load test.",
            "loadtest identify slow.parquet fast.parquet --product af-85", [files, product], (input, face, _) =>
            {
                var plan = FindProduct.LoadTest(input.GetValue(CommandLine.DefinitionsOption)!, input.GetValue(product)!);
                var a = Run(input.GetValue(files)!, plan);
                return Task.FromResult(face.Say(a, console => Print(console, a), a.Fit.Fits ? Exit.Done : Exit.CannotTell));
            });
    }

    /// <exception cref="InputException">The files are no capture of a load test, or show too few load points.</exception>
    public static Answer Run(IReadOnlyList<string> files, LoadTestPlan plan)
    {
        var u = UnitIdentification.Of(CaptureFiles.Read(files), plan);
        return new(ById(u.Parameters), ById(u.Combinations), u.Correlations, u.Fit, u.Residual, u.Points, u.LeftOut, u.Method, u.Warnings);

        static Dictionary<string, IdentifiedParameter> ById(IReadOnlyList<IdentifiedParameter> parameters) => parameters.ToDictionary(p => p.Id, StringComparer.Ordinal);
    }

    static void Print(IAnsiConsole console, Answer a)
    {
        var parameters = Tables.Of("parameter", ">value", ">u", "unit", ">from the run", "the run alone", ">drawing", ">its spread");
        foreach (var p in a.Parameters.Values.Concat(a.Combinations.Values))
            parameters.Row(p.Name, Number(p.Value), Number(p.StandardUncertainty), p.Unit, p.FromRun.ToString("P0", CultureInfo.InvariantCulture), p.Identified ? "tells" : "cannot tell",
                Number(p.Drawing.Value), Number(p.Drawing.StandardUncertainty));
        console.Write(parameters);

        var residual = Tables.Of("channel", ">reading less model, rms", "unit");
        foreach (var r in a.Residual) residual.Row(r.Channel, Number(r.Rms), r.Unit);
        console.Write(residual);
        console.WriteLine($"Chi-square {Number(a.Fit.ChiSquare)} with {Number(a.Fit.DegreesOfFreedom)} degrees of freedom: {(a.Fit.Fits ? "the model explains this run" : "the model does not explain this run")}.");
        foreach (var w in a.Warnings) console.WriteLine(w);
    }

    static string Number(double value) => value.ToString("G4", CultureInfo.InvariantCulture);
}
