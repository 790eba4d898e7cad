using Roadproof.App.Frame;
using Roadproof.Engineering.Drive;
using Roadproof.Engineering.LoadTest;
using Roadproof.Records.ReadModel;

namespace Roadproof.App.Follow;

/// <summary>One screen of the walk: a step of the route, told to someone who has never seen a factory.</summary>
/// <param name="Step">Step id of the route, or <c>road</c> for the last screen.</param>
/// <param name="Layer">How far the picture is built; null where another picture stands.</param>
public sealed record FollowStage(string Step, int? Number, string Title, string Words, DrawingUnit.Layer? Layer)
{
    public const string Road = "road";

    /// <summary>A screen for every step of the unit's own route, and the road at the end.</summary>
    public static IReadOnlyList<FollowStage> Of(UnitView view, DriveUnit unit, DrawnScrews screws, LoadCycle cycle) =>
    [
        .. view.Steps.Select(s => Told(s.Step, unit, screws, cycle) is var (title, text)
            ? new FollowStage(s.Step, s.Number, title, text, StepPicture.LayerOf(s.Step))
            : new FollowStage(s.Step, s.Number, s.Name, "", StepPicture.LayerOf(s.Step))),
        new(Road, null, "Out on the road", "A bicycle builder hangs the unit under the pedals of a new bike. From now on it is rain, cobbles, hills and winters. Test riders put kilometres on bikes of the same kind, and what they wear out teaches tomorrow's load test where to look.", null),
    ];

    /// <summary>Where the unit is now: the step that runs, else the next one, else the road.</summary>
    public static string StageNow(UnitView view)
    {
        if (view.State == "shipped") return Road;
        var running = view.Steps.FirstOrDefault(s => s is { BeganAt: not null, EndedAt: null });
        var last = view.Steps.LastOrDefault(s => s.EndedAt is not null);
        return (running ?? last ?? view.Steps.FirstOrDefault())?.Step ?? Road;
    }

    // What is counted comes from the definitions: another product has other screws, gears and load cycle.
    static (string Title, string Text)? Told(string step, DriveUnit unit, DrawnScrews screws, LoadCycle cycle) => step switch
    {
        "shell-in" => ("It starts as an empty shell", "A cast metal housing, no bigger than a loaf of bread. Its code is scanned, and from this second on everything that happens to it is written down under that name."),
        "stator-in" => ("Copper that will pull", "The shell is heated until it has grown a few hundredths of a millimetre. The stator, iron with coils of copper around it, drops in; the shell cools and will never let go."),
        "rotor-in" => ("Magnets, handled with respect", "The rotor carries the magnets. They pull so hard towards the iron that no one guides them by hand: a machine lowers it in and watches the force."),
        "carrier-screws" => ($"{Capital(Said(screws.Carrier))} screws, each one remembered", "Every screw is turned by a tool that feels how hard and how far. Tight is not enough: a screw that turned too little has a dirty thread, one that turned too much has none."),
        "controller-in" => ("A brain, and paste to keep it cool", "The controller decides, thousands of times a second, how much current each coil gets. A weighed line of paste carries its heat into the shell."),
        "firmware" => ("Learning which way is up", "The programme goes in. Then the motor holds its rotor still and learns its angle. A few degrees wrong, and part of every watt would be wasted for life."),
        "gears-in" => ("From fast to strong", $"The motor spins quickly and weakly; legs turn slowly and strongly. {Capital(Said(unit.Gears.Count))} {(unit.Gears.Count == 1 ? "pair" : "pairs")} of gears trade one for the other. A nylon wheel keeps it quiet, and a weighed dose of grease keeps it alive."),
        "functional-check" => ("The last look inside", "Before the cover goes on for good, the unit is turned by hand tool both ways: drag, play, whether the clutch holds and lets go. What is wrong now can still be mended cheaply."),
        "cover" => ("Closed for good", $"A gasket, the cover, {Said(screws.Cover)} screws crosswise. No one opens it again without a reason that is written down."),
        "leak-check" => ("Will it drown?", "Air is pressed in, and a gauge listens for it to leave. A rainy commute is a long shower; a leak of a few bubbles a minute is already too much."),
        "load-test" => ($"A hill, a sprint and a headwind in {Figure.Of(cycle.PointsDurationS, 0)} seconds", "A rig takes the place of the rider and the road and asks for everything: idle, cruise, the steepest climb, the fastest spin. Hundreds of thousands of readings are compared with what physics says this very unit should do."),
        "label" => ("It has earned its label", "Only a unit that carried its load gets one. The label is scanned again on the unit, so that it is the right one."),
        "mark" => ("A name for life", "A laser writes a serial number and a small square code into the metal. The number ends in a check character, and it is read back at once. It will never be given again."),
        "pack" => ("Into the carton", "Weighed, because a missing part has a weight, then boxed with its neighbours. The record is complete, or the box stays here."),
        _ => null,
    };

    static readonly string[] Small = ["no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"];

    static string Said(int count) => count < Small.Length ? Small[count] : Figure.Count(count);

    static string Capital(string word) => char.ToUpperInvariant(word[0]) + word[1..];
}
