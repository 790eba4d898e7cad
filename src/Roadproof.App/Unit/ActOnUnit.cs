using System.Text.Json.Serialization;
using Roadproof.App.Frame;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Items;

namespace Roadproof.App.Unit;

/// <summary>Holds, releases and scraps units by a person's word.</summary>
public static class ActOnUnit
{
    /// <summary>What a person says.</summary>
    /// <param name="OccurredAt">The sender's time: a repeat with the same key says the same time.</param>
    /// <param name="BackTo">Where a release sends the unit back to, after repair; null lets it go on.</param>
    /// <param name="Cause">What was found to be wrong, as the id of a cause in the diagnosis or in words; kept beside the diagnosis.</param>
    public sealed record Request(string Key, string Reason, [property: JsonRequired] DateTimeOffset OccurredAt, string? Person = null, string? BackTo = null, string? Cause = null);

    public static void Map(IEndpointRouteBuilder app)
    {
        app.MapPost("/api/v1/units/{unit}/hold", async (string unit, Request said, OpenLine line) => (await Hold(unit, said, line)).ToHttp()).WithSummary("Hold a unit");
        app.MapPost("/api/v1/units/{unit}/release", async (string unit, Request said, OpenLine line) => (await Release(unit, said, line)).ToHttp()).WithSummary("Let a held unit go on");
        app.MapPost("/api/v1/units/{unit}/scrap", async (string unit, Request said, OpenLine line) => (await Scrap(unit, said, line)).ToHttp()).WithSummary("End a unit");
    }

    public static Task<Outcome<UnitActAnswer>> Hold(string unit, Request said, OpenLine line)
    {
        var plant = line.Plant;
        return line.Ledger.Write(t => HoldUnit.Decide(t, Act("hold", unit, said), plant));
    }

    public static Task<Outcome<UnitActAnswer>> Release(string unit, Request said, OpenLine line)
    {
        var plant = line.Plant;
        return line.Ledger.Write(t => ReleaseUnit.Decide(t, Act("release", unit, said), plant));
    }

    public static Task<Outcome<UnitActAnswer>> Scrap(string unit, Request said, OpenLine line)
    {
        var plant = line.Plant;
        return line.Ledger.Write(t => ScrapUnit.Decide(t, Act("scrap", unit, said), plant));
    }

    static UnitAct Act(string act, string unit, Request said) =>
        new(act, unit, said.Key, said.Reason, said.OccurredAt, said.Person, said.BackTo, said.Cause);
}
