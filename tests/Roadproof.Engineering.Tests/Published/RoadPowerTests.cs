using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Road;

namespace Roadproof.Engineering.Tests.Published;

/// <summary>
/// Source: Martin, Milliken, Cobb, McFadden, Coggan, J. Appl. Biomech. 14(3), 1998, 276–291. Form, wheel drag area, radius and efficiency quoted by open
/// projects; rolling coefficient and inertia from memory. Numbers of checks 9-5 and 9-6: recomputed from that form by a script outside the project.
/// </summary>
public sealed class RoadPowerTests
{
    static readonly RoadResistance Racer = new()
    {
        MassKg = 90, CdaM2 = 0.2565, WheelDragM2 = 0.0044, RollingCoefficient = 0.0032, DensityKgPerM3 = 1.2234, Efficiency = 0.976, GravityMps2 = 9.81,
    };

    // check 9-5: level road, no wind; CdA + Fw = 0.2609 m²
    [Theory]
    [InlineData(5.000000, 19.949066, 14.126400, 0.672500, 35.602424)]
    [InlineData(8.333333333, 92.356777, 23.543999, 1.362500, 120.146799)]
    [InlineData(10.000000, 159.592530, 28.252800, 1.780000, 194.288248)]
    [InlineData(11.111111111, 218.919788, 31.392000, 2.085185, 258.603455)]
    [InlineData(12.500000, 311.704160, 35.316000, 2.496875, 358.111716)]
    public void Gives_the_level_road_term_by_term(double speedMps, double airW, double rollingW, double bearingW, double totalW)
    {
        var power = RoadPower.At(speedMps, gradient: 0, Racer);
        Assert.Equal(airW, power.AirW, 1e-4);
        Assert.Equal(rollingW, power.RollingW, 1e-4);
        Assert.Equal(bearingW, power.BearingW, 1e-4);
        Assert.Equal(0, power.GravityW);
        Assert.Equal(0, power.KineticW);
        Assert.Equal(totalW, power.TotalW, 1e-4);
    }

    // check 9-6: 8 % with an upright rider
    [Fact]
    public void Gives_a_climb_term_by_term()
    {
        var upright = new RoadResistance { MassKg = 110, CdaM2 = 0.6, WheelDragM2 = 0, RollingCoefficient = 0.006, DensityKgPerM3 = 1.225, Efficiency = 1, GravityMps2 = 9.81 };
        var power = RoadPower.At(speedMps: 4, gradient: 0.08, upright);
        Assert.Equal(23.52000, power.AirW, 1e-5);
        Assert.Equal(25.81592, power.RollingW, 1e-5);
        Assert.Equal(0.50320, power.BearingW, 1e-5);
        Assert.Equal(344.21228, power.GravityW, 1e-5);
        Assert.Equal(394.05140, power.TotalW, 1e-5);
    }

    // The paper's finite form of check 9-4, (m + I/r²)(v_f² − v_i²)/(2Δt), with I 0.14 kg·m², r 0.311 m: from 9.9 to 10.1 m/s in 1 s.
    [Fact]
    public void Speeding_up_costs_the_gain_of_energy()
    {
        var expectedW = (90 + (0.14 / (0.311 * 0.311))) * ((10.1 * 10.1) - (9.9 * 9.9)) / 2;
        var power = RoadPower.At(10, 0, Racer with { WheelInertiaKgM2 = 0.14, WheelRadiusM = 0.311 }, accelerationMps2: 0.2);
        Assert.Equal(expectedW, power.KineticW, 1e-9);
        Assert.Equal(194.288248 + (expectedW / 0.976), power.TotalW, 1e-4);
    }

    // A headwind of 4 m/s at 20 km/h, 100 kg: 197 W (printed by a script outside the project, no digits behind the point).
    [Fact]
    public void A_headwind_counts_twice() => Assert.Equal(
        197,
        RoadPower.At(20 / 3.6, 0, new RoadResistance { MassKg = 100, DensityKgPerM3 = 1.2, Efficiency = 0.977, GravityMps2 = 9.81 }, headwindMps: 4).TotalW,
        0.5);

    [Fact]
    public void A_tailwind_faster_than_the_ride_pushes() =>
        Assert.Equal(-RoadPower.At(5, 0, Racer).AirW, RoadPower.At(5, 0, Racer, headwindMps: -10).AirW, 1e-9);

    [Fact]
    public void Refuses_everything_that_cannot_be_at_once()
    {
        var refused = Assert.Throws<InputException>(() => RoadPower.At(-1, 3, Racer with { MassKg = 0, Efficiency = 1.2 }, accelerationMps2: double.NaN));
        Assert.Equal(["speedMps", "gradient", "accelerationMps2", "massKg", "efficiency"], refused.Errors.Select(error => error.Column));
        Assert.Equal("road power: efficiency: found 1.2, expected an efficiency above 0 and up to 1.", refused.Errors[^1].ToString());
    }
}
