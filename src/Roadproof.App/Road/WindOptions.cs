using System.CommandLine;
using Roadproof.Engineering.Road;

namespace Roadproof.App.Road;

/// <summary>The wind of a day: the options of every command that takes rides.</summary>
sealed class WindOptions
{
    readonly Option<double> headwind = new("--headwind-mps") { Description = "Wind against the rider all the way, m/s; negative from behind." };
    readonly Option<double?> station = new("--wind-mps") { Description = "Wind as a weather station tells it, m/s; with --wind-from-deg, and rides with positions. Without, what a ride's own table tells; 0 for none." };
    readonly Option<double?> from = new("--wind-from-deg") { Description = "Where it comes from, degrees from north over east: 270 is a west wind." };
    readonly Option<double> share = new("--wind-at-rider") { DefaultValueFactory = _ => Wind.AsRecorded.ShareAtRider, Description = "How much of the station's wind a rider meets: 0.4 among houses and trees, 0.6 over open country." };

    public IEnumerable<Symbol> All => [headwind, station, from, share];

    public Wind Of(ParseResult input) => new() { HeadwindMps = input.GetValue(headwind), StationMps = input.GetValue(station), FromDeg = input.GetValue(from), ShareAtRider = input.GetValue(share) };
}
