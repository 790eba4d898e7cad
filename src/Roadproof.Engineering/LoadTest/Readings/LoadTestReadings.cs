using Roadproof.Engineering.Formats;
using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Signals;

namespace Roadproof.Engineering.LoadTest;

/// <summary>What one run's signals say, before anything is carried to reference conditions, compared or judged.</summary>
/// <remarks>Standard uncertainties are those of noise alone (type A); what a rig's instruments add is the judge's to know. Method: <c>docs/methods/load-test-readings.md</c>.</remarks>
public sealed record LoadTestReadings
{
    public required CaptureHeader Header { get; init; }

    /// <summary>How often the rig sampled.</summary>
    public required SampleRates Rates { get; init; }

    /// <summary>The load points that were found, in the cycle's order.</summary>
    public required IReadOnlyList<PointReading> Points { get; init; }

    /// <summary>Load points that no steady piece of the run fits, each with a sentence that says so.</summary>
    public required IReadOnlyList<MissingPoint> NotFound { get; init; }

    /// <summary>Null when the point they are read at was not found.</summary>
    public required OrderReadings? Orders { get; init; }

    /// <summary>Null when no window with vibration and enough turns was found.</summary>
    public required ToothImpulse? ToothImpulse { get; init; }
    public required FunctionReadings Functions { get; init; }

    /// <summary>What the rig's torque gauges read at the rest after the load points.</summary>
    public IReadOnlyList<ZeroAtRest> ZerosAtRest { get; init; } = [];

    /// <summary>Sentences on sensors of the unit that tell nothing: it cannot pass by such a run.</summary>
    public IReadOnlyList<string> Silent { get; init; } = [];

    /// <summary>What makes the readings fewer or less sure, as sentences.</summary>
    public required IReadOnlyList<string> Warnings { get; init; }

    /// <exception cref="InputException">The capture cannot be judged by this plan: a channel is missing, too slow, stuck or has holes, or the run was cut short.</exception>
    public static LoadTestReadings From(Capture capture, LoadTestPlan plan)
    {
        var warnings = new List<string>();
        var channels = RunChannels.Of(capture, plan, warnings);
        var (found, missing) = LoadPointWindows.Find(channels, plan);
        RecordedWindows.Require(found, channels);
        var points = found.ConvertAll(window => PointReading.Of(window, channels, plan));
        warnings.AddRange(missing.Select(m => m.Sentence));

        return new()
        {
            Header = capture.Header,
            Rates = channels.Rates,
            Points = points,
            NotFound = missing,
            Orders = OrderReadings.Of(points, channels, plan),
            ToothImpulse = ToothImpulse.Of(points, channels, plan),
            Functions = FunctionReadings.Of(found, points, channels, plan, warnings),
            ZerosAtRest = AtRest(found, channels),
            Silent = channels.Silent,
            Warnings = [.. warnings, .. RecordedWindows.Lacking(found, channels)],
        };
    }

    static List<ZeroAtRest> AtRest(List<LoadPointWindow> windows, RunChannels channels)
    {
        if (windows.FindLast(w => w.Point.OutputRpm == 0) is not { } rest) return [];
        (string Channel, string Name)[] torques = channels.HasCrank ? [(CaptureChannel.OutputTorque, "Output torque at rest"), (CaptureChannel.CrankTorque, "Crank torque at rest")] : [(CaptureChannel.OutputTorque, "Output torque at rest")];
        return [.. torques.Select(t => new ZeroAtRest(t.Channel, t.Name, SteadyMean.Of(channels.SlowRows(t.Channel, rest.Steady)).Value, "N·m"))];
    }

    /// <summary>The reading at a load point; null when it was not found.</summary>
    public PointReading? At(string point) => Points.FirstOrDefault(p => p.Point.Id == point);
}

/// <summary>A load point of the cycle that the run does not show.</summary>
public sealed record MissingPoint(LoadPoint Point, string Sentence);
