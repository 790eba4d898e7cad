using System.Globalization;
using Roadproof.Engineering.Quantities;

namespace Roadproof.Engineering.Formats;

/// <summary>Gathers fixes, errors and missing codes while a file is read, and closes them into a <see cref="Ride"/> or one refusal.</summary>
sealed class RideRecorder(string source)
{
    static readonly string[] TimeFormats =
    [
        "yyyy-MM-dd'T'HH:mm:ss.FFFFFFFK", "yyyy-MM-dd' 'HH:mm:ss.FFFFFFFK", "yyyy-MM-dd'T'HH:mmK", "yyyy-MM-dd' 'HH:mmK",
    ];

    readonly List<RideFix> fixes = [];
    readonly List<InputError> errors = [];
    readonly Dictionary<string, (double Code, int Count)> missing = new(StringComparer.Ordinal);
    DateTimeOffset? startedAt;
    double? startS;

    public List<InputError> Errors => errors;

    public int Count => fixes.Count;

    public void Add(RideFix fix) => fixes.Add(fix);

    /// <summary>Takes a value into the fix; errors and missing codes are remembered with their place.</summary>
    public void Take(RideField field, ref RideFix fix, ReadOnlySpan<char> cell, double factor, bool decimalComma = false)
    {
        if (!field.Take(ref fix, cell, factor, decimalComma, source, errors)) return;
        missing[field.Word] = (field.MissingCode!.Value, missing.GetValueOrDefault(field.Word).Count + 1);
    }

    /// <summary>Takes a value in our own unit into the fix.</summary>
    public void Take(RideField field, ref RideFix fix, double value)
    {
        if (field.Holds(value)) fix = field.Put(fix, value);
        else errors.Add(field.Refusal(source, fix.Line, value.ToString("0.###", CultureInfo.InvariantCulture), factor: 1));
    }

    /// <summary>Takes a latitude or longitude that must be there.</summary>
    public void TakePlace(RideField field, ref RideFix fix, string? value)
    {
        if (string.IsNullOrWhiteSpace(value)) errors.Add(new(source, fix.Line, field.Word, "nothing", $"a number in {field.Unit}"));
        else Take(field, ref fix, value, factor: 1);
    }

    /// <summary>Takes a time: ISO 8601 (UTC when no offset stands there), or plain seconds where <paramref name="secondsAllowed"/>.</summary>
    public void TakeTime(ref RideFix fix, ReadOnlySpan<char> cell, bool secondsAllowed)
    {
        var text = cell.Trim();
        if (text.IsEmpty || text.Equals("null", StringComparison.OrdinalIgnoreCase)) return;

        if (secondsAllowed && RideField.TryNumber(text, decimalComma: true, out var seconds))
        {
            TakeSeconds(ref fix, seconds);
        }
        else if (DateTimeOffset.TryParseExact(text, TimeFormats, CultureInfo.InvariantCulture, DateTimeStyles.AssumeUniversal, out var time))
        {
            TakeTime(ref fix, time);
        }
        else
        {
            errors.Add(new(source, fix.Line, RideField.TimeWord, $"'{text}'", "a time such as 2026-05-04T09:12:13Z"));
        }
    }

    /// <summary>Takes a time of day.</summary>
    public void TakeTime(ref RideFix fix, DateTimeOffset time)
    {
        startedAt ??= time;
        fix = fix with { TimeS = (time - startedAt.Value).TotalSeconds };
    }

    /// <summary>Takes seconds of a clock that begins anywhere.</summary>
    public void TakeSeconds(ref RideFix fix, double seconds)
    {
        startS ??= seconds;
        fix = fix with { TimeS = seconds - startS.Value };
    }

    /// <exception cref="InputException">Everything that is wrong with the file, at once; of one kind of error at most twenty places and the count of the rest.</exception>
    public Ride Close(string format, IEnumerable<string> notes, IReadOnlyList<string> unusedColumns)
    {
        if (startS is not null && startedAt is not null)
            errors.Add(new(source, 0, RideField.TimeWord, "seconds in some lines and times of day in others", "one of the two in the whole file"));
        RequireTimeToGoOn();
        RequireAWay();
        if (errors.Count > 0) throw new InputException(Readable(errors));

        List<string> repaired = [.. notes];
        foreach (var (word, (code, count)) in missing)
            repaired.Add(string.Create(CultureInfo.InvariantCulture, $"{count} of {fixes.Count} values of {word} held {code:0}, the code for 'not measured', and are taken as missing."));

        return new Ride
        {
            Name = source,
            Format = format,
            StartedAt = startedAt,
            Fixes = OnePerTime(repaired),
            Repaired = repaired,
            UnusedColumns = unusedColumns,
        };
    }

    /// <summary>A column in a wrong unit is wrong in every line: twenty places show it, thousands hide the rest.</summary>
    static List<InputError> Readable(List<InputError> all)
    {
        const int most = 20;
        List<InputError> shown = [];
        foreach (var alike in all.GroupBy(error => (error.Column, error.Expected)))
        {
            shown.AddRange(alike.Take(most));
            var (more, last) = (alike.Count() - most, alike.Last());
            if (more > 0) shown.Add(last with { Found = string.Create(CultureInfo.InvariantCulture, $"{more} more of the kind, the last one here: {last.Found}") });
        }

        return [.. shown.OrderBy(error => error.Line)];
    }

    void RequireTimeToGoOn()
    {
        RideFix? before = null;
        foreach (var fix in fixes)
        {
            if (!fix.HasTime) continue;
            if (before is { } last && fix.TimeS < last.TimeS)
            {
                var back = string.Create(CultureInfo.InvariantCulture, $"a time {last.TimeS - fix.TimeS:0.###} s before that of line {last.Line}");
                errors.Add(new(source, fix.Line, RideField.TimeWord, back, "time to go on", "Sort the lines by time, or split the file where the clock was set."));
            }

            before = fix;
        }
    }

    void RequireAWay()
    {
        if (errors.Count > 0) return;
        if (fixes.Count < 2)
        {
            errors.Add(new(source, 0, "", fixes.Count == 1 ? "one recorded point" : "no recorded points", "a ride of at least two points"));
            return;
        }

        var tells = fixes.Count(fix => fix.HasPosition) >= 2
            || fixes.Exists(fix => !double.IsNaN(fix.RecordedDistanceM))
            || fixes.Exists(fix => !double.IsNaN(fix.RecordedSpeedMps) && fix.HasTime);
        if (!tells)
            errors.Add(new(source, 0, "", "no positions, no distance and no speed with time", "at least one of them", "Without a way there is no road load."));
    }

    List<RideFix> OnePerTime(List<string> repaired)
    {
        var kept = new List<RideFix>(fixes.Count);
        var lastS = double.NaN;
        foreach (var fix in fixes)
        {
            if (fix.HasTime && fix.TimeS == lastS) continue;
            if (fix.HasTime) lastS = fix.TimeS;
            kept.Add(fix);
        }

        var repeats = fixes.Count - kept.Count;
        if (repeats > 0) repaired.Add(string.Create(CultureInfo.InvariantCulture, $"{repeats} of {fixes.Count} points repeat the time of the point before and were left out."));

        var timeless = kept.Count(fix => !fix.HasTime);
        if (timeless > 0)
        {
            repaired.Add(timeless == kept.Count
                ? "No point has a time: the way is known, speed and load are not."
                : string.Create(CultureInfo.InvariantCulture, $"{timeless} of {kept.Count} points have no time: kept for the way, left out of speed and load."));
        }

        return kept;
    }
}
