using Roadproof.Engineering.Drive;
using Roadproof.Engineering.LoadTest;

namespace Roadproof.Plant.Tests;

/// <summary>The load test that the simulated rig runs in these tests.</summary>
static class Fixtures
{
    public static readonly DriveUnit Unit = MidDrive.Unit;
    public static readonly LoadTestPlan Plan = DemoPlan.Plan;

    /// <summary>The same plan with instruments that make no noise and no error, and grease that drags alike at any temperature, as the printed figures of this set have it.</summary>
    public static readonly LoadTestPlan Noiseless = Plan with
    {
        Unit = Unit with { GearDrag = Unit.GearDrag with { TemperaturePerK = 0 } },
        Gauges = new() { Gauges = [.. Plan.Gauges.Gauges.Select(g => g with { GainShare = 0, Zero = 0, NoiseRms = 0 })] },
    };
}
