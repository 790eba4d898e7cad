using System.Text;
using Roadproof.App.Frame;
using Roadproof.Engineering.Formats;
using Roadproof.Engineering.Life;
using Roadproof.Engineering.Road;

namespace Roadproof.App.Road;

/// <summary>One line of a picture: least and greatest of each column of the paper, joined.</summary>
/// <param name="Style">first, second, third or fourth: how the line is drawn.</param>
/// <param name="Path">In thousandths of the paper's width and height.</param>
public sealed record ProfileLine(string Name, string Style, string Path);

/// <summary>A quantity over the way.</summary>
public sealed record ProfilePicture(string Name, string Unit, double FromY, double ToY, IReadOnlyList<ProfileLine> Lines, string Said);

/// <summary>A ride's pictures on one axis: its way, or its time where it has no road.</summary>
/// <param name="Spectrum">How often which load occurred; null without a road.</param>
public sealed record RideProfile(string XName, double ToX, IReadOnlyList<ProfilePicture> Pictures, RideFigures Figures, LoadSpectrum? Spectrum, double ChargeAtEnd, IReadOnlyList<string> Warnings)
{
    /// <summary>From the rotor to the output.</summary>
    public IReadOnlyList<ShaftOfRide> Shafts { get; init; } = [];

    /// <summary>Where the battery's energy went, J: to the output, lost in the unit, lost in the battery itself.</summary>
    public (double OutputJ, double UnitJ, double BatteryJ) Energy { get; init; }

    /// <summary>Columns of the paper: a line has two points in each, whatever the ride's length.</summary>
    public const int Columns = 600;

    public static RideProfile Of(RideFigures figures, LoadSpectrum? spectrum, Ride ride, UnitOnRoad on, Battery battery)
    {
        var path = RidePath.Of(ride);
        var load = on.Load;
        var (seconds, hasRoad) = (load.TimeS.Length, load.HasRoad && load.Summary.DistanceM > 0);
        var x = hasRoad ? AlongKm(path, load.TimeS) : [.. load.TimeS.Select(s => s / 60)];
        var toX = x[^1] > 0 ? x[^1] : 1;
        var columns = new ProfileColumns(x, toX);
        List<ProfilePicture> pictures = [];
        if (hasRoad && path.ElevationM is { } heightsM)
        {
            var atFix = new ProfileColumns([.. path.DistanceM.Select(m => m / 1000)], toX);
            pictures.Add(atFix.Draw("Elevation", "m", ("elevation", heightsM)));
            pictures.Add(columns.Draw("Gradient", "%", ("gradient", [.. load.Gradient.Select(g => 100 * g)])));
        }

        if (hasRoad) pictures.Add(columns.Draw("Speed", "km/h", ("speed", [.. load.SpeedMps.Select(v => 3.6 * v)])));
        pictures.Add(columns.Draw("Torque", "N·m", ("rider, at the chainring", on.RiderTorqueNm), ("motor, at its output", on.MotorTorqueNm)));
        pictures.Add(columns.Draw("Temperature", "°C", [("winding", on.WindingC), ("controller", on.ControllerC), .. Rim(on), ("housing", on.HousingC)]));
        pictures.Add(columns.Draw("Out of the battery", "W", ("power", on.BatteryW)));
        pictures.Add(columns.Draw("Charge left", "%", ("charge", Charge(on.BatteryW, battery))));
        return new(hasRoad ? "km" : "min", toX, pictures, figures, spectrum, on.ChargeAtEnd, [.. load.Warnings, .. on.Warnings])
        {
            Shafts = ShaftOfRide.Of(on),
            Energy = (on.MotorEnergyJ, on.LossEnergyJ, on.SagEnergyJ),
        };
    }

    /// <summary>The warmest of the wheels' rims; none where the definitions do not say how one is warmed.</summary>
    static IEnumerable<(string, double[])> Rim(UnitOnRoad on) =>
        on.WheelC.Zip(on.Unit.Gears).Where(w => w.Second is { WheelToHousingKPerW: not null, WheelJPerK: not null }).Select((w, k) => ("wheel rim", w.First)).Take(1);

