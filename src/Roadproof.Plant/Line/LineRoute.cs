using Roadproof.Engineering.LoadTest;
using Roadproof.Engineering.LoadTest.Rigs;

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

    /// <summary>The first reading of that id in the route; null where no step has one.</summary>
    public LineReading? Reading(string id) => Steps.SelectMany(s => s.Readings ?? []).FirstOrDefault(r => r.Id == id);

    /// <summary>What a person at a station must be qualified for: its zone and its step.</summary>
    public IEnumerable<string> AskedAt(LineStation station) => new[] { station.Zone, Steps.First(s => s.Id == station.Step).Qualification }.OfType<string>().Distinct(StringComparer.Ordinal);

    /// <summary>The screws that close the unit: the last before its leak check.</summary>
    public LineScrews? CoverScrews => Cover?.Screws!.Last();

    /// <summary>A part of the route beside which another of the same name and another variant exists.</summary>
    public LinePart? LookAlike => Steps.SelectMany(s => s.Parts ?? []).Select(p => PartOf(p.Part)).FirstOrDefault(p => Parts.Any(o => p.IsLike(o)));

    /// <summary>Where a unit that failed a step goes back to for repair: the gears and the cover are done again where they are, a leak from the cover on. Null where it is not repaired.</summary>
    public string? RepairAt(LineStep failed) =>
        failed.Has("grease-mass") || failed == Cover ? failed.Id : failed.Has("leak") ? Cover?.Id : null;

    LineStep? Cover => Steps.TakeWhile(s => !s.Has("leak")).LastOrDefault(s => s.Screws is { Count: > 0 }) is { } cover && Reading("leak") is not null ? cover : null;

    /// <summary>Place of a step in the route; −1 for a step that it does not have.</summary>
    public int IndexOf(string step)
    {
        for (var i = 0; i < Steps.Count; i++)
            if (Steps[i].Id == step) return i;
        return -1;
    }
}

public sealed record LinePlant(IReadOnlyList<string> Customers);

public sealed record LineOfPlant(string Id, IReadOnlyList<LineStation> Stations, int DueToday = 0, string? SerialPrefix = null);

public sealed record LineStation(string Id, string Step, string? Zone = null, IReadOnlyList<string>? Instruments = null);

public sealed record LineProduct(string Id, LoadTestPlan? LoadTest = null, IReadOnlyList<LineVariant>? Variants = null, RigReferences? References = null);

/// <summary>What one customer or market gets: its texts, and the parts that it takes instead of the route's own.</summary>
public sealed record LineVariant(string Id, string? Region = null, string? Firmware = null, string? Parameters = null, string? Label = null, IReadOnlyList<LineVariantPart>? Parts = null)
{
    public string Takes(string part) => Parts?.FirstOrDefault(p => p.Part == part)?.Take ?? part;

    /// <param name="asked">region, firmware, parameters, label.</param>
    public string? Text(string asked) => asked switch { "region" => Region, "firmware" => Firmware, "parameters" => Parameters, "label" => Label, _ => null };
}

public sealed record LineVariantPart(string Part, string Take);

public sealed record LinePart(string Id, string Name = "", bool Serialised = false, bool Shell = false, string Variant = "", string? Product = null)
{
    /// <summary>Looks the same on the trolley and is for another unit.</summary>
    public bool IsLike(LinePart other) => other.Id != Id && other.Name == Name && other.Variant != Variant;
}

/// <param name="Kind">assembly, check, load-test, label, mark, pack.</param>
public sealed record LineStep(
    string Id, string Kind, double WorkS,
    IReadOnlyList<LineStepPart>? Parts = null, IReadOnlyList<LineReading>? Readings = null, IReadOnlyList<LineScrews>? Screws = null, string? Qualification = null, bool TurnsGears = false)
{
    /// <summary>The step is another one for another variant.</summary>
    [System.Text.Json.Serialization.JsonIgnore]
    public bool AsksVariant => Parts?.Any(p => p.OfVariant) == true || Readings?.Any(r => r.OfVariant is not null) == true;

    public bool Has(string reading) => Readings?.Any(r => r.Id == reading) == true;
}

public sealed record LineStepPart(string Part, bool OfVariant = false);

public sealed record LineReading(
    string Id, string Unit = "", double? Lower = null, double? Upper = null, bool Text = false, string? Equal = null, double UsualValue = 0, double UsualSpread = 0, string? OfVariant = null);

public sealed record LineScrews(string Id, int Count, double TorqueLowerNm, double TorqueUpperNm, double AngleLowerDeg, double AngleUpperDeg)
{
    public double MiddleNm => (TorqueLowerNm + TorqueUpperNm) / 2;
    public double WindowNm => TorqueUpperNm - TorqueLowerNm;
}
