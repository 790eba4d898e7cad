using System.Globalization;
using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Quantities;

namespace Roadproof.Engineering.Road;

/// <summary>The battery of a bicycle: how much it holds and how full it is when the ride begins.</summary>
public sealed record Battery
{
    public static readonly Battery Default = new();

    /// <summary>From full to empty, at its open terminals, Wh.</summary>
    public double EnergyWh { get; init; } = 500;

    /// <summary>1 is full.</summary>
    public double ChargeAtStart { get; init; } = 1;

    // Share of the way from the lowest to the highest voltage, at rest: the shape of lithium cells with nickel-rich cathodes (common practice, no source).
    static readonly double[] Charge = [0, 0.1, 0.3, 0.5, 0.75, 0.9, 1];
    static readonly double[] OfSpan = [0, 0.375, 0.5, 0.583, 0.75, 0.875, 1];

    /// <summary>Voltage at rest, V.</summary>
    /// <param name="charge">0 for empty to 1 for full.</param>
    public static double OpenCircuitV(Supply supply, double charge)
    {
        var at = 1;
        while (at < Charge.Length - 1 && charge > Charge[at]) at++;
        var share = Math.Clamp((charge - Charge[at - 1]) / (Charge[at] - Charge[at - 1]), 0, 1);
        var ofSpan = OfSpan[at - 1] + share * (OfSpan[at] - OfSpan[at - 1]);
        return supply.MinimumV + ofSpan * (supply.MaximumV - supply.MinimumV);
    }

    /// <summary>Current that gives a power at the terminals behind the battery's resistance, A.</summary>
    /// <remarks>The smaller root of P = (V0 − R·I)·I; at more than V0²/(4R) the battery gives its most.</remarks>
    public static double CurrentA(double openCircuitV, double resistanceOhm, double powerW) => resistanceOhm == 0
        ? powerW / openCircuitV
        : (openCircuitV - Math.Sqrt(Math.Max(0, openCircuitV * openCircuitV - 4 * resistanceOhm * powerW))) / (2 * resistanceOhm);

    /// <summary>What cannot be, each with its place.</summary>
    internal IEnumerable<InputError> Errors()
    {
        if (EnergyWh is not (> 0 and <= 5000)) yield return new("battery", 0, "energyWh", EnergyWh.ToString(CultureInfo.InvariantCulture), "an energy above 0 and up to 5000 Wh, such as 500");
        if (ChargeAtStart is not (> 0 and <= 1)) yield return new("battery", 0, "chargeAtStart", ChargeAtStart.ToString(CultureInfo.InvariantCulture), "a charge above 0 and up to 1 (full)");
    }
}
