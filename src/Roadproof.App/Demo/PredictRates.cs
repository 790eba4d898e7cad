using MathNet.Numerics.Distributions;
using Roadproof.App.Frame;
using Roadproof.Engineering.Drive;
using Roadproof.Plant.Faults;
using Roadproof.Records.Definitions;

namespace Roadproof.App.Demo;

/// <summary>How often each line should stop a unit with each fault that the demo may hide, from the definitions and the sizes of the faults.</summary>
/// <remarks>The load test's part comes from its sensitivities; that of the stations from the spread of their readings against limits and guard bands.</remarks>
public static class PredictRates
{
    /// <returns>By product and fault; null, or nothing, where the definitions have no place for the fault.</returns>
    public static IReadOnlyDictionary<(string Product, string Fault), double?> Run(OpenLine line)
    {
        var rates = new Dictionary<(string, string), double?>();
        foreach (var revision in line.Standing)
        {
            foreach (var fault in CheckFaults.Of(revision.Product.Id)) rates[(revision.Product.Id, fault.Id)] = Found(revision, fault);
            if (revision.Product.LoadTest is null) continue;
            foreach (var fault in FaultList.All) rates[(revision.Product.Id, fault.Id)] = Found(line, revision, fault);
        }

        return rates;
    }

    static double? Found(OpenLine line, RouteRevision revision, Fault fault) => fault.Id switch
    {
        // The scan of another variant is refused whatever is measured.
        FaultList.WrongGear => 1,
        FaultList.Leak => Reading(revision, FaultList.Leak) is { Upper: { } limit } leak ? Stopped(leak, FaultList.LeakShare * limit) : null,
        FaultList.CoverScrew => CoverScrews(revision) is { } group ? LooseScrew(group) : null,
        FaultList.GreaseMissing => Reading(revision, "grease-mass") is { } mass ? 1 - (1 - Stopped(mass, 0)) * (1 - AtLoadTest(line, revision, fault)) : null,
        _ => AtLoadTest(line, revision, fault),
    };

    static double AtLoadTest(OpenLine line, RouteRevision revision, Fault fault) =>
        line.JudgeOf(revision).PredictedStopRate(fault.Change(Deviation.None, revision.LoadTest)).Rate;

    static double? Found(RouteRevision revision, CheckFault fault)
    {
        var passes = 1.0;
        foreach (var (id, value) in fault.Readings)
        {
            if (Reading(revision, id) is not { } reading) return null;
            passes *= 1 - Stopped(reading with { UsualSpread = reading.UsualSpread * CheckFault.SpreadShare(value, reading.UsualValue) }, value);
        }

        return 1 - passes;
    }

    /// <summary>Probability that a reading about a mean is not inside both limits by the guard band.</summary>
    static double Stopped(StepReading reading, double mean)
    {
        var guard = reading.GuardFactor * reading.StandardUncertainty;
        var spread = Math.Max(reading.UsualSpread, 1e-12);
        var below = reading.Lower is { } lower ? Normal.CDF(mean, spread, lower + guard) : 0;
        var above = reading.Upper is { } upper ? 1 - Normal.CDF(mean, spread, upper - guard) : 0;
        return Math.Min(1, below + above);
    }

    static double LooseScrew(ScrewGroup group)
    {
        var middle = (group.TorqueLowerNm + group.TorqueUpperNm) / 2;
        return Normal.CDF(FaultList.LooseScrewShare * middle, group.StandardUncertaintyNm, group.TorqueLowerNm + 1.64 * group.StandardUncertaintyNm);
    }

    static StepReading? Reading(RouteRevision revision, string id) => revision.Steps.SelectMany(s => s.Readings).FirstOrDefault(r => r.Id == id);

    /// <summary>The last screws before the leak check, as the plant takes them.</summary>
    static ScrewGroup? CoverScrews(RouteRevision revision) =>
        revision.Steps.TakeWhile(s => s.Readings.All(r => r.Id != FaultList.Leak)).SelectMany(s => s.Screws).LastOrDefault();
}
