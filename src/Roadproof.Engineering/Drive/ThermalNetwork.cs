using System.Globalization;
using MathNet.Numerics.LinearAlgebra;
using Roadproof.Engineering.Quantities;

namespace Roadproof.Engineering.Drive;

/// <summary>Temperatures of a unit's five lumps, °C. The rotor's is the magnets'; the housing's is the shell's.</summary>
public readonly record struct ThermalState(double WindingC, double StatorC, double RotorC, double ControllerC, double HousingC)
{
    /// <summary>A unit that has stood long enough to be as warm as the air.</summary>
    public static ThermalState At(double ambientC) => new(ambientC, ambientC, ambientC, ambientC, ambientC);
}

/// <summary>Heat that goes into each lump, W.</summary>
public readonly record struct Heat(double WindingW, double StatorW, double RotorW, double ControllerW, double HousingW)
{
    // Common practice, no source: a tenth of the iron loss arises in the rotor; of two bearings one sits on the rotor, one in the housing.
    const double IronShareInStator = 0.9;
    const double FrictionShareInRotor = 0.5;

    /// <summary>Puts each loss where it arises.</summary>
    public static Heat From(Losses losses) => new(
        losses.CopperW,
        IronShareInStator * losses.IronW,
        (1 - IronShareInStator) * losses.IronW + FrictionShareInRotor * losses.FrictionW,
        losses.InverterW,
        losses.GearsW + (1 - FrictionShareInRotor) * losses.FrictionW);

    public double TotalW => WindingW + StatorW + RotorW + ControllerW + HousingW;
}

/// <summary>How a unit warms: winding, stator, rotor, controller and housing, joined by thermal resistances and cooled by the air.</summary>
/// <remarks>
/// For heat that stands still a step of any length is exact: the network is split into its five own decays once, at construction.
/// A step costs well under a microsecond and allocates nothing. Keep one network per unit and air speed.
/// Limits: lumps, no hot spot; linear cooling; a locked rotor heats one phase more than this says. Equations: <c>docs/methods/drive.md</c>.
/// </remarks>
public sealed class ThermalNetwork
{
    const int Lumps = 5;
    const double MovingAirMps = 20 / 3.6;

    readonly double[] capacityJPerK;
    readonly double[] toAmbientWPerK = new double[Lumps];

    /// <summary>Rate of each decay, 1/s; positive.</summary>
    readonly double[] ratePerS = new double[Lumps];

    /// <summary>Shape of each decay: [lump, decay], over temperatures scaled by the root of their capacity.</summary>
    readonly double[,] shape = new double[Lumps, Lumps];
    readonly double[] rootCapacity = new double[Lumps];

    /// <param name="thermal">The unit's capacities and resistances.</param>
    /// <param name="airMps">Speed of the air over the housing, m/s; 0 is still air.</param>
    public ThermalNetwork(Thermal thermal, double airMps = 0)
    {
        capacityJPerK = [thermal.WindingJPerK, thermal.StatorJPerK, thermal.RotorJPerK, thermal.ControllerJPerK, thermal.HousingJPerK];
        var conductance = Matrix<double>.Build.Dense(Lumps, Lumps);
        Join(0, 1, thermal.WindingStatorKPerW);
        Join(1, 4, thermal.StatorHousingKPerW);
        Join(2, 1, thermal.RotorStatorKPerW);
        Join(2, 4, thermal.RotorHousingKPerW);
        Join(3, 4, thermal.ControllerHousingKPerW);
        Cool(4, HousingToAirWPerK(thermal, airMps));
        if (thermal.ControllerAmbientKPerW is { } controllerAmbientKPerW) Cool(3, 1 / controllerAmbientKPerW);

        for (var i = 0; i < Lumps; i++) rootCapacity[i] = Math.Sqrt(capacityJPerK[i]);

        // Scaled by the roots of the capacities the network is symmetric: real decays, orthogonal shapes.
        var scaled = Matrix<double>.Build.Dense(Lumps, Lumps, (i, j) => conductance[i, j] / (rootCapacity[i] * rootCapacity[j]));
        var decays = scaled.Evd(Symmetricity.Symmetric);
        for (var k = 0; k < Lumps; k++)
        {
            ratePerS[k] = decays.EigenValues[k].Real;
            for (var i = 0; i < Lumps; i++) shape[i, k] = decays.EigenVectors[i, k];
        }

        void Join(int a, int b, double resistanceKPerW)
        {
            conductance[a, a] += 1 / resistanceKPerW;
            conductance[b, b] += 1 / resistanceKPerW;
            conductance[a, b] -= 1 / resistanceKPerW;
            conductance[b, a] -= 1 / resistanceKPerW;
        }

        void Cool(int lump, double wPerK)
        {
            toAmbientWPerK[lump] += wPerK;
            conductance[lump, lump] += wPerK;
        }
    }

