using System.Globalization;
using System.Text;
using Roadproof.Engineering.Quantities;

namespace Roadproof.Engineering.Formats;

/// <summary>What one file says of the run it belongs to: <c>item, rig, revision, attempt, startedAt, idleS</c>.</summary>
sealed class CaptureMetadata(string source)
{
    readonly string source = source;
    readonly Dictionary<string, string> said = new(StringComparer.Ordinal);

    public void Say(string key, string value)
    {
        if (value.Length > 0) said[key] = value;
    }

    /// <summary>Reads <c>key: value</c> lines, the flat kind of YAML.</summary>
    public void ReadLines(ReadOnlySpan<byte> octets, List<InputError> errors)
    {
        var number = 0;
        foreach (var line in Encoding.UTF8.GetString(octets).TrimStart('\uFEFF').Split('\n'))
        {
            number++;
            var text = line.Trim();
            if (text.Length == 0 || text[0] == '#' || text == "---") continue;
            var colon = text.IndexOf(':', StringComparison.Ordinal);
            if (colon > 0) Say(text[..colon].Trim(), text[(colon + 1)..].Trim().Trim('"', '\''));
            else errors.Add(new(source, number, "", $"'{text}'", "a line such as 'rig: rig2'"));
        }
    }

    /// <summary>The one header that all files agree on; a file that is silent agrees with everyone.</summary>
    public static CaptureHeader Agreed(IReadOnlyList<CaptureMetadata> files, List<InputError> errors)
    {
        var attempt = AgreedText(files, "attempt", errors);
        int? attemptNumber = null;
        if (attempt is var (attemptFile, attemptText))
        {
            if (int.TryParse(attemptText, NumberStyles.None, CultureInfo.InvariantCulture, out var n) && n > 0) attemptNumber = n;
            else errors.Add(new(attemptFile, 0, "attempt", $"'{attemptText}'", "a whole number from 1"));
        }

        var started = AgreedText(files, "startedAt", errors);
        DateTimeOffset? startedAt = null;
        if (started is var (startedFile, startedText))
        {
            if (DateTimeOffset.TryParse(startedText, CultureInfo.InvariantCulture, DateTimeStyles.AssumeUniversal, out var t)) startedAt = t;
            else errors.Add(new(startedFile, 0, "startedAt", $"'{startedText}'", "a date and time such as 2031-03-04T07:12:55+01:00"));
        }

        double? idleS = null;
        if (AgreedText(files, "idleS", errors) is var (idleFile, idleText))
        {
            if (double.TryParse(idleText, NumberStyles.Float, CultureInfo.InvariantCulture, out var s) && double.IsFinite(s) && s >= 0) idleS = s;
            else errors.Add(new(idleFile, 0, "idleS", $"'{idleText}'", "seconds that the unit had stood, 0 or more"));
        }

        return new(AgreedText(files, "item", errors)?.Text, AgreedText(files, "rig", errors)?.Text, AgreedText(files, "revision", errors)?.Text, attemptNumber, startedAt) { IdleS = idleS };
    }

    static (string Source, string Text)? AgreedText(IReadOnlyList<CaptureMetadata> files, string key, List<InputError> errors)
    {
        (string Source, string Text)? first = null;
        foreach (var file in files)
        {
            if (!file.said.TryGetValue(key, out var text)) continue;
            if (first is not var (firstSource, firstText)) first = (file.source, text);
            else if (firstText != text)
                errors.Add(new(file.source, 0, key, $"'{text}'", $"'{firstText}' as in {firstSource}", "These files are not of one run: send the files of one run together."));
        }

        return first;
    }
}
