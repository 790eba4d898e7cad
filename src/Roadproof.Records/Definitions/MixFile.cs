using System.Globalization;
using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Road;

namespace Roadproof.Records.Definitions;

/// <summary>Reads a rider mix.</summary>
public static class MixFile
{
    /// <exception cref="InputException">Every mistake there is, each with file, line, column, what was found and what was expected.</exception>
    public static RiderMix Read(string name, string text)
    {
        var findings = new Findings();
        var mix = new YamlBinder(findings).File<RiderMix>(name, YamlTree.Read(name, text, findings));
        foreach (var spread in new[] { mix.RiderMassKg, mix.BikeMassKg, mix.CdaM2, mix.RollingCoefficient, mix.CadenceRpm, mix.AirC, mix.MotorFollows, mix.HeadwindMps })
        {
            if (spread is null || !findings.Sound(spread, nameof(Spread.Mean), nameof(Spread.Least), nameof(Spread.Most))) continue;
            if (spread.Least > spread.Most) findings.Wrong(spread, nameof(Spread.Least), Figure(spread.Least), $"least up to most {Figure(spread.Most)}");
            else if (spread.Mean < spread.Least || spread.Mean > spread.Most) findings.Wrong(spread, nameof(Spread.Mean), Figure(spread.Mean), $"a mean from least {Figure(spread.Least)} to most {Figure(spread.Most)}");
        }

        if (mix.Assistance is { Count: 0 } || mix.Assistance?.Sum(a => a.Share) <= 0) findings.Wrong(mix, nameof(mix.Assistance), "no share", "a level of assistance with a share above 0, at least");
        if (mix.Terrains is { Count: 0 } || mix.Terrains?.Sum(t => t.Share) <= 0) findings.Wrong(mix, nameof(mix.Terrains), "no share", "a terrain with a share above 0, at least");
        return findings.InOrder is { Count: > 0 } errors ? throw new InputException(errors) : mix;
    }

    static string Figure(double value) => value.ToString("0.####", CultureInfo.InvariantCulture);
}
