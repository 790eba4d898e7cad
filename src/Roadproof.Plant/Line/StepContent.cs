using System.Globalization;
using Roadproof.Engineering.Statistics;
using Roadproof.Plant.Faults;

namespace Roadproof.Plant.Line;

/// <summary>What a station reads and tightens at one step of one unit: usual values of sound units, and what the unit's hidden fault makes of them.</summary>
sealed class StepContent(LineStep step, UnitOnLine unit, ulong seed, int attempt)
{
    /// <summary>Sound torques and angles lie well inside their windows.</summary>
    public const double TorqueSpreadShareOfWindow = 1.0 / 18, AngleSpreadShareOfWindow = 1.0 / 14;

    /// <summary>Reading noise of the coarse check of the torque sensor's zero, N·m.</summary>
    const double CoarseZeroNoiseNm = 0.1;
    const double ForgottenGreaseG = 0.2;

    /// <summary>Reading noise of what a cell measures of its part, beside the scatter of the parts.</summary>
    const double ScanNoiseShare = 0.15;

    readonly SeededNoise _noise = new(seed, string.Create(CultureInfo.InvariantCulture, $"readings {unit.Truth.Number} {step.Id} {attempt}"));

    /// <param name="texts">Texts that come from the work itself: a code read back, a box, a customer.</param>
    public IReadOnlyList<SaidReading>? Readings(Func<string, string?> texts) =>
        step.Readings is { Count: > 0 } readings ? [.. readings.Select(r => Read(r, texts))] : null;

    public IReadOnlyList<SaidScrew>? Screws() =>
        step.Screws is { Count: > 0 } groups ? [.. groups.SelectMany(g => Enumerable.Range(1, g.Count).Select(n => Tighten(g, n)))] : null;

    /// <summary>How many pieces of a part the step takes: as many screws as the group that carries the part's name.</summary>
    public int Quantity(string part) => step.Screws?.FirstOrDefault(g => part == $"{g.Id}-screw")?.Count ?? 1;

    SaidReading Read(LineReading reading, Func<string, string?> texts)
    {
        if (reading.Text) return new(reading.Id, Text: (reading.OfVariant is { } asked ? unit.Variant?.Text(asked) : null) ?? texts(reading.Id) ?? reading.Equal ?? "yes");
        var usual = reading.UsualValue + reading.UsualSpread * _noise.Normal();
        var noise = usual - reading.UsualValue;
        var value = (reading.Id, unit.FaultInside?.Id) switch
        {
            _ when unit.CheckFaultInside is { } fault && fault.Readings.TryGetValue(reading.Id, out var moved) => moved + CheckFault.SpreadShare(moved, reading.UsualValue) * noise,
            ("flux-mean", _) => reading.UsualValue * unit.AsBuilt().FluxFactor + ScanNoiseShare * noise,
            ("resistance-uv" or "resistance-vw" or "resistance-wu", _) => reading.UsualValue * unit.AsBuilt().ResistanceFactor + ScanNoiseShare * noise,
            ("current-gain", _) => reading.UsualValue * unit.AsBuilt().CurrentGainFactor + ScanNoiseShare * noise,
            ("leak", FaultList.Leak) when reading.Upper is { } limit => FaultList.LeakShare * limit + usual - reading.UsualValue,
            ("grease-mass", FaultList.GreaseMissing) => ForgottenGreaseG,
            ("sensor-zero", _) => unit.AsBuilt().TorqueSensorZeroNm + CoarseZeroNoiseNm * _noise.Normal(),
            _ => usual,
        };

        // An instrument that cannot show less than nothing shows the least it can.
        if (reading.Lower is null && reading.UsualValue > 0) value = Math.Max(value, reading.UsualValue / 10);
        return new(reading.Id, Shown(value, reading.UsualSpread), reading.Unit.Length > 0 ? reading.Unit : null);
    }

    SaidScrew Tighten(LineScrews group, int number)
    {
        var torqueNm = group.MiddleNm + group.WindowNm * TorqueSpreadShareOfWindow * _noise.Normal();
        var angleDeg = (group.AngleLowerDeg + group.AngleUpperDeg) / 2 + (group.AngleUpperDeg - group.AngleLowerDeg) * AngleSpreadShareOfWindow * _noise.Normal();
        if (unit.FaultInside?.Id == FaultList.CoverScrew && group == unit.Line.Route.CoverScrews && number == 1 + unit.Truth.Number % group.Count)
            (torqueNm, angleDeg) = (torqueNm * FaultList.LooseScrewShare, angleDeg * FaultList.LooseScrewShare);
        return new(group.Id, number, Math.Round(torqueNm, 3), Math.Round(angleDeg, 1));
    }

    // As many digits as an instrument of that spread would show.
    static double Shown(double value, double spread) => Math.Round(value, spread > 0 ? Math.Clamp(2 - (int)Math.Floor(Math.Log10(spread)), 0, 6) : 3);
}
