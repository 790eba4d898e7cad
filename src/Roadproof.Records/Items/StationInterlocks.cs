using System.Globalization;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Gauges;
using Roadproof.Records.People;

namespace Roadproof.Records.Items;

/// <summary>What stands in the way of whoever and whatever does a step: a person without the qualification, a tool or gauge past its calibration.</summary>
static class StationInterlocks
{
    public static IEnumerable<Refusal> Broken(Situation s) => Qualified(s).Concat(Calibrated(s));

    public static IEnumerable<Refusal> Qualified(Situation s)
    {
        // A zone asks for the qualification of its own name.
        foreach (var (needed, what) in new[] { (s.Step.Qualification, s.Step.Name), (s.Revision.StationOf(s.Station)?.Zone, s.Station) })
        {
            if (needed is null) continue;
            if (s.Said.Person is not { Length: > 0 } person)
                yield return new($"{what} asks who does it: it needs the qualification {needed}.", "Scan your badge and try again.", needed, "nobody named");
            else if (NotQualified(s, person, needed) is { } found)
                yield return new($"{what} needs the qualification {needed}, and {found}.", "Call somebody who has it; the shift lead knows who.", needed, person);
        }
    }

    static string? NotQualified(Situation s, string person, string needed) => QualificationBook.Of(s.Connection, s.Transaction, person, needed, s.Said.OccurredAt) switch
    {
        null => $"{person} has never had it",
        { Holds: false } ended => $"that of {person} ended on {Day(s, ended.EndedAt)}",
        _ => null,
    };

    static IEnumerable<Refusal> Calibrated(Situation s)
    {
        foreach (var instrument in s.Revision.StationOf(s.Station)?.Instruments ?? [])
        {
            var last = CalibrationBook.Last(s.Connection, s.Transaction, s.Station, instrument, s.Said.OccurredAt);
            if (last is null)
                yield return new($"No calibration of {instrument} at {s.Station} is on record.", "Have it calibrated and recorded, or take the unit to another station of this step.", "a calibration", "none");
            else if (last < s.Said.OccurredAt)
                yield return new($"The calibration of {instrument} at {s.Station} was due on {Day(s, last.Value)}.", "Have it calibrated and recorded, or take the unit to another station of this step.", "a calibration in date", $"due {Day(s, last.Value)}");
        }
    }

    static string Day(Situation s, DateTimeOffset time) => time.ToOffset(s.Said.OccurredAt.Offset).ToString("d MMM yyyy", CultureInfo.InvariantCulture);
}
