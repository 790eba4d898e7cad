using Roadproof.Engineering.LoadTest;

namespace Roadproof.Plant.Line;

/// <summary>The standing route revision as the stations read it over the public interface; what the plant does not need is left out.</summary>
public sealed record LineRoute
{
    public required string Id { get; init; }
    public required LinePlant Plant { get; init; }
    public required LineOfPlant Line { get; init; }
    public required LineProduct Product { get; init; }
    public required IReadOnlyList<LineStep> Steps { get; init; }
    public required IReadOnlyList<LinePart> Parts { get; init; }

    /// <summary>The load test of a line that has one.</summary>
    [System.Text.Json.Serialization.JsonIgnore]
    public LoadTestPlan LoadTest => Product.LoadTest ?? throw new InvalidOperationException($"Bug in Roadproof: {Id} has no load test.");

    public LinePart PartOf(string part) => Parts.FirstOrDefault(p => p.Id == part)
        ?? throw new InvalidOperationException($"Bug in Roadproof: part {part} is asked for and is not in revision {Id}.");

    /// <summary>Place of a step in the route; −1 for a step that it does not have.</summary>
    public int IndexOf(string step)
    {
        for (var i = 0; i < Steps.Count; i++)
            if (Steps[i].Id == step) return i;
        return -1;
    }
}

public sealed record LinePlant(IReadOnlyList<string> Customers);

public sealed record LineOfPlant(string Id, IReadOnlyList<LineStation> Stations);

public sealed record LineStation(string Id, string Step);

public sealed record LineProduct(string Id, LoadTestPlan? LoadTest = null);

public sealed record LinePart(string Id, bool Serialised = false, bool Shell = false, string Variant = "", string? Product = null);

/// <param name="Kind">assembly, check, load-test, label, mark, pack.</param>
public sealed record LineStep(
    string Id, string Kind, double WorkS,
    IReadOnlyList<LineStepPart>? Parts = null, IReadOnlyList<LineReading>? Readings = null, IReadOnlyList<LineScrews>? Screws = null);

public sealed record LineStepPart(string Part);

public sealed record LineReading(
    string Id, string Unit = "", double? Lower = null, double? Upper = null, bool Text = false, string? Equal = null, double UsualValue = 0, double UsualSpread = 0);

public sealed record LineScrews(string Id, int Count, double TorqueLowerNm, double TorqueUpperNm, double AngleLowerDeg, double AngleUpperDeg)
{
    public double MiddleNm => (TorqueLowerNm + TorqueUpperNm) / 2;
    public double WindowNm => TorqueUpperNm - TorqueLowerNm;
}
