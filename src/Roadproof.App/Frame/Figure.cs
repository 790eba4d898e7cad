namespace Roadproof.App.Frame;

/// <summary>Numbers and times as the pages write them: a true minus sign, groups of three from 10 000 on, no more digits than are known.</summary>
public static class Figure
{
    const string NarrowSpace = "\u202F";

    /// <summary>So many decimals, with a true minus sign.</summary>
    public static string Of(double value, int decimals)
    {
        if (!double.IsFinite(value)) return "";
        var text = value.ToString("F" + decimals.ToString(CultureInfo.InvariantCulture), CultureInfo.InvariantCulture);
        if (text.StartsWith('-') && text.AsSpan().IndexOfAnyInRange('1', '9') < 0) text = text[1..];
        return text.Replace('-', '\u2212');
    }

    /// <summary>As many decimals as the standard uncertainty carries: the place of its first digit, none beyond the fifth.</summary>
    public static string Within(double value, double standardUncertainty) => Of(value, Decimals(value, standardUncertainty));

    /// <summary>Decimals that <see cref="Within"/> writes.</summary>
    public static int Decimals(double value, double standardUncertainty)
    {
        var smallest = standardUncertainty > 0 ? standardUncertainty / 10 : Math.Abs(value) / 200;
        return smallest <= 0 ? 0 : Math.Clamp((int)Math.Ceiling(-Math.Log10(smallest) - 1e-9) - (standardUncertainty > 0 ? 1 : 0), 0, 5);
    }

    /// <summary>An edge as it was written down: no digits that nobody set.</summary>
    public static string Edge(double value) => Of(value, 0) is var whole && Math.Abs(value - Math.Round(value)) < 1e-9 ? whole : value.ToString("0.####", CultureInfo.InvariantCulture).Replace('-', '\u2212');

    public static string Count(long number)
    {
        var text = Math.Abs(number).ToString(CultureInfo.InvariantCulture);
        if (text.Length > 4)
            for (var i = text.Length - 3; i > 0; i -= 3) text = text.Insert(i, NarrowSpace);
        return number < 0 ? "\u2212" + text : text;
    }

    /// <summary>"1 unit", "3 units".</summary>
    public static string Of(long number, string one) => $"{Count(number)} {one}{(number == 1 ? "" : "s")}";

    /// <summary>A probability as a percentage that never says 0 or 100 of something that is neither.</summary>
    public static string Sure(double probability) => probability switch
    {
        > 0.9999 => "> 99.99 %",
        > 0.999 => "> 99.9 %",
        >= 0.1 => $"{Of(Math.Min(99.9, 100 * probability), 1)} %",
        >= 0.001 => $"{Of(100 * probability, 1)} %",
        _ => "< 0.1 %",
    };

    /// <summary>A share of causes: whole per cent, with its ends kept open.</summary>
    public static string WholePercent(double share) => share switch
    {
        > 0.995 => "> 99",
        > 0 and < 0.005 => "< 1",
        _ => Of(100 * share, 0),
    };

    /// <summary>Time of day at the plant.</summary>
    public static string Clock(DateTimeOffset at, DateTimeOffset now) => at.ToOffset(now.Offset).ToString("HH:mm", CultureInfo.InvariantCulture);

    /// <summary>A time in a table of a command, in plant time; the column's head says which (<see cref="PlantTime"/>).</summary>
    public static string Day(DateTimeOffset at) => at.ToString("d MMM HH:mm", CultureInfo.InvariantCulture);

    /// <summary>Head of a column of bare times: what they are of, and the zone.</summary>
    public static string PlantTime(string of, DateTimeOffset now) =>
        $"{of}, UTC{(now.Offset < TimeSpan.Zero ? "−" : "+")}{now.Offset.ToString("hh\\:mm", CultureInfo.InvariantCulture)}";

    /// <summary>Time of day for today, else the day as well.</summary>
    public static string When(DateTimeOffset at, DateTimeOffset now)
    {
        var there = at.ToOffset(now.Offset);
        return there.ToString(there.Date == now.Date ? "HH:mm" : there.Year == now.Year ? "d MMM HH:mm" : "d MMM yyyy HH:mm", CultureInfo.InvariantCulture);
    }

    /// <summary>How long ago, in the unit a person would say.</summary>
    public static string Ago(TimeSpan span) => span.TotalSeconds switch
    {
        < 1 => "now",
        < 100 => $"{Of(span.TotalSeconds, 0)} s",
        < 100 * 60 => $"{Of(span.TotalMinutes, 0)} min",
        < 48 * 3600 => $"{Of(span.TotalHours, 0)} h",
        _ => $"{Of(span.TotalDays, 0)} days",
    };

    public static string Bytes(long bytes) => bytes switch
    {
        >= 1_000_000 => $"{Of(bytes / 1e6, 1)} MB",
        >= 1_000 => $"{Of(bytes / 1e3, 0)} kB",
        _ => $"{Count(bytes)} B",
    };

    /// <summary>A number as SVG and data attributes read it.</summary>
    public static string Svg(double value) => double.IsFinite(value) ? value.ToString("0.###", CultureInfo.InvariantCulture) : "0";

    /// <summary>A share of a width, for SVG.</summary>
    public static string Percent(double percent) => Svg(percent) + "%";
}
