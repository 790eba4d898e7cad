using MathNet.Numerics.Distributions;
using Roadproof.App.Frame;
using Roadproof.Engineering.Drive;
using Roadproof.Plant.Faults;
using Roadproof.Records.Definitions;

namespace Roadproof.App.Demo;

/// <summary>How often the line should stop a unit with each fault that the demo may hide, from the definitions and the sizes of the faults. The definitions have what <see cref="DemoNeeds"/> asks for.</summary>
/// <remarks>The load test's part comes from its sensitivities; that of the stations from the spread of their readings against limits and guard bands.</remarks>
public static class PredictRates
{
    public static IReadOnlyDictionary<string, double?> Run(OpenLine line)
    {
        var revision = line.Standing.First(r => r.Product.LoadTest is not null);
        var judge = line.JudgeOf(revision);
        var rates = FaultList.All.ToDictionary(f => f.Id, f => f.Id switch
        {
            // The scan of another variant is refused whatever is measured.
            FaultList.WrongGear => (double?)1,
            FaultList.Leak => Stopped(Reading(revision, FaultList.Leak), r => FaultList.LeakShare * r.Upper!.Value),
            FaultList.CoverScrew => LooseScrew(revision),
            FaultList.GreaseMissing => Either(Stopped(Reading(revision, DemoNeeds.GreaseMass), _ => 0), judge.PredictedStopRate(f.Change(Deviation.None, revision.LoadTest.Unit)).Rate),
            _ => judge.PredictedStopRate(f.Change(Deviation.None, revision.LoadTest.Unit)).Rate,
        }, StringComparer.Ordinal);
        foreach (var fault in CellFaults.All)
        {
            if (line.Standing.FirstOrDefault(r => r.Product.Id == fault.Product) is { } cell)
                rates[fault.Id] = 1 - fault.Readings.Aggregate(1.0, (passes, r) => passes * (1 - Stopped(Reading(cell, r.Key), _ => r.Value)));
        }

        return rates;
    }

    /// <summary>Probability that a reading about a mean is not inside both limits by the guard band.</summary>
    static double Stopped(StepReading reading, Func<StepReading, double> mean)
    {
        var guard = reading.GuardFactor * reading.StandardUncertainty;
        var spread = Math.Max(reading.UsualSpread, 1e-12);
        var at = mean(reading);
        var below = reading.Lower is { } lower ? Normal.CDF(at, spread, lower + guard) : 0;
        var above = reading.Upper is { } upper ? 1 - Normal.CDF(at, spread, upper - guard) : 0;
        return Math.Min(1, below + above);
    }

    static double LooseScrew(RouteRevision revision)
    {
        var group = revision.Steps.SelectMany(s => s.Screws).First(g => g.Id == DemoNeeds.Cover);
        var middle = (group.TorqueLowerNm + group.TorqueUpperNm) / 2;
        return Normal.CDF(FaultList.LooseScrewShare * middle, group.StandardUncertaintyNm, group.TorqueLowerNm + 1.64 * group.StandardUncertaintyNm);
    }

    static double Either(double one, double other) => 1 - (1 - one) * (1 - other);

    static StepReading Reading(RouteRevision revision, string id) => revision.Steps.SelectMany(s => s.Readings).First(r => r.Id == id);
}
