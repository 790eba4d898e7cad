using Roadproof.Engineering.Checks;
using Roadproof.Engineering.Drive;

namespace Roadproof.Records.Definitions;

/// <summary>How a hold of pressure is read as a leak; the reading's upper limit is the largest leak.</summary>
public sealed record LeakPlan
{
    /// <summary>Volume under test with hoses and tester; the product's free volume where it is left out.</summary>
    public double? VolumeCm3 { get; init; }
    public double VolumeUncertaintyCm3 { get; init; }

    /// <summary>Above the atmosphere, below zero for a vacuum; the product's where it is left out.</summary>
    public double? TestPressurePa { get; init; }

    /// <summary>Smallest step that the pressure gauge shows.</summary>
    public double PressureStepPa { get; init; }

    /// <summary>Shortest settled stretch that is judged.</summary>
    public double LeastS { get; init; } = 5;

    /// <summary>Everything that a hold of pressure is judged by.</summary>
    /// <param name="seal">The product's; needed where the plan leaves volume or pressure to it.</param>
    public LeakTest Test(StepReading reading, Seal? seal) => new()
    {
        VolumeM3 = VolumeCm3 / 1e6 ?? seal!.FreeVolumeM3,
        VolumeUncertaintyM3 = VolumeUncertaintyCm3 / 1e6,
        TestPressurePa = TestPressurePa ?? seal!.TestPressurePa,
        PressureStepPa = PressureStepPa,
        LeastS = LeastS,
        Limit = new(null, reading.Upper, reading.Origin, reading.Guard),
    };
}
