using Roadproof.Engineering.Checks.Tightening;
using Roadproof.Engineering.Statistics;

namespace Roadproof.Engineering.Tests.Fixtures;

/// <summary>A tightening from equations: a flat run-down, a bend while the parts close up, a straight rise, and what may go wrong with it.</summary>
sealed record DrivenScrew
{
    public double PrevailingNm { get; init; } = 0.8;
    public double RundownDeg { get; init; } = 900;
    public double BendDeg { get; init; } = 12;
    public double SlopeNmPerDeg { get; init; } = 0.1;
    public double FinalNm { get; init; } = 5.5;
    public double StepDeg { get; init; } = 0.5;
    public double NoiseNm { get; init; }
    public ulong Seed { get; init; } = 1;

    /// <summary>Torque from which on the slope is a tenth.</summary>
    public double YieldsAtNm { get; init; } = double.PositiveInfinity;

    /// <summary>Torque at which the thread lets go; the screw turns on for half a turn.</summary>
    public double StripsAtNm { get; init; } = double.PositiveInfinity;

    /// <summary>Torque at which the driver stops for its next step.</summary>
    public double StopsAtNm { get; init; } = double.PositiveInfinity;

    /// <summary>The straight rise, drawn down to the prevailing torque, meets it here: the bend is a parabola that touches both.</summary>
    public double SnugDeg => RundownDeg + BendDeg / 2;

    public double FinalDeg => SnugDeg + (FinalNm - PrevailingNm) / SlopeNmPerDeg;

    /// <summary>Work of the whole drive, J: run-down, and a rise that is a triangle less the bend's corner.</summary>
    public double EnergyJ
    {
        get
        {
            var rise = FinalNm - PrevailingNm;
            return (PrevailingNm * FinalDeg + rise * rise / SlopeNmPerDeg / 2 + SlopeNmPerDeg * BendDeg * BendDeg / 24) * Math.PI / 180;
        }
    }

    public double TorqueAt(double deg)
    {
        var into = deg - RundownDeg;
        if (into <= 0) return PrevailingNm;
        var torque = into < BendDeg ? PrevailingNm + SlopeNmPerDeg * into * into / (2 * BendDeg) : PrevailingNm + SlopeNmPerDeg * (into - BendDeg / 2);
        return torque <= YieldsAtNm ? torque : YieldsAtNm + (torque - YieldsAtNm) / 10;
    }

    public TighteningCurve Curve()
    {
        var (angle, torque) = (new List<double>(), new List<double>());
        var noise = new SeededNoise(Seed, "tightening");
        void Add(double deg, double nm)
        {
            angle.Add(deg);
            torque.Add(nm + NoiseNm * noise.Normal());
        }

        var stopped = false;
        for (var i = 0; ; i++)
        {
            var deg = i * StepDeg;
            var nm = TorqueAt(deg);
            if (nm >= StripsAtNm)
            {
                for (var k = 1; k * StepDeg <= 180; k++) Add(deg + k * StepDeg, PrevailingNm / 2);
                return new("screw", [.. angle], [.. torque]);
            }

            if (nm > FinalNm + 1e-9) break;
            Add(deg, nm);
            if (stopped || nm < StopsAtNm) continue;

            // The spindle brakes over 2°, springs back by 3° and winds up again.
            stopped = true;
            for (var share = 0.9; share > 0.2; share -= 0.1) Add(deg - 3 * (1 - share), share * nm);
            for (var share = 0.3; share < 1; share += 0.1) Add(deg - 3 * (1 - share), share * nm);
        }

        var (end, last) = (angle[^1], FinalNm);
        for (var share = 0.8; share > 0; share -= 0.2) Add(end - 3 * (1 - share), share * last);
        return new("screw", [.. angle], [.. torque]);
    }
}
