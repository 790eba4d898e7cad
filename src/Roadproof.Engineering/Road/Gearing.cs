using System.Globalization;
using Roadproof.Engineering.Quantities;

namespace Roadproof.Engineering.Road;

/// <summary>What lies between chainring and wheel: a cassette of sprockets, a hub with gears, a hub without steps, or a cassette before a hub.</summary>
public sealed record Gearing
{
    /// <summary>Eleven sprockets behind a chainring of 38 (common practice, no source).</summary>
    public static readonly Gearing Usual = new();

    const int MostTeeth = 80, MostGears = 60;

    public int ChainringTeeth { get; init; } = 38;

    public IReadOnlyList<int> SprocketTeeth { get; init; } = [11, 13, 15, 17, 20, 23, 26, 30, 34, 40, 46];

    /// <summary>Turns of the wheel per turn of the sprocket; [1] without gears in the hub. Of a hub without steps the least and the greatest.</summary>
    public IReadOnlyList<double> HubRatios { get; init; } = [1];

    /// <summary>The hub has every ratio between its least and its greatest: the rider keeps the preferred cadence within.</summary>
    public bool HubWithoutSteps { get; init; }

    /// <summary>Wheel turns per chainring turn, from the easiest gear to the hardest.</summary>
    public IReadOnlyList<double> Ratios => [.. SprocketTeeth.SelectMany(teeth => HubRatios.Select(hub => (double)ChainringTeeth / teeth * hub)).Distinct().Order()];

    /// <summary>What cannot be, each with its place.</summary>
    internal IEnumerable<InputError> Errors()
    {
        if (ChainringTeeth is < 8 or > MostTeeth) yield return Error("chainring", Text(ChainringTeeth), $"8 to {MostTeeth} teeth");
        if (SprocketTeeth.Count == 0) yield return Error("sprockets", "none", "the teeth of at least one sprocket, such as 11-13-15-18-21-24-28-32");
        foreach (var teeth in SprocketTeeth.Where(t => t is < 8 or > MostTeeth)) yield return Error("sprockets", Text(teeth), $"8 to {MostTeeth} teeth");
        if (HubRatios.Count == 0) yield return Error("hub", "none", "at least one ratio, 1 for a hub without gears");
        foreach (var ratio in HubRatios.Where(r => !(r is >= 0.1 and <= 10))) yield return Error("hub", Text(ratio), "turns of the wheel per turn of the sprocket between 0.1 and 10");
        if (SprocketTeeth.Count * HubRatios.Count > MostGears) yield return Error("sprockets", $"{Text(SprocketTeeth.Count * HubRatios.Count)} gears", $"at most {MostGears}");
        if (!HubWithoutSteps) yield break;
        if (HubRatios.Count != 2 || HubRatios[0] >= HubRatios[1]) yield return Error("hub", string.Join(" and ", HubRatios.Select(r => Text(r))), "the least and the greatest ratio of a hub without steps");
        if (SprocketTeeth.Count != 1) yield return Error("sprockets", $"{Text(SprocketTeeth.Count)} sprockets", "one sprocket in front of a hub without steps");
    }

    static InputError Error(string field, string found, string expected) => new("gears", 0, field, found, expected);

    static string Text(double value) => value.ToString(CultureInfo.InvariantCulture);
}

/// <summary>Chooses gears as a rider does: keeps one while the cadence feels right, and takes the one nearest to the preferred cadence when it does not.</summary>
sealed class GearChoice(Rider rider)
{
    /// <summary>The rider shifts when the cadence is this share away from the preferred one (common practice, no source).</summary>
    const double FeelsRight = 0.15;

    readonly double[] ratios = [.. rider.Gearing.Ratios];
    double ratio = rider.Gearing.Ratios[0];

    /// <summary>Cadence in rad/s at a road speed, after the shift that it may call for.</summary>
    public double CadenceRadPerS(double speedMps)
    {
        var wheelRadPerS = speedMps / rider.WheelRadiusM;
        var wanted = wheelRadPerS / rider.PreferredCadenceRadPerS;
        if (rider.Gearing.HubWithoutSteps) ratio = Math.Clamp(wanted, ratios[0], ratios[^1]);
        else if (Math.Abs((wanted / ratio) - 1) > FeelsRight) ratio = Nearest(wanted);
        return wheelRadPerS / ratio;
    }

    /// <summary>By the ratio of the two, not by their difference: the first of the gears nearest to the wanted one.</summary>
    double Nearest(double wanted)
    {
        var (nearest, least) = (ratios[0], double.PositiveInfinity);
        foreach (var gear in ratios)
        {
            var away = Math.Max(wanted / gear, gear / wanted);
            if (away >= least) continue;
            (nearest, least) = (gear, away);
        }

        return nearest;
    }
}
