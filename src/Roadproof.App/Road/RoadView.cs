using Roadproof.Engineering.Quantities;
using Roadproof.Records.Definitions;
using Roadproof.Records.Rides;

namespace Roadproof.App.Road;

/// <summary>Everything that the page of the road shows.</summary>
/// <param name="Settings">As usual where the address's could not be read.</param>
/// <param name="Errors">What is wrong with the settings in the address; nothing is computed then.</param>
/// <param name="Rides">Kept, in the order in which they came.</param>
/// <param name="From">Place of the first ride that the list shows, the newest being 0.</param>
public sealed record RoadView(
    IReadOnlyList<RouteRevision> Products, RoadSettings Settings, IReadOnlyList<InputError> Errors, IReadOnlyList<RideFacts> Rides, RoadState State, AskRoad.Answer Sums, int From, KeepRides.Answer? Sent, string? Gone)
{
    public const int InList = 50;

    public RouteRevision Revision => AskRoad.RevisionOf(Settings, Products);

    public IEnumerable<RideFacts> Listed => Rides.Reverse().Skip(From).Take(InList);
}
