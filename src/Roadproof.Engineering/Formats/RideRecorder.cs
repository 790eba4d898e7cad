using System.Globalization;
using System.Runtime.InteropServices;
using Roadproof.Engineering.Quantities;

namespace Roadproof.Engineering.Formats;

/// <summary>Gathers fixes, errors and missing codes while a file is read, and closes them into a <see cref="Ride"/> or one refusal.</summary>
sealed class RideRecorder(string source)
{
    static readonly string[] TimeFormats =
    [
        "yyyy-MM-dd'T'HH:mm:ss.FFFFFFFK", "yyyy-MM-dd' 'HH:mm:ss.FFFFFFFK", "yyyy-MM-dd'T'HH:mmK", "yyyy-MM-dd' 'HH:mmK",
    ];

    /// <summary>No clock counts so many seconds (1970 and 3,000 years), but one that counts milliseconds does since 1973.</summary>
    const double NoClockS = 1e11;

    List<RideFix> fixes = [];
    readonly List<InputError> errors = [];
    readonly Dictionary<string, (double Code, int Count)> missing = new(StringComparer.Ordinal);
    DateTimeOffset? startedAt;
    double? startS;

    public List<InputError> Errors => errors;

    public int Count => fixes.Count;

    public void Add(in RideFix fix) => fixes.Add(fix);

    /// <summary>Takes fixes that were gathered elsewhere, instead of copying them.</summary>
    public void TakeAll(List<RideFix> gathered) => fixes = gathered;

    /// <summary>Takes a value into the fix; errors and missing codes are remembered with their place.</summary>
    public void Take(RideField field, ref RideFix fix, ReadOnlySpan<char> cell, double factor, bool decimalComma = false)
    {
        if (!field.Take(ref fix, cell, factor, decimalComma, source, errors)) return;
        missing[field.Word] = (field.MissingCode!.Value, missing.GetValueOrDefault(field.Word).Count + 1);
    }

    /// <summary>Takes a value in our own unit into the fix.</summary>
    public void Take(RideField field, ref RideFix fix, double value)
    {
        if (field.Holds(value)) field.Set(ref fix, value);
        else errors.Add(field.Refusal(source, fix.Line, value.ToString("0.###", CultureInfo.InvariantCulture), factor: 1));
    }

    /// <summary>Takes a latitude or longitude that must be there.</summary>
    public void TakePlace(RideField field, ref RideFix fix, string? value)
    {
        if (string.IsNullOrWhiteSpace(value)) errors.Add(new(source, fix.Line, field.Word, "nothing", $"a number in {field.Unit}"));
        else Take(field, ref fix, value, factor: 1);
    }

    /// <summary>Takes a time: ISO 8601 (UTC when no offset stands there), or a plain number of a clock that begins anywhere, in units of <paramref name="secondsPerNumber"/>; null allows no number.</summary>
    public void TakeTime(ref RideFix fix, ReadOnlySpan<char> cell, double? secondsPerNumber)
    {
        var text = cell.Trim();
        if (text.IsEmpty || text.Equals("null", StringComparison.OrdinalIgnoreCase)) return;

        if (secondsPerNumber is { } factor && RideField.TryNumber(text, decimalComma: true, out var number))
        {
            if (Math.Abs(number * factor) < NoClockS) TakeSeconds(ref fix, number * factor);
            else errors.Add(new(source, fix.Line, RideField.TimeWord, $"'{text}'", "seconds, or a time such as 2026-05-04T09:12:13Z", "Milliseconds are read when the header says so: time [ms]."));
        }
        else if (TryUtc(text, out var utc))
        {
            TakeTime(ref fix, utc);
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

    /// <summary>The form that nearly every recorder writes, 2026-05-04T09:12:13Z, digit by digit, before the forms are tried one by one.</summary>
    static bool TryUtc(ReadOnlySpan<char> text, out DateTimeOffset time)
    {
        time = default;
        if (text is not [_, _, _, _, '-', _, _, '-', _, _, 'T' or ' ', _, _, ':', _, _, ':', _, _, .. var rest] || rest is not ([] or ['Z'])) return false;
        if (!(Digits(text[..4], out var year) && Digits(text[5..7], out var month) && Digits(text[8..10], out var day)
            && Digits(text[11..13], out var hour) && Digits(text[14..16], out var minute) && Digits(text[17..19], out var second))) return false;
        if (year < 1 || month is < 1 or > 12 || day < 1 || day > DateTime.DaysInMonth(year, month) || hour > 23 || minute > 59 || second > 59) return false;
        time = new(year, month, day, hour, minute, second, TimeSpan.Zero);
        return true;

        static bool Digits(ReadOnlySpan<char> text, out int number)
        {
            number = 0;
            foreach (var c in text)
            {
                if (!char.IsAsciiDigit(c)) return false;
                number = (10 * number) + (c - '0');
            }

            return true;
        }
    }

    /// <summary>Takes a time of day.</summary>
    public void TakeTime(ref RideFix fix, DateTimeOffset time)
    {
        startedAt ??= time;
        fix.TimeS = (time - startedAt.Value).TotalSeconds;
    }

    /// <summary>Takes seconds of a clock that begins anywhere.</summary>
    public void TakeSeconds(ref RideFix fix, double seconds)
    {
        startS ??= seconds;
        fix.TimeS = seconds - startS.Value;
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
        var (lastS, lastLine) = (double.NegativeInfinity, 0);
        foreach (ref readonly var fix in CollectionsMarshal.AsSpan(fixes))
        {
            if (!fix.HasTime) continue;
            if (fix.TimeS < lastS)
            {
                var back = string.Create(CultureInfo.InvariantCulture, $"a time {lastS - fix.TimeS:0.###} s before that of line {lastLine}");
                errors.Add(new(source, fix.Line, RideField.TimeWord, back, "time to go on", "Sort the lines by time, or split the file where the clock was set."));
            }

            (lastS, lastLine) = (fix.TimeS, fix.Line);
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

        // A trainer indoors has no way, but its power over time is a load.
        var tells = fixes.Exists(fix => !double.IsNaN(fix.RecordedDistanceM))
            || fixes.Exists(fix => !double.IsNaN(fix.RecordedSpeedMps) && fix.HasTime)
            || fixes.Exists(fix => !double.IsNaN(fix.PowerW) && fix.HasTime)
            || fixes.Count(fix => fix.HasPosition) >= 2;
        if (!tells)
            errors.Add(new(source, 0, "", "no positions, no distance, and no speed or power with time", "at least one of them", "Without a way or a power there is no load."));
    }

    List<RideFix> OnePerTime(List<string> repaired)
    {
        var all = fixes.Count;
        var (kept, timeless, lastS) = (0, 0, double.NaN);
        var span = CollectionsMarshal.AsSpan(fixes);
        foreach (ref readonly var fix in span)
        {
            if (fix.TimeS == lastS) continue; // two that have no time are never equal
            if (fix.HasTime) lastS = fix.TimeS;
            else timeless++;
            span[kept++] = fix;
        }

        var repeats = all - kept;
        fixes.RemoveRange(kept, repeats);
        if (repeats > 0) repaired.Add(string.Create(CultureInfo.InvariantCulture, $"{repeats} of {all} points repeat the time of the point before and were left out."));
        if (timeless > 0)
        {
            repaired.Add(timeless == kept
                ? "No point has a time: the way is known, speed and load are not."
                : string.Create(CultureInfo.InvariantCulture, $"{timeless} of {kept} points have no time: kept for the way, left out of speed and load."));
        }

        return fixes;
    }
}
