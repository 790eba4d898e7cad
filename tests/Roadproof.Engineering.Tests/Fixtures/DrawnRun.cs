using Roadproof.Engineering.LoadTest;
using Roadproof.Engineering.Statistics;

namespace Roadproof.Engineering.Tests.Fixtures;

/// <summary>A unit drawn from the drawing's spreads, and the run that a rig with drawn errors records of it: gains, zeros, noise of means, temperatures and the model's own share, each written out here once more.</summary>
static class DrawnRun
{
    public static (double[] Truth, MeasuredRun Run) Of(LoadTestPlan plan, ulong seed)
    {
        var (drawn, noise) = (new DrawnParameters(plan), new SeededNoise(seed, "drawn run"));
        var z = new double[DrawnParameters.Count];
        noise.Fill(z);
        var (unit, deviation) = drawn.Unit(z);
        deviation = deviation with { CurrentGainFactor = 1 + noise.Normal() * plan.Tolerances.CurrentGainShare / 3 };

        // Magnets that are a little warmer than the network thinks show less flux, and grease drags less; nobody sees their temperatures.
        var seen = deviation with
        {
            FluxFactor = deviation.FluxFactor * (1 + plan.Unit.Motor.FluxPerK * 1.5 * noise.Normal()),
            GearDragFactor = deviation.GearDragFactor * Math.Exp(plan.Unit.GearDrag.TemperaturePerK * 2 * noise.Normal()),
        };
        var (startC, ambientC) = (22 + 2 * noise.Normal(), 21 + noise.Normal());
        return (z, OnRig(plan, FaultlessRun.Of(plan with { Unit = unit }, seen, startC, ambientC), noise));
    }

    static MeasuredRun OnRig(LoadTestPlan plan, MeasuredRun run, SeededNoise noise)
    {
        var gauges = plan.Gauges.Gauges.ToDictionary(g => g.Channel, g => (Factor: 1 + g.GainShare * noise.Normal(), Zero: g.Zero * noise.Normal(), Rms: g.NoiseRms), StringComparer.Ordinal);
        double Read(string channel, double value, double share) => value * gauges[channel].Factor + gauges[channel].Zero + gauges[channel].Rms * share * noise.Normal();

        // A gain of one of three phases counts a third in d and q; zeros turn with the frame and vanish.
        var (currents, voltages) = ((gauges["phase_current_u_a"].Factor + gauges["phase_current_v_a"].Factor + gauges["phase_current_w_a"].Factor) / 3,
            (gauges["phase_voltage_u_v"].Factor + gauges["phase_voltage_v_v"].Factor + gauges["phase_voltage_w_v"].Factor) / 3);
        var winding = gauges["winding_c"].Zero;

        // A winding sensor that reads what was a moment ago.
        var (lagS, warmth) = (0.5 * noise.Normal(), WarmthSeen.Over(run, plan));
        double Lag(MeasuredPoint p) => lagS * (warmth.At(p.AtS + 0.5).WindingC - warmth.At(p.AtS - 0.5).WindingC);

        var points = run.Points.Select(p =>
        {
            var asked = plan.Cycle.Points.Single(a => a.Id == p.Point);
            var slow = 1 / Math.Sqrt(200 * FaultlessRun.Window(asked).ForS);
            var fast = asked.WindowForS > 0 ? Math.Sqrt(2.0 / 3 / (12_800 * FaultlessRun.Window(asked).ForS)) : 0;
            var busA = p.BusA * (1 + (asked.TorqueNm > 0 ? 0.001 : 0.005) * noise.Normal());
            var outputNm = p.DriveTorqueNm * (1 + 0.001 * noise.Normal()) + plan.Cycle.CrankTorqueNm;
            double Fast(double value, double factor, string channel) => value * factor + gauges[channel].Rms * fast * noise.Normal();
            return p with
            {
                BusV = Read("bus_voltage_v", p.BusV, slow),
                BusA = Read("bus_current_a", busA, slow),
                DriveTorqueNm = asked.TorqueNm > 0 ? Read("output_torque_nm", outputNm, slow) - Read("crank_torque_nm", plan.Cycle.CrankTorqueNm, slow) : 0,
                OutputRadPerS = Read("output_speed_rad_s", p.OutputRadPerS, slow),
                WindingC = p.WindingC + winding - Lag(p),
                Fast = p.Fast is not { } f ? null : new(f.ElectricalRadPerS,
                    Fast(f.IdA, currents, "phase_current_u_a"), Fast(f.IqA, currents, "phase_current_u_a"), Fast(f.VdV, voltages, "phase_voltage_u_v"), Fast(f.VqV, voltages, "phase_voltage_u_v")),
            };
        });
        return run with
        {
            Points = [.. points],
            Start = new(run.Start.WindingC + winding, run.Start.ControllerC + gauges["controller_c"].Zero, run.Start.ShellC + gauges["shell_c"].Zero, run.Start.AmbientC + gauges["ambient_c"].Zero),
        };
    }

    public static MeasuredRun WithoutVoltages(MeasuredRun run) =>
        run with { Points = [.. run.Points.Select(p => p with { Fast = p.Fast is { } f ? f with { VdV = double.NaN, VqV = double.NaN } : null })] };
}
