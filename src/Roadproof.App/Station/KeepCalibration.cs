using System.Text.Json.Serialization;
using Roadproof.App.Frame;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Gauges;

namespace Roadproof.App.Station;

/// <summary>Records that a station's tool or gauge was calibrated, and when that is due again.</summary>
public static class KeepCalibration
{
    /// <summary>What is said of a calibration.</summary>
    /// <param name="Reason">What proves it, such as the certificate's number.</param>
    /// <param name="OccurredAt">When it was done: a repeat with the same key says the same time.</param>
    public sealed record Request(
        string Key, string Instrument, [property: JsonRequired] DateTimeOffset DueAt, string Reason, [property: JsonRequired] DateTimeOffset OccurredAt, string? Person = null);

    public static void Map(IEndpointRouteBuilder app) =>
        app.MapPost("/api/v1/stations/{station}/calibrations", async (string station, Request said, OpenLine line) => (await Run(station, said, line)).ToHttp())
            .WithSummary("Record a calibration of a station's tool or gauge");

    public static Task<Outcome<CalibrationAnswer>> Run(string station, Request said, OpenLine line)
    {
        var plant = line.Plant;
        return line.Ledger.Write(t => RecordCalibration.Decide(t, new(station, said.Instrument, said.DueAt, said.Key, said.Reason, said.OccurredAt, said.Person), plant));
    }
}
