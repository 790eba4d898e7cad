using Roadproof.Engineering.CycleDesign;
using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Road;

namespace Roadproof.App.Drive;

/// <summary>The shifting gearbox behind the motor as the form shows it, read strictly.</summary>
/// <param name="Box">Null where no ratio is told, and where something is wrong.</param>
/// <param name="Errors">Everything that was typed and cannot be.</param>
public sealed record GearboxForm(string Ratios, string Efficiencies, string Rpm, string MassG, ShiftingTransmission? Box, IReadOnlyList<InputError> Errors)
{
    public const string RatiosName = "gears", EfficienciesName = "gear-efficiency", RpmName = "gear-rpm", MassName = "gearbox-mass";

    /// <summary>Of each gear (common practice, no source).</summary>
    const string UsualEfficiency = "97";
    const int MostGears = 20;
    const string Place = "gearbox";

    /// <param name="asked">What was typed behind a name; null for what was not.</param>
    public static GearboxForm Read(DriveUnit unit, Func<string, string?> asked)
    {
        ArgumentNullException.ThrowIfNull(unit);
        ArgumentNullException.ThrowIfNull(asked);
        List<InputError> errors = [];
        string Typed(string name, string otherwise) => asked(name)?.Trim() is { Length: > 0 } typed ? typed : otherwise;
        var (ratiosText, efficienciesText, rpmText, massText) = (Typed(RatiosName, ""), Typed(EfficienciesName, UsualEfficiency), Typed(RpmName, UsualRpm(unit)), Typed(MassName, ""));

        var ratios = Numbers("Gear ratios", ratiosText, n => n is >= 0.1 and <= 10, "numbers from 0.1 to 10, a space between two, such as 0.8 1 1.3", errors);
        var shares = Numbers("Efficiency", efficienciesText, n => n is > 50 and <= 100, "numbers in % above 50 and up to 100: one for all gears, or one for each", errors);
        var rpm = Numbers("Motor speed", rpmText, n => n is >= 10 and <= 28_000, "one number in rpm from 10 to 28000", errors, one: true);
        var mass = Numbers("Mass", massText, n => n is >= 0 and <= 20_000, "one number in g from 0 to 20000, or nothing where nobody knows it", errors, one: true);
        if (ratios is { Count: > MostGears }) errors.Add(new(Place, 0, "Gear ratios", Figure(ratios.Count) + " gears", $"at most {Figure(MostGears)}"));
        if (ratios is { Count: > 0 } && shares is not null && shares.Count != 1 && shares.Count != ratios.Count)
            errors.Add(new(Place, 0, "Efficiency", $"{Figure(shares.Count)} numbers for {Figure(ratios.Count)} gears", "one for all gears, or one for each"));
        if (ratiosText.Length > 0 && unit.SitsInWheel) errors.Add(new(Place, 0, "Gear ratios", "a gearbox behind a unit that sits in the wheel", "one behind a unit at the crank, or none"));

        var box = errors.Count > 0 || ratios is not { Count: > 0 } ? null : new ShiftingTransmission
        {
            Gears = [.. ratios.Select((ratio, g) => new TransmissionGear { Ratio = ratio, Efficiency = shares![shares.Count == 1 ? 0 : g] / 100 })],
            RotorRadPerS = rpm![0] * Math.PI / 30,
            MassKg = mass is [var g] ? g / 1000 : null,
        };
        return new(ratiosText, efficienciesText, rpmText, massText, box, errors);
    }

    /// <summary>The part of an address that fills the form with a gearbox.</summary>
    public static IEnumerable<string> QueryOf(ShiftingTransmission box)
    {
        ArgumentNullException.ThrowIfNull(box);
        var efficiencies = box.Gears.Select(g => Figure(100 * g.Efficiency)).ToList();
        yield return $"{RatiosName}={Uri.EscapeDataString(string.Join(' ', box.Gears.Select(g => Figure(g.Ratio))))}";
        yield return $"{EfficienciesName}={Uri.EscapeDataString(efficiencies.Distinct().Count() == 1 ? efficiencies[0] : string.Join(' ', efficiencies))}";
        yield return $"{RpmName}={Figure(box.RotorRadPerS * 30 / Math.PI)}";
        if (box.MassKg is { } kg) yield return $"{MassName}={Figure(1000 * kg)}";
    }

    /// <summary>The motor's speed where a rider at the usual cadence turns it 1 : 1.</summary>
    static string UsualRpm(DriveUnit unit) => Figure(10 * Math.Round(Rider.Default.PreferredCadenceRadPerS * unit.Ratio * 3 / Math.PI));

    /// <returns>Null where one of them is no such number.</returns>
    static List<double>? Numbers(string label, string text, Func<double, bool> isPossible, string expected, List<InputError> errors, bool one = false)
    {
        // A comma before a space separates; one inside a number is a decimal comma, and no one can tell which is meant by "1,2".
        var parts = text.Split([' ', '\t', '\n', '\r', ';', '\u00A0', '\u202F'], StringSplitOptions.RemoveEmptyEntries).Select(p => p.TrimEnd(',')).ToList();
        List<double> numbers = [];
        foreach (var part in parts)
        {
            if (double.TryParse(part, NumberStyles.AllowLeadingSign | NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture, out var number) && isPossible(number)) numbers.Add(number);
            else errors.Add(new(Place, 0, label, $"'{part}'", expected, part.Contains(',') ? "Write a decimal point, not a comma." : null));
        }

        if (one && parts.Count > 1) errors.Add(new(Place, 0, label, $"'{text}'", expected));
        return numbers.Count == parts.Count ? numbers : null;
    }

    static string Figure(double value) => value.ToString("0.####", CultureInfo.InvariantCulture);
}
