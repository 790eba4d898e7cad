using Roadproof.Engineering.Quantities;

namespace Roadproof.Engineering.Formats;

/// <summary>Column heads of foreign files: a unit may stand in brackets behind the name and must then be ours.</summary>
static class CaptureNames
{
    static readonly Dictionary<string, string> EndingByUnit = new(StringComparer.Ordinal)
    {
        ["s"] = "_s", ["V"] = "_v", ["A"] = "_a", ["rad"] = "_rad", ["rad/s"] = "_rad_s", ["N·m"] = "_nm", ["Nm"] = "_nm", ["N m"] = "_nm",
        ["°C"] = "_c", ["C"] = "_c", ["m/s²"] = "_m_s2", ["m/s2"] = "_m_s2", ["m/s^2"] = "_m_s2",
    };

    /// <summary>The channel name behind a column head such as <c>crank_torque [N·m]</c>; a unit that is not the channel's own is an error.</summary>
    public static string Channel(string source, string head, List<InputError> errors)
    {
        var open = head.IndexOf('[', StringComparison.Ordinal);
        if (open < 0 || !head.EndsWith(']')) return head.Trim();

        var name = head[..open].Trim();
        var unit = head[(open + 1)..^1].Trim();
        var known = EndingByUnit.TryGetValue(unit, out var ending);
        if (known && !name.EndsWith(ending!, StringComparison.Ordinal) && IsOurs(name + ending)) return name + ending;
        if (IsOurs(name) && !(known && name.EndsWith(ending!, StringComparison.Ordinal)) && unit is not ("" or "-" or "1"))
            errors.Add(new(source, 1, name, $"unit [{unit}]", "the unit that ends the channel's name", "Convert the column before it is sent; units are not guessed."));
        return name;
    }

    public static InputError NoTime(string source, IEnumerable<string> names)
    {
        var found = names.ToList();
        var nearest = CaptureChannel.Nearest(CaptureChannel.Time, found);
        return new(source, 0, "", $"no column {CaptureChannel.Time} among {Listed(found)}", "a column time_s with the seconds since the start of the run",
            nearest is null ? null : $"Is '{nearest}' the time? Then name it {CaptureChannel.Time}.");
    }

    public static bool IsOurs(string name) => name == CaptureChannel.Time || CaptureChannel.Known.Contains(name);

    static string Listed(List<string> names) => names.Count <= 6 ? string.Join(", ", names) : string.Join(", ", names.Take(6)) + ", …";
}