    /// <summary>The way at each second, between the fixes that have a time.</summary>
    static double[] AlongKm(RidePath path, double[] timeS)
    {
        var km = new double[timeS.Length];
        var at = 0;
        var fixes = path.Fixes;
        for (var i = 0; i < km.Length; i++)
        {
            while (at + 1 < fixes.Count && !(fixes[at + 1].TimeS > timeS[i] + 0.5)) at++;
            var next = Math.Min(at + 1, fixes.Count - 1);
            var span = fixes[next].TimeS - fixes[at].TimeS;
            var share = span > 0 ? Math.Clamp((timeS[i] + 0.5 - fixes[at].TimeS) / span, 0, 1) : 0;
            km[i] = (path.DistanceM[at] + share * (path.DistanceM[next] - path.DistanceM[at])) / 1000;
            if (i > 0) km[i] = Math.Max(km[i], km[i - 1]);
        }

        return km;
    }

    static double[] Charge(double[] batteryW, Battery battery)
    {
        var left = new double[batteryW.Length];
        var charge = battery.ChargeAtStart;
        for (var i = 0; i < left.Length; i++)
        {
            charge = Math.Max(0, charge - batteryW[i] / (battery.EnergyWh * 3600));
            left[i] = 100 * charge;
        }

        return left;
    }
}

/// <summary>The columns that samples fall into, by their place on the axis.</summary>
sealed class ProfileColumns
{
    static readonly string[] Styles = ["first", "second", "third", "fourth"];

    readonly int[] column;

    public ProfileColumns(double[] x, double toX) => column = [.. x.Select(v => Math.Clamp((int)(RideProfile.Columns * v / toX), 0, RideProfile.Columns - 1))];

    public ProfilePicture Draw(string name, string unit, params (string Name, double[] Y)[] lines)
    {
        var (from, to) = Edges(lines.SelectMany(l => l.Y).Where(double.IsFinite).DefaultIfEmpty(0));
        var said = string.Join("; ", lines.Select(l => $"{(lines.Length > 1 ? l.Name + " " : "")}{Figure.Of(l.Y.DefaultIfEmpty(0).Min(), 0)} to {Figure.Of(l.Y.DefaultIfEmpty(0).Max(), 0)} {unit}"));
        return new(name, unit, from, to, [.. lines.Select((l, i) => new ProfileLine(l.Name, Styles[i], PathOf(l.Y, from, to)))], $"{name}: {said}.");
    }

    /// <summary>Zero stands on the paper where it is near.</summary>
    static (double From, double To) Edges(IEnumerable<double> values)
    {
        var (least, most) = (double.PositiveInfinity, double.NegativeInfinity);
        foreach (var v in values) (least, most) = (Math.Min(least, v), Math.Max(most, v));
        if (least > 0 && least < 0.5 * most) least = 0;
        var room = Math.Max(0.06 * (most - least), 1e-3 * Math.Max(1, Math.Abs(most)));
        return (least == 0 ? 0 : least - room, most + room);
    }

    string PathOf(double[] y, double from, double to)
    {
        var text = new StringBuilder();
        for (var i = 0; i < y.Length;)
        {
            var (at, least, most, leastAt, mostAt) = (column[i], y[i], y[i], i, i);
            for (; i < y.Length && column[i] == at; i++)
            {
                if (y[i] < least) (least, leastAt) = (y[i], i);
                if (y[i] > most) (most, mostAt) = (y[i], i);
            }

            Point(at, leastAt <= mostAt ? least : most);
            if (least != most) Point(at, leastAt <= mostAt ? most : least);
        }

        return text.ToString();

        void Point(int at, double value) => text.Append(text.Length == 0 ? 'M' : 'L').Append(Figure.Svg(1000 * (at + 0.5) / RideProfile.Columns)).Append(' ').Append(((int)Math.Round(1000 * (to - value) / (to - from))).ToString(CultureInfo.InvariantCulture));
    }
}
