using System.CommandLine;
using Roadproof.App.Frame;
using Roadproof.Engineering.Judging;
using Roadproof.Engineering.Quantities;
using Spectre.Console;

namespace Roadproof.App.Judging;

/// <summary>What a limit with a guard band lets through and turns away.</summary>
public static class ComputeRisk
{
    public sealed record Answer(
        double ConsumerRisk, double ProducerRisk, double? ConformanceProbability, double? AcceptLower, double? AcceptUpper, string Method, IReadOnlyList<string> Warnings)
    {
        /// <summary>The same knowing what the process makes as well.</summary>
        public double? ConformanceProbabilityWithProcess { get; init; }

        /// <summary>The strip that was kept free: as asked, or what the largest consumer's risk needs.</summary>
        public double GuardBand { get; init; }
    }

    public static Command Command()
    {
        Option<double?> lower = new("--lower") { Description = "Lower limit." }, upper = new("--upper") { Description = "Upper limit." };
        Option<double> u = new("--standard-uncertainty") { Required = true, Description = "Standard uncertainty of one reading." };
        Option<double> mean = new("--process-mean") { Required = true, Description = "Mean of what the process makes." };
        Option<double> sd = new("--process-sd") { Required = true, Description = "Standard deviation of what the process makes." };
        Option<double> guard = new("--guard-band") { Description = "Strip kept free inside each limit." };
        Option<double?> largest = new("--consumer-risk") { Description = "Largest share of all items that may be bad and accepted; finds the guard band for it." };
        Option<double?> value = new("--value") { Description = "A reading, to ask how sure it is to conform." };
        return CommandLine.Verb("risk", "Consumer's and producer's risk of a limit, and how sure a reading is to conform.",
            "judge risk --upper 307.5 --standard-uncertainty 0.8 --process-mean 303.2 --process-sd 1.2 --guard-band 1.31 --value 306.1",
            [lower, upper, u, mean, sd, guard, largest, value], (input, face, _) =>
            {
                var a = Run(input.GetValue(lower), input.GetValue(upper), input.GetValue(u), input.GetValue(mean), input.GetValue(sd), input.GetValue(guard), input.GetValue(value), input.GetValue(largest));
                return Task.FromResult(face.Say(a, console =>
                {
                    var table = Tables.Of("", ">share")
                        .Row("bad and accepted (consumer's risk)", a.ConsumerRisk.ToString("P4", CultureInfo.InvariantCulture))
                        .Row("good and rejected (producer's risk)", a.ProducerRisk.ToString("P4", CultureInfo.InvariantCulture));
                    if (a.ConformanceProbability is { } p) table.Row("this reading conforms, knowing nothing else", p.ToString("P2", CultureInfo.InvariantCulture));
                    if (a.ConformanceProbabilityWithProcess is { } known) table.Row("the same, knowing the process", known.ToString("P2", CultureInfo.InvariantCulture));
                    console.Write(table);
                    console.WriteLine(a.Warnings.Count > 0 ? a.Warnings[0] : $"accept from {a.AcceptLower?.ToString("G6", CultureInfo.InvariantCulture) ?? "-"} to {a.AcceptUpper?.ToString("G6", CultureInfo.InvariantCulture) ?? "-"}, guard band {a.GuardBand.ToString("G4", CultureInfo.InvariantCulture)}");
                    console.WriteLine(a.Method);
                }, a.Warnings.Count > 0 ? Exit.No : Exit.Done));
            });
    }

    /// <exception cref="InputException">No limit, or numbers that cannot be.</exception>
    public static Answer Run(double? lower, double? upper, double standardUncertainty, double processMean, double processSd, double guardBand, double? value, double? largestConsumerRisk = null)
    {
        if (largestConsumerRisk is { } largest)
        {
            if (guardBand != 0) throw new InputException(new InputError("--consumer-risk", 0, "", "a guard band beside it", "one of --guard-band and --consumer-risk"));
            ConformanceRisk.Of(lower, upper, standardUncertainty, processMean, processSd); // says what is wrong with the rest
            guardBand = ConformanceRisk.GuardBandFor(largest, lower, upper, standardUncertainty, processMean, processSd);
        }

        var risk = ConformanceRisk.Of(lower, upper, standardUncertainty, processMean, processSd, guardBand);
        var isEmpty = risk.AcceptLower > risk.AcceptUpper;
        string[] warnings = isEmpty ? ["The guard bands meet: nothing can be accepted."] : [];
        return new(risk.Consumer, risk.Producer, value is { } v ? Conformance.Probability(v, standardUncertainty, lower, upper) : null,
            isEmpty ? null : risk.AcceptLower, isEmpty ? null : risk.AcceptUpper, "Normal process and normal reading; shares of all items made; JCGM 106:2012, 9.5.", warnings)
        {
            GuardBand = guardBand,
            ConformanceProbabilityWithProcess = value is { } y ? Conformance.Probability(y, standardUncertainty, lower, upper, processMean, processSd) : null,
        };
    }
}
