using System.Globalization;
using System.Text;
using Roadproof.Engineering.Formats;
using Roadproof.Engineering.Road;

namespace Roadproof.Records.Rides;

/// <summary>A ride as the table that is kept: seconds, way, heights, speed, cadence, power, temperature. No position, no heart rate.</summary>
/// <remarks>
/// The way is found from the positions and takes their place; heights stand without their drift, which only positions tell. <see cref="RideFile"/> reads the table like any other.
/// Digits: 0.1 mm of way (a second's step carries an acceleration), 1 mm of height, 1 ms, 1 mm/s, 0.0001 rad/s, 0.1 W, 0.1 K.
/// </remarks>
static class RideTableText
{
    const string Header = "recording_piece,elapsed_time [s],distance [m],elevation [m],speed [m/s],cadence [rad/s],power [W],temperature [°C]";

    public static byte[] Of(RidePath path)
    {
        var text = new StringBuilder(Header.Length + 48 * path.Fixes.Count).AppendLine(Header);
        for (var i = 0; i < path.Fixes.Count; i++)
        {
            var fix = path.Fixes[i];
            text.Append(path.Pieces[i].ToString(CultureInfo.InvariantCulture));
            Cell(fix.TimeS, "0.###");
            Cell(path.HasRoad ? path.DistanceM[i] : double.NaN, "0.####");
            Cell(path.LevelledM is { } heightsM ? heightsM[i] : double.NaN, "0.###");
            Cell(fix.RecordedSpeedMps, "0.###");
            Cell(fix.CadenceRadPerS, "0.####");
            Cell(fix.PowerW, "0.#");
            Cell(fix.TemperatureC, "0.#");
            text.Append('\n');
        }

        return Encoding.UTF8.GetBytes(text.ToString().ReplaceLineEndings("\n"));

        void Cell(double value, string digits)
        {
            text.Append(',');
            if (!double.IsNaN(value)) text.Append(value.ToString(digits, CultureInfo.InvariantCulture));
        }
    }
}
