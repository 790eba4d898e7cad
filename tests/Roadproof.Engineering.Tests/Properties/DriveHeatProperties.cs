using CsCheck;
using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Tests.Fixtures;

namespace Roadproof.Engineering.Tests.Properties;

/// <summary>What holds for every warming: one step is many, heat is not lost, and small blind steps arrive at the same place.</summary>
public sealed class DriveHeatProperties
{
    static readonly Gen<Heat> AnyHeat = Gen.Select(Gen.Double[0, 120], Gen.Double[0, 20], Gen.Double[0, 5], Gen.Double[0, 25], Gen.Double[0, 50],
        (winding, stator, rotor, controller, housing) => new Heat(winding, stator, rotor, controller, housing));

    static readonly Gen<ThermalState> AnyState = Gen.Select(Gen.Double[-20, 150], Gen.Double[-20, 120], Gen.Double[-20, 120], Gen.Double[-20, 90], Gen.Double[-20, 80],
        (winding, stator, rotor, controller, housing) => new ThermalState(winding, stator, rotor, controller, housing));

    static readonly Gen<(Thermal Thermal, double AirMps)> AnyCooling =
        Gen.Select(Gen.OneOf(Gen.Const(MidDrive.Unit.Thermal), Gen.Const(GearedHub.Unit.Thermal)), Gen.Double[0, 10]);

    [Fact]
    public void One_long_step_is_two_short_ones() =>
        Gen.Select(AnyCooling, AnyState, AnyHeat, Gen.Double[0, 5000], Gen.Double[0, 500]).Sample((cooling, state, heat, firstS, secondS) =>
        {
            var network = new ThermalNetwork(cooling.Thermal, cooling.AirMps);
            var twice = network.Step(network.Step(state, heat, 20, firstS), heat, 20, secondS);
            Close(network.Step(state, heat, 20, firstS + secondS), twice, 1e-9);
        });

    // Oracle: the five balances written out, in explicit steps of 5 ms, as one would on paper.
    [Fact]
    public void Blind_small_steps_of_the_written_out_balances_arrive_at_the_same_place() =>
        Gen.Select(AnyCooling, AnyState, AnyHeat).Sample((cooling, start, heat) =>
        {
            var t = cooling.Thermal;
            var network = new ThermalNetwork(t, cooling.AirMps);
            var housingToAir = ThermalNetwork.HousingToAirWPerK(t, cooling.AirMps);
            double w = start.WindingC, s = start.StatorC, r = start.RotorC, c = start.ControllerC, h = start.HousingC;
            const double dt = 0.005;
            for (var n = 0; n < 12_000; n++)
            {
                var ws = (w - s) / t.WindingStatorKPerW;
                var sh = (s - h) / t.StatorHousingKPerW;
                var rs = (r - s) / t.RotorStatorKPerW;
                var rh = (r - h) / t.RotorHousingKPerW;
                var ch = (c - h) / t.ControllerHousingKPerW;
                var ca = t.ControllerAmbientKPerW is { } toAir ? (c - 20) / toAir : 0;
                var ha = (h - 20) * housingToAir;
                w += dt * (heat.WindingW - ws) / t.WindingJPerK;
                s += dt * (heat.StatorW + ws + rs - sh) / t.StatorJPerK;
                r += dt * (heat.RotorW - rs - rh) / t.RotorJPerK;
                c += dt * (heat.ControllerW - ch - ca) / t.ControllerJPerK;
                h += dt * (heat.HousingW + sh + rh + ch - ha) / t.HousingJPerK;
            }

            Close(network.Step(start, heat, 20, 60), new(w, s, r, c, h), 0.02);
        }, iter: 20);

    [Fact]
    public void Settled_all_heat_goes_to_the_air() =>
        Gen.Select(AnyCooling, AnyHeat, Gen.Double[-10, 40]).Sample((cooling, heat, ambientC) =>
        {
            var network = new ThermalNetwork(cooling.Thermal, cooling.AirMps);
            var settled = network.Settled(heat, ambientC);
            Assert.Equal(heat.TotalW, network.ToAmbientW(settled, ambientC), 1e-9 * Math.Max(1, heat.TotalW));
            Close(settled, network.Step(settled, heat, ambientC, 1000), 1e-9);
        });

    // For a short step what goes in is what is stored and what has left (trapezium over the step).
    [Fact]
    public void Heat_is_stored_or_leaves() =>
        Gen.Select(AnyCooling, AnyState, AnyHeat).Sample((cooling, start, heat) =>
        {
            var network = new ThermalNetwork(cooling.Thermal, cooling.AirMps);
            var end = network.Step(start, heat, 20, 0.1);
            var leftJ = 0.1 * (network.ToAmbientW(start, 20) + network.ToAmbientW(end, 20)) / 2;
            Assert.Equal(0.1 * heat.TotalW, network.StoredJ(end, 20) - network.StoredJ(start, 20) + leftJ, 1e-3);
        });

    [Fact]
    public void Every_watt_lost_warms_some_part() =>
        Gen.Select(Gen.Double[0, 100], Gen.Double[0, 20], Gen.Double[0, 10], Gen.Double[0, 25], Gen.Double[0, 50]).Sample((copper, iron, friction, inverter, gears) =>
        {
            var losses = new Losses(copper, iron, friction, inverter, gears);
            Assert.Equal(losses.TotalW, Heat.From(losses).TotalW, 1e-9);
        });

    [Fact]
    public void Air_cools_by_the_known_values_and_never_less_when_faster()
    {
        var thermal = MidDrive.Unit.Thermal;
        Assert.Equal(1 / 0.9, ThermalNetwork.HousingToAirWPerK(thermal, 0), 12);
        Assert.Equal(1 / 0.4, ThermalNetwork.HousingToAirWPerK(thermal, 20 / 3.6), 12);
        Gen.Select(Gen.Double[0, 12], Gen.Double[0, 12]).Sample((a, b) =>
            Assert.True(ThermalNetwork.HousingToAirWPerK(thermal, Math.Max(a, b)) >= ThermalNetwork.HousingToAirWPerK(thermal, Math.Min(a, b))));
    }

    static void Close(ThermalState expected, ThermalState found, double toleranceK)
    {
        Assert.Equal(expected.WindingC, found.WindingC, toleranceK);
        Assert.Equal(expected.StatorC, found.StatorC, toleranceK);
        Assert.Equal(expected.RotorC, found.RotorC, toleranceK);
        Assert.Equal(expected.ControllerC, found.ControllerC, toleranceK);
        Assert.Equal(expected.HousingC, found.HousingC, toleranceK);
    }
}
