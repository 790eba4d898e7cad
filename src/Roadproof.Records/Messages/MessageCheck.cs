using System.Globalization;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Curves;
using Roadproof.Records.Definitions;
using static System.FormattableString;

namespace Roadproof.Records.Messages;

/// <summary>Whether a station message can be understood at all: everything wrong with it, at once.</summary>
/// <remarks>What can be understood and may not be done is for the interlocks; this is about words that mean nothing and numbers that cannot be.</remarks>
static class MessageCheck
{
    const int LongestCode = SenderKey.Longest;

    /// <summary>Units of readings that cannot lie below zero. A temperature or an angle can, and so can a small leak that is read beside a warming part.</summary>
    static readonly HashSet<string> NeverNegative = new(StringComparer.Ordinal) { "g", "kg", "N", "s" };

    /// <exception cref="InputException">The message cannot be understood.</exception>
    public static void Require(string station, StationMessage said, RouteRevision revision, PlantContext plant)
    {
        var errors = new List<InputError>();
        Frame(said, errors);
        if (revision.StationOf(station) is null && plant.At(station) is null) errors.Add(Unknown("station", station, "a station of this plant", plant.Standing.SelectMany(r => r.Line.Stations).Select(s => s.Id)));
        var step = revision.StepOf(said.Step);
        if (step is null) errors.Add(Unknown("step", said.Step, $"a step of {revision.Id}", revision.Steps.Select(s => s.Id)));

        Parts(said, revision, errors);
        if (step is not null)
        {
            Readings(said, step, errors);
            Screws(said, step, errors);
        }

        Captures(said, isRun: step?.Kind == StepKind.LoadTest, errors);
        if (step is not null) Curves(said, CurveCheck.Of(revision, step), errors);
        if (errors.Count > 0) throw new InputException(errors);
    }

    static void Frame(StationMessage said, List<InputError> errors)
    {
        if (SenderKey.Wrong("message", said.Key) is { } wrong) errors.Add(wrong);
        Code("item", said.Item, "a shell code or serial number", errors);
        if (said.Kind is not ("request" or "report")) errors.Add(Error("kind", Quote(said.Kind), "request or report"));
        if (said.Stage is not ("begin" or "scan" or "finish")) errors.Add(Error("stage", Quote(said.Stage), "begin, scan or finish"));
        if (said is { Stage: "scan", Kind: "report" }) errors.Add(Error("stage", "scan in a report", "a scan asks, so it is a request"));
        if (said.Version != 1) errors.Add(Error("version", Number(said.Version), "1, the version that this plant speaks"));
        if (said.OccurredAt.Year is < 2000 or > 2200) errors.Add(Error("occurredAt", said.OccurredAt.ToString("O", CultureInfo.InvariantCulture), "when it happened, with offset, such as 2031-03-04T07:12:55+01:00"));
        if (said.Person is { } person) Code("person", person, "a person key, or leave it out", errors);
    }

    static void Parts(StationMessage said, RouteRevision revision, List<InputError> errors)
    {
        for (var i = 0; i < said.Parts.Count; i++)
        {
            var part = said.Parts[i];
            var at = Invariant($"parts[{i}]");
            if (revision.Parts.All(p => p.Id != part.Part)) errors.Add(Unknown($"{at}.part", part.Part, "a part of this product", revision.Parts.Select(p => p.Id)));
            if (part.Lot is { } lot) Code($"{at}.lot", lot, "the code on the lot label, or leave it out", errors);
            if (part.Serial is { } serial) Code($"{at}.serial", serial, "the part's own number, or leave it out", errors);
        }
    }

    static void Readings(StationMessage said, RouteStep step, List<InputError> errors)
    {
        var known = step.Readings.Select(r => r.Id).ToList();
        if (step.Kind == StepKind.Mark) known.Add(MarkReadings.Spoiled);
        for (var i = 0; i < said.Readings.Count; i++)
        {
            var reading = said.Readings[i];
            var at = Invariant($"readings[{i}]");
            if (!known.Contains(reading.Id))
            {
                errors.Add(Unknown($"{at}.id", reading.Id, $"a reading of {step.Id}", known));
                continue;
            }

            if (step.Readings.FirstOrDefault(r => r.Id == reading.Id && step.IsFromCurve(r)) is { } read)
                errors.Add(Error($"{at}.id", Quote(reading.Id), "no value: it is read from its curve", read.HasOwnCurve ? "Send the curve as a capture of this name." : $"Send the capture of slow turning and name it {FunctionalPlan.CheckId}."));
            if (said.Readings.Take(i).Any(r => r.Id == reading.Id)) errors.Add(Error($"{at}.id", $"{Quote(reading.Id)} a second time", "each reading once"));
            var expected = step.Readings.FirstOrDefault(r => r.Id == reading.Id);
            if (expected is null or { Text: true })
            {
                if (string.IsNullOrWhiteSpace(reading.Text)) errors.Add(Error($"{at}.text", reading.Value is null ? "nothing" : "a number", "a text"));
            }
            else
            {
                Value(at, reading, expected, errors);
            }
        }
    }

