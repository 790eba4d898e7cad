using System.Text.RegularExpressions;
using Roadproof.Records.Definitions;

namespace Roadproof.Tests.Shared;

/// <summary>The demo's first line with a functional check that is judged from its capture, by the tolerances that it needs.</summary>
static partial class FunctionalFolder
{
    public const string Route = "routes/af-85.yaml";
    public const string Key = "    functional: { readings: [drag-forward, drag-backward, backlash, clutch-lock, clutch-free, sensor-zero, phase-balance], turnDegPerS: 60, rampToNm: 140 }\n";

    public static readonly IReadOnlyList<(string Name, string Text)> Files =
    [
        .. DemoFolder.With(
            ("products/af-85.yaml", "    torqueSensorZeroNm: 0.6\n", "    torqueSensorZeroNm: 0.6\n    crankDragShare: 0.225\n    takeUpDeg: 0.9\n"),
            (Route, "    caution: The crank turns by motor. Keep hands and sleeves out until it stands.\n", "    caution: The crank turns by motor. Keep hands and sleeves out until it stands.\n" + Key))
            .Select(f => f.Name == Route ? (f.Name, Turned().Replace(f.Text, "")) : f),
    ];

    public static RouteRevision Revision => DemoFolder.Read(Files) with { Id = "af-85/1", Number = 1 };

    public static List<(string Name, string Text)> With(params (string File, string From, string To)[] edits) => DemoFolder.Edited(Files, edits);

    // A capture brings its own uncertainty.
    [GeneratedRegex(@"(?<=id: (drag-forward|drag-backward|backlash|clutch-lock|clutch-free|sensor-zero|phase-balance),[^\n]*)standardUncertainty: [0-9.]+, ", RegexOptions.ExplicitCapture, 5000)]
    private static partial Regex Turned();
}
