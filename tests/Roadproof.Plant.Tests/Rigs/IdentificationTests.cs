using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Formats;
using Roadproof.Engineering.LoadTest;
using Roadproof.Engineering.Statistics;
using Roadproof.Plant.Rigs;

namespace Roadproof.Plant.Tests.Rigs;

/// <summary>Parameters of a unit from captures that were integrated in time, which share no computation with what identifies them.</summary>
public sealed class IdentificationTests(ITestOutputHelper output)
{
    [Fact]
    public void Try()
    {
        var plan = Fixtures.Plan;
        const int units = 60;
        var all = new (Dictionary<string, double> Truth, IdentifiedUnit U)[units];
        var clock = System.Diagnostics.Stopwatch.StartNew();
        Parallel.For(0, units, i =>
        {
            var noise = new SeededNoise((ulong)i + 1, "identified units");
            var (d, t) = (plan.Unit, plan.Tolerances);
            var unit = new Deviation
            {
                FluxFactor = 1 + noise.Normal() * t.FluxShare / 3, ResistanceFactor = 1 + noise.Normal() * t.ResistanceShare / 3, AddedMotorDragNm = noise.Normal() * t.MotorDragNm / 3,
                GearDragFactor = 1 + noise.Normal() * t.GearDragShare / 3, MeshFactor = 1 + noise.Normal() * t.MeshShare / 3, RotorOffsetRad = noise.Normal() * t.RotorOffsetDeg / 3 * Math.PI / 180,
                CurrentGainFactor = 1 + noise.Normal() * t.CurrentGainShare / 3,
            };
            double Share(double sd) => 1 + sd * noise.Normal();
            var motor = d.Motor with
            {
                ViscousFrictionNmS = d.Motor.ViscousFrictionNmS * Share(0.2), IronLossHysteresisWPerHz = d.Motor.IronLossHysteresisWPerHz * Share(0.1), IronLossEddyWPerHz2 = d.Motor.IronLossEddyWPerHz2 * Share(0.1),
                InductanceDH = d.Motor.InductanceDH * Share(0.03), InductanceQH = d.Motor.InductanceQH * Share(0.03), SaturationAtCurrentLimit = d.Motor.SaturationAtCurrentLimit * Share(0.2),
            };
            var inverter = d.Inverter with { StandingLossW = d.Inverter.StandingLossW * Share(0.1), OnResistanceOhm = d.Inverter.OnResistanceOhm * Share(0.15), SwitchingLossWPerVA = d.Inverter.SwitchingLossWPerVA * Share(0.15) };
            var (startC, ambientC) = (22 + 2 * noise.Normal(), 21 + noise.Normal());
            var warmK = 1.5 * noise.Normal();
            var run = RunGenerator.Run(plan with { Unit = d with { Motor = motor, Inverter = inverter } }, unit with { FluxFactor = unit.FluxFactor * (1 + motor.FluxPerK * warmK) }, RigErrors.Draw(plan.Gauges, (ulong)i + 100), new() { UnitSeed = (ulong)i + 500, AmbientC = ambientC, UnitStartC = startC });
            foreach (var p in plan.Cycle.Points)
            {
                var rows = run.Slow.Rows(Runs.StartS(p.Id), Runs.StartS(p.Id) + p.HoldS);
                var (power, torque) = (Share(p.TorqueNm > 0 ? 0.001 : 0.005), Share(0.001));
                for (var r = rows.Start.Value; r < rows.End.Value; r++)
                {
                    run.Slow.Channels["bus_current_a"][r] *= (float)power;
                    if (p.TorqueNm > 0) run.Slow.Channels["output_torque_nm"][r] = (float)(run.Slow.Channels["crank_torque_nm"][r] + torque * (run.Slow.Channels["output_torque_nm"][r] - run.Slow.Channels["crank_torque_nm"][r]));
                }
            }
            var truth = new Dictionary<string, double>
            {
                ["windingResistanceOhm"] = motor.PhaseResistance20Ohm * unit.ResistanceFactor, ["fluxLinkageWb"] = motor.FluxLinkage20Wb * unit.FluxFactor, ["rotorOffsetRad"] = unit.RotorOffsetRad,
                ["gearEfficiency"] = plan.Unit.MeshEfficiency * unit.MeshFactor, ["inductanceQH"] = motor.InductanceQH, ["saturationAtCurrentLimit"] = motor.SaturationAtCurrentLimit, ["inverterStandingLossW"] = inverter.StandingLossW,
                ["inverterOnResistanceOhm"] = inverter.OnResistanceOhm, ["inverterSwitchingLossWPerVA"] = inverter.SwitchingLossWPerVA, ["inductanceDH"] = motor.InductanceDH,
                ["coulombFrictionNm"] = motor.CoulombFrictionNm + unit.AddedMotorDragNm, ["viscousFrictionNmS"] = motor.ViscousFrictionNmS, ["ironLossHysteresisWPerHz"] = motor.IronLossHysteresisWPerHz,
                ["ironLossEddyWPerHz2"] = motor.IronLossEddyWPerHz2, ["gearDragFactor"] = unit.GearDragFactor,
                ["constantDragNm"] = motor.CoulombFrictionNm + unit.AddedMotorDragNm + unit.GearDragFactor * plan.Unit.GearDrag.CoulombNm + motor.IronLossHysteresisWPerHz * 7 / Math.Tau,
                ["speedDragNmS"] = motor.ViscousFrictionNmS + unit.GearDragFactor * plan.Unit.GearDrag.ViscousNmS + motor.IronLossEddyWPerHz2 * 49 / Math.Tau / Math.Tau,
            };
            all[i] = (truth, UnitIdentification.Of(new Capture(CaptureHeader.Unknown, [run.Slow, run.Fast, run.Vibration]), plan));
        });
        output.WriteLine($"{clock.Elapsed.TotalSeconds:F1} s");
        foreach (var id in all[0].Truth.Keys)
        {
            var e = all.Select(a => (a.U[id].Value - a.Truth[id]) / a.U[id].StandardUncertainty).ToArray();
            output.WriteLine($"{id,-28} in {e.Count(x => Math.Abs(x) < 1.96)} of {units}; rms {Math.Sqrt(e.Average(x => x * x)):F2} mean {e.Average():F2} worst {e.MaxBy(Math.Abs):F2}  u {all[0].U[id].StandardUncertainty:G3}");
        }
        foreach (var a in all) output.WriteLine($"{a.U.Fit} {string.Join(",", a.U.LeftOut)} {string.Join(" ", a.U.Points.Select(p => $"{p.ChiSquare:F1}"))}");
        foreach (var c in all[0].U.Residual) output.WriteLine(c.ToString());
        foreach (var w in all[0].U.Warnings) output.WriteLine(w);
    }
}