    /// <summary>Heat flow from housing to air per kelvin, W/K.</summary>
    /// <remarks>
    /// The two known values, still and 20 km/h, are joined by the power law of forced flow over a body, v^0.6
    /// (Hilpert's exponents for a cylinder across the wind run from 0.47 to 0.81; from memory), and carried on beyond 20 km/h.
    /// </remarks>
    public static double HousingToAirWPerK(Thermal thermal, double airMps)
    {
        if (airMps is not (>= 0 and < double.PositiveInfinity))
        {
            throw new InputException(new InputError("cooling", 0, "airMps", airMps.ToString(CultureInfo.InvariantCulture),
                "an air speed of 0 m/s or more, such as 5.56"));
        }

        var stillWPerK = 1 / thermal.HousingAmbientStillKPerW;
        var movingWPerK = 1 / thermal.HousingAmbientMovingKPerW;
        return stillWPerK + (movingWPerK - stillWPerK) * Math.Pow(airMps / MovingAirMps, 0.6);
    }

    /// <summary>The temperatures a time later, under heat and air that stand still.</summary>
    /// <param name="durationS">Any length, s; 0 or more.</param>
    public ThermalState Step(in ThermalState state, in Heat heat, double ambientC, double durationS)
    {
        ReadOnlySpan<double> startC = [state.WindingC, state.StatorC, state.RotorC, state.ControllerC, state.HousingC];
        ReadOnlySpan<double> heatW = [heat.WindingW, heat.StatorW, heat.RotorW, heat.ControllerW, heat.HousingW];
        Span<double> endC = stackalloc double[Lumps];
        endC.Fill(ambientC);

        for (var k = 0; k < Lumps; k++)
        {
            double start = 0, drive = 0;
            for (var i = 0; i < Lumps; i++)
            {
                start += shape[i, k] * rootCapacity[i] * (startC[i] - ambientC);
                drive += shape[i, k] * heatW[i] / rootCapacity[i];
            }

            var x = ratePerS[k] * durationS;
            var level = start * Math.Exp(-x) + drive * durationS * ShareOfRamp(x);
            for (var i = 0; i < Lumps; i++) endC[i] += shape[i, k] * level / rootCapacity[i];
        }

        return new(endC[0], endC[1], endC[2], endC[3], endC[4]);
    }

    /// <summary>A step of one length, worked out once: fifty multiplications instead of five exponentials. For rides, second by second.</summary>
    /// <returns>Gives what <see cref="Step"/> gives, to rounding.</returns>
    public ThermalStep StepOf(double durationS)
    {
        var (keep, warm) = (new double[Lumps * Lumps], new double[Lumps * Lumps]);
        for (var i = 0; i < Lumps; i++)
        {
            for (var j = 0; j < Lumps; j++)
            {
                for (var k = 0; k < Lumps; k++)
                {
                    var x = ratePerS[k] * durationS;
                    keep[i * Lumps + j] += shape[i, k] * shape[j, k] * Math.Exp(-x) * rootCapacity[j] / rootCapacity[i];
                    warm[i * Lumps + j] += shape[i, k] * shape[j, k] * durationS * ShareOfRamp(x) / (rootCapacity[i] * rootCapacity[j]);
                }
            }
        }

        return new(keep, warm, durationS, toAmbientWPerK[3], toAmbientWPerK[4]);
    }

    /// <summary>The temperatures that heat and air settle at if they stand still for ever.</summary>
    public ThermalState Settled(in Heat heat, double ambientC) =>
        // Fifty of the longest decays: what is left of any start is below rounding.
        Step(ThermalState.At(ambientC), heat, ambientC, 50 / SlowestRatePerS);

    /// <summary>Heat that the unit gives to the air, W.</summary>
    public double ToAmbientW(in ThermalState state, double ambientC) =>
        toAmbientWPerK[4] * (state.HousingC - ambientC) + toAmbientWPerK[3] * (state.ControllerC - ambientC);

    /// <summary>Heat held above a temperature, J.</summary>
    public double StoredJ(in ThermalState state, double aboveC) =>
        capacityJPerK[0] * (state.WindingC - aboveC) + capacityJPerK[1] * (state.StatorC - aboveC) + capacityJPerK[2] * (state.RotorC - aboveC)
        + capacityJPerK[3] * (state.ControllerC - aboveC) + capacityJPerK[4] * (state.HousingC - aboveC);

    double SlowestRatePerS => ratePerS.Min();

    /// <summary>(1 − e^−x)/x, which is 1 at 0.</summary>
    static double ShareOfRamp(double x) => x < 1e-5 ? 1 - x / 2 + x * x / 6 : -double.ExpM1(-x) / x;
}
