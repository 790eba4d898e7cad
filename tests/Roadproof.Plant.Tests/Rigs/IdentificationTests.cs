using System.Globalization;
using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Formats;
using Roadproof.Engineering.LoadTest;
using Roadproof.Engineering.Statistics;
using Roadproof.Plant.Rigs;

namespace Roadproof.Plant.Tests.Rigs;

/// <summary>
/// Parameters of a unit from whole captures that were integrated in time and share no computation with what identifies them. Unit, rig, room and the doubts that are declared (magnets' warmth, the model's own share) are drawn.
/// Name another number of units in ROADPROOF_IDENTIFIED_UNITS; the figures of a hundred stand in bench/RESULTS.md.
/// </summary>
public sealed class IdentificationTests(ITestOutputHelper output)
{
    static readonly LoadTestPlan Plan = Fixtures.Plan;
    static readonly int Units = int.Parse(Environment.GetEnvironmentVariable("ROADPROOF_IDENTIFIED_UNITS") ?? "24", CultureInfo.InvariantCulture);

    // 1.96: the 97.5 % point of the normal distribution (table value, from memory). Of n intervals of 95 % all but four standard errors hold; what errors amount to has a standard error of 1/√(2n).
    [Fact]
    public void Intervals_from_whole_captures_hold_the_truth()
    {
        var all = new (Dictionary<string, double> Truth, IdentifiedUnit Found)[Units];
        Parallel.For(0, Units, i => all[i] = Identified((ulong)i + 1));

        var (held, count) = (0, 0);
        foreach (var id in all[0].Truth.Keys)
        {
            var off = all.Select(a => (a.Found[id].Value - a.Truth[id]) / a.Found[id].StandardUncertainty).ToArray();
            var (inside, size) = (off.Count(x => Math.Abs(x) < 1.96), Math.Sqrt(off.Average(x => x * x)));
            output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{id}: {inside} of {Units} intervals hold, errors over uncertainty {size:F2}, identified {all.Count(a => a.Found[id].Identified)}"));
            Assert.True(inside >= 0.95 * Units - 4 * Math.Sqrt(0.0475 * Units), $"{id}: {inside} of {Units} intervals of 95 % hold the truth");
            Assert.InRange(size, 1 - 4 / Math.Sqrt(2.0 * Units), 1 + 4 / Math.Sqrt(2.0 * Units));
            (held, count) = (held + inside, count + Units);
        }

        var perFreedom = all.Average(a => a.Found.Fit.ChiSquare / a.Found.Fit.DegreesOfFreedom);
        output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"all together {100.0 * held / count:F1} %, chi-square over degrees of freedom {perFreedom:F2}, load points left out {all.Sum(a => a.Found.LeftOut.Count)}"));
        Assert.InRange((double)held / count, 0.92, 0.98);
        Assert.InRange(perFreedom, 0.7, 1.3);
        Assert.InRange(all.Sum(a => a.Found.LeftOut.Count), 0, 1 + Units / 50);
    }

    static (Dictionary<string, double>, IdentifiedUnit) Identified(ulong seed)
    {
        var noise = new SeededNoise(seed, "identified units");
        double Share(double sd) => 1 + sd * noise.Normal();
        var (d, t) = (Plan.Unit, Plan.Tolerances);
        var unit = new Deviation
        {
            FluxFactor = Share(t.FluxShare / 3), ResistanceFactor = Share(t.ResistanceShare / 3), AddedMotorDragNm = noise.Normal() * t.MotorDragNm / 3, GearDragFactor = Share(t.GearDragShare / 3),
            MeshFactor = Share(t.MeshShare / 3), RotorOffsetRad = noise.Normal() * t.RotorOffsetDeg / 3 * Math.PI / 180, CurrentGainFactor = Share(t.CurrentGainShare / 3),
        };

        // Spreads of what has no tolerance: docs/methods/identification.md.
        var motor = d.Motor with
        {
            ViscousFrictionNmS = d.Motor.ViscousFrictionNmS * Share(0.2), IronLossHysteresisWPerHz = d.Motor.IronLossHysteresisWPerHz * Share(0.1), IronLossEddyWPerHz2 = d.Motor.IronLossEddyWPerHz2 * Share(0.1),
            InductanceDH = d.Motor.InductanceDH * Share(0.03), InductanceQH = d.Motor.InductanceQH * Share(0.03), SaturationAtCurrentLimit = d.Motor.SaturationAtCurrentLimit * Share(0.2),
        };
        var inverter = d.Inverter with
        {
            StandingLossW = d.Inverter.StandingLossW * Share(0.1), OnResistanceOhm = d.Inverter.OnResistanceOhm * Share(0.15), SwitchingLossWPerVA = d.Inverter.SwitchingLossWPerVA * Share(0.15),
        };

        // Magnets 1.5 K off from what the network thinks show another flux; nobody sees their temperature.
        var seen = unit with { FluxFactor = unit.FluxFactor * (1 + motor.FluxPerK * 1.5 * noise.Normal()) };
        var run = RunGenerator.Run(Plan with { Unit = d with { Motor = motor, Inverter = inverter } }, seen, RigErrors.Draw(Plan.Gauges, seed + 100),
            new() { UnitSeed = seed + 500, AmbientC = 21 + noise.Normal(), UnitStartC = 22 + 2 * noise.Normal() });
        foreach (var point in Plan.Cycle.Points) ModelShare(run.Slow, point, Share(point.TorqueNm > 0 ? 0.001 : 0.005), Share(0.001));

        var turns = motor.PolePairs / Math.Tau;
        return (new(StringComparer.Ordinal)
        {
            ["windingResistanceOhm"] = motor.PhaseResistance20Ohm * unit.ResistanceFactor, ["fluxLinkageWb"] = motor.FluxLinkage20Wb * unit.FluxFactor, ["rotorOffsetRad"] = unit.RotorOffsetRad,
            ["gearEfficiency"] = d.MeshEfficiency * unit.MeshFactor, ["inductanceDH"] = motor.InductanceDH, ["inductanceQH"] = motor.InductanceQH, ["saturationAtCurrentLimit"] = motor.SaturationAtCurrentLimit,
            ["inverterStandingLossW"] = inverter.StandingLossW, ["inverterOnResistanceOhm"] = inverter.OnResistanceOhm, ["inverterSwitchingLossWPerVA"] = inverter.SwitchingLossWPerVA,
            ["coulombFrictionNm"] = motor.CoulombFrictionNm + unit.AddedMotorDragNm, ["viscousFrictionNmS"] = motor.ViscousFrictionNmS, ["gearDragFactor"] = unit.GearDragFactor,
            ["ironLossHysteresisWPerHz"] = motor.IronLossHysteresisWPerHz, ["ironLossEddyWPerHz2"] = motor.IronLossEddyWPerHz2,
            ["constantDragNm"] = motor.CoulombFrictionNm + unit.AddedMotorDragNm + unit.GearDragFactor * d.GearDrag.CoulombNm + motor.IronLossHysteresisWPerHz * turns,
            ["speedDragNmS"] = motor.ViscousFrictionNmS + unit.GearDragFactor * d.GearDrag.ViscousNmS + motor.IronLossEddyWPerHz2 * turns * turns,
        }, UnitIdentification.Of(new Capture(CaptureHeader.Unknown, [run.Slow, run.Fast, run.Vibration]), Plan));
    }

    /// <summary>What no model is good for: power and drive torque of one load point off by a share.</summary>
    static void ModelShare(CaptureTable slow, LoadPoint point, double power, double torque)
    {
        var rows = slow.Rows(Runs.StartS(point.Id), Runs.StartS(point.Id) + point.HoldS);
        var (busA, outputNm, crankNm) = (slow.Channels["bus_current_a"], slow.Channels["output_torque_nm"], slow.Channels["crank_torque_nm"]);
        for (var i = rows.Start.Value; i < rows.End.Value; i++)
        {
            busA[i] *= (float)power;
            if (point.TorqueNm > 0) outputNm[i] = (float)(crankNm[i] + torque * (outputNm[i] - crankNm[i]));
        }
    }
}