    static void Value(string at, MessageReading reading, StepReading expected, List<InputError> errors)
    {
        if (reading.Value is not { } value)
            errors.Add(Error($"{at}.value", "nothing", $"a number in {expected.Unit}"));
        else if (!double.IsFinite(value))
            errors.Add(Error($"{at}.value", Number(value), $"a finite number in {expected.Unit}", "A reading that was not taken is left out."));
        else if (value < 0 && NeverNegative.Contains(expected.Unit))
            errors.Add(Error($"{at}.value", $"{Number(value)} {expected.Unit}", $"0 {expected.Unit} or more", "Tare the instrument and read again."));
        if ((reading.Unit ?? "") != expected.Unit)
            errors.Add(Error($"{at}.unit", reading.Unit is null ? "nothing" : Quote(reading.Unit), expected.Unit.Length == 0 ? "no unit" : expected.Unit));
    }

    static void Screws(StationMessage said, RouteStep step, List<InputError> errors)
    {
        for (var i = 0; i < said.Screws.Count; i++)
        {
            var screw = said.Screws[i];
            var at = Invariant($"screws[{i}]");
            if (step.Screws.FirstOrDefault(g => g.Id == screw.Group) is not { } group)
            {
                errors.Add(Unknown($"{at}.group", screw.Group, $"a screw group of {step.Id}", step.Screws.Select(g => g.Id)));
                continue;
            }

            if (screw.Number < 1 || screw.Number > group.Count) errors.Add(Error($"{at}.number", Number(screw.Number), $"1 to {Number(group.Count)}"));
            if (!(double.IsFinite(screw.TorqueNm) && screw.TorqueNm >= 0)) errors.Add(Error($"{at}.torqueNm", Number(screw.TorqueNm), "a torque in N·m, 0 or more"));
            if (!double.IsFinite(screw.AngleDeg)) errors.Add(Error($"{at}.angleDeg", Number(screw.AngleDeg), "an angle in degrees"));
        }
    }

    static void Captures(StationMessage said, bool isRun, List<InputError> errors)
    {
        for (var i = 0; i < said.Captures.Count; i++)
        {
            var (sha256, name) = said.Captures[i];
            if (sha256.Length != 64 || !sha256.All(c => c is (>= '0' and <= '9') or (>= 'a' and <= 'f')))
                errors.Add(Error(Invariant($"captures[{i}].sha256"), Quote(sha256), "64 hexadecimal digits in lower case"));
            else if (said.Captures.Take(i).Any(c => c.Sha256 == sha256))
                errors.Add(Error(Invariant($"captures[{i}].sha256"), "the same capture a second time", "each capture once"));

            var at = Invariant($"captures[{i}].name");
            if (!isRun) Code(at, name, "a name for the file", errors);
            else if (!RunFiles.Tables.Contains(RunFiles.TableOf(name))) errors.Add(Unknown(at, name, "a file of a run: slow, fast or vibration, with or without its ending", RunFiles.Tables));
            else if (said.Captures.Take(i).Any(c => SameFile(c.Name, name))) errors.Add(Error(at, $"{Quote(name)} a second time", "each file of the run once"));
        }
    }

    static void Curves(StationMessage said, IReadOnlyList<CurveCheck> checks, List<InputError> errors)
    {
        for (var i = 0; i < said.Captures.Count; i++)
        {
            if (checks.FirstOrDefault(c => c.IsNamed(said.Captures[i].Name)) is { } check && said.Captures.Take(i).Any(c => check.IsNamed(c.Name)))
                errors.Add(Error(Invariant($"captures[{i}].name"), $"{Quote(said.Captures[i].Name)} a second time", "each curve once"));
        }
    }

    static bool SameFile(string one, string other) => RunFiles.TableOf(one) == RunFiles.TableOf(other) && RunFiles.IsMetadata(one) == RunFiles.IsMetadata(other);

    static void Code(string field, string? code, string expected, List<InputError> errors)
    {
        if (string.IsNullOrWhiteSpace(code)) errors.Add(Error(field, "nothing", expected));
        else if (code.Length > LongestCode) errors.Add(Error(field, $"{Number(code.Length)} characters", $"at most {Number(LongestCode)} characters"));
        else if (code.Any(char.IsControl)) errors.Add(Error(field, "a control character", expected, "A scanner may send a line end with the code; set it to send the code alone."));
    }

    static InputError Unknown(string field, string? found, string expected, IEnumerable<string> known) =>
        Error(field, found is null ? "nothing" : Quote(found), expected, found is null or { Length: > LongestCode } ? null : NearestWord.Hint(found, known.ToList()));

    static InputError Error(string field, string found, string expected, string? hint = null) => new("message", 0, field, found, expected, hint);

    static string Quote(string? text) => $"'{text}'";

    static string Number(double value) => value.ToString(CultureInfo.InvariantCulture);
}
