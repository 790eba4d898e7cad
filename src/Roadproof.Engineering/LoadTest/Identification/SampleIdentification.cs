using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;
using MathNet.Numerics.LinearAlgebra;

namespace Roadproof.Engineering.LoadTest;

/// <summary>What is known of a unit before its parameters are fitted to samples.</summary>
/// <param name="Ratio">Rotor turns per output turn.</param>
public readonly record struct SampledMachine(int PolePairs, double InductanceQH, double Ratio);

/// <summary>Independent noise of one sample of each channel, standard deviations.</summary>
public readonly record struct SampleNoise(double VoltageV, double TorqueNm, double PowerW);

/// <summary>Parameters fitted to samples.</summary>
/// <param name="IronLossWPerRadPerS2">Iron loss over the square of the electrical speed, W/(rad/s)².</param>
/// <param name="Covariance">Of the six in the order of this record, from the samples' noise alone, shape [6, 6].</param>
/// <param name="Cost">Half the sum of squared residuals over their noise.</param>
public sealed record SampledParameters(
    double ResistanceOhm, double FluxWb, double CoulombFrictionNm, double ViscousFrictionNmS, double IronLossWPerRadPerS2, double GearEfficiency, double[,] Covariance, double Cost, int Steps);

/// <summary>Fits a unit's parameters to samples of speed, current, voltage, torque and power, without steady windows.</summary>
/// <remarks>
/// Model, i_d = 0, no saturation: u = √((R·i + ωe·ψ)² + (ωe·L·i)²), T = η·ratio·(1.5·p·ψ·i − T_c − b·ω), P = 1.5·(R·i + ωe·ψ)·i + k·ωe².
/// Torque and power are sums of products of parameters and samples, so that their share of every Gauss-Newton step follows from 15 moments that are summed once; each step then passes over the voltages alone.
/// The start is the linear fit of power and torque: no guess is asked for. Sums of squares by moments lose as many digits as the squared ratio of signal to noise has (five of fifteen at 300 to one).
/// O(samples × steps), three or four steps; needs no memory of its own. From any number of threads. Source: least squares, textbook; method: <c>docs/methods/identification.md</c>.
/// </remarks>
public static class SampleIdentification
{
    const int Parameters = 6, MostSteps = 50;
    const double Small = 1e-9;

    /// <param name="rotorRadPerS">Rotor speed; all spans have one length, shape [samples].</param>
    /// <param name="iqA">Current across the magnets' axis, peak.</param>
    /// <param name="voltageV">Amplitude of the phase voltage, peak.</param>
    /// <param name="torqueNm">At the output.</param>
    /// <param name="powerW">Into the terminals.</param>
    /// <exception cref="ArgumentException">Channels of different lengths, too few samples, or samples too alike to tell the six parameters apart.</exception>
    public static SampledParameters Fit(
        ReadOnlySpan<double> rotorRadPerS, ReadOnlySpan<double> iqA, ReadOnlySpan<double> voltageV, ReadOnlySpan<double> torqueNm, ReadOnlySpan<double> powerW, SampledMachine machine, SampleNoise noise)
    {
        var n = rotorRadPerS.Length;
        if (iqA.Length != n || voltageV.Length != n || torqueNm.Length != n || powerW.Length != n) throw new ArgumentException("Every channel has as many samples as the speed.");
        if (n < 2 * Parameters) throw new ArgumentException($"Six parameters need at least {2 * Parameters} samples.");
        var moments = Moments.Of(rotorRadPerS, iqA, torqueNm, powerW);
        var x = Start(moments, machine);
        for (var step = 1; step <= MostSteps; step++)
        {
            var (normal, slope, cost) = NormalEquations(moments, VoltageSums.Of(rotorRadPerS, iqA, voltageV, x[0], x[1], machine), x, machine, noise);

            // Parameters differ by four orders of magnitude: each by its own length.
            var scale = normal.Diagonal().PointwiseSqrt();
            var scaled = Matrix<double>.Build.Dense(Parameters, Parameters, (i, j) => normal[i, j] / (scale[i] * scale[j]));
            var inverse = Solvable(scaled).Inverse();
            var move = -(inverse * slope.PointwiseDivide(scale)).PointwiseDivide(scale);
            var largest = 0.0;
            for (var k = 0; k < Parameters; k++)
            {
                x[k] += move[k];
                largest = Math.Max(largest, Math.Abs(move[k]) / Math.Max(Math.Abs(x[k]), 1e-300));
            }

            if (largest > Small && step < MostSteps) continue;
            var covariance = new double[Parameters, Parameters];
            for (var i = 0; i < Parameters; i++)
                for (var j = 0; j < Parameters; j++) covariance[i, j] = inverse[i, j] / (scale[i] * scale[j]);
            return new(x[0], x[1], x[2], x[3], x[4], x[5], covariance, cost, step);
        }

        throw new InvalidOperationException("Bug in Roadproof: the fit ended without an answer.");
    }

    static Matrix<double> Solvable(Matrix<double> scaled) => scaled.ConditionNumber() < 1e14 ? scaled
        : throw new ArgumentException("The samples are too alike to tell the six parameters apart: they need different speeds and currents.");

    /// <summary>Power is linear in resistance, flux and iron loss; torque then in what the gears leave of flux and friction.</summary>
    static double[] Start(in Moments m, SampledMachine machine)
    {
        var p = machine.PolePairs;
        var power = Matrix<double>.Build.DenseOfArray(new[,]
        {
            { 2.25 * m.I4, 2.25 * p * m.WI3, 1.5 * p * p * m.W2I2 },
            { 2.25 * p * m.WI3, 2.25 * p * p * m.W2I2, 1.5 * p * p * p * m.W3I },
            { 1.5 * p * p * m.W2I2, 1.5 * p * p * p * m.W3I, Math.Pow(p, 4) * m.W4 },
        }).Solve(Vector<double>.Build.DenseOfArray([1.5 * m.I2P, 1.5 * p * m.WIP, p * p * m.W2P]));
        var torque = Matrix<double>.Build.DenseOfArray(new[,] { { m.I2, m.I, m.WI }, { m.I, m.N, m.W }, { m.WI, m.W, m.W2 } }).Solve(Vector<double>.Build.DenseOfArray([m.IT, m.T, m.WT]));
        var perA = torque[0] / (1.5 * p * power[1]); // η · ratio
        return [power[0], power[1], -torque[1] / perA, -torque[2] / perA, power[2], perA / machine.Ratio];
    }

    static (Matrix<double> Normal, Vector<double> Slope, double Cost) NormalEquations(in Moments m, in VoltageSums v, double[] x, SampledMachine machine, SampleNoise noise)
    {
        var normal = Matrix<double>.Build.Dense(Parameters, Parameters);
        var slope = Vector<double>.Build.Dense(Parameters);
        var p = (double)machine.PolePairs;
        var (ofV, ofT, ofP) = (1 / (noise.VoltageV * noise.VoltageV), 1 / (noise.TorqueNm * noise.TorqueNm), 1 / (noise.PowerW * noise.PowerW));

        // Voltage: resistance and flux.
        (normal[0, 0], normal[0, 1], normal[1, 1]) = (ofV * v.RR, ofV * v.RF, ofV * v.FF);
        (slope[0], slope[1]) = (ofV * v.R, ofV * v.F);
        var cost = ofV * v.Squares;

        // Power less model is a sum of i², ωi, ω² and P.
        var (a, b, c) = (1.5 * x[0], 1.5 * p * x[1], x[4] * p * p);
        double[] power = [a, b, c, -1];
        double[,] products =
        {
            { m.I4, m.WI3, m.W2I2, m.I2P }, { m.WI3, m.W2I2, m.W3I, m.WIP }, { m.W2I2, m.W3I, m.W4, m.W2P }, { m.I2P, m.WIP, m.W2P, m.P2 },
        };
        Add(normal, slope, ref cost, ofP, products, power, [0, 1, 4], [[1.5, 0, 0, 0], [0, 1.5 * p, 0, 0], [0, 0, p * p, 0]]);

        // Torque less model is a sum of i, 1, ω and T.
        var gear = x[5] * machine.Ratio;
        var perA = 1.5 * p * x[1];
        double[] torque = [gear * perA, -gear * x[2], -gear * x[3], -1];
        double[,] torques = { { m.I2, m.I, m.WI, m.IT }, { m.I, m.N, m.W, m.T }, { m.WI, m.W, m.W2, m.WT }, { m.IT, m.T, m.WT, m.T2 } };
        Add(normal, slope, ref cost, ofT, torques, torque, [1, 2, 3, 5],
            [[gear * 1.5 * p, 0, 0, 0], [0, -gear, 0, 0], [0, 0, -gear, 0], [machine.Ratio * perA, -machine.Ratio * x[2], -machine.Ratio * x[3], 0]]);

        for (var i = 0; i < Parameters; i++)
            for (var j = 0; j < i; j++) normal[i, j] = normal[j, i];
        return (normal, slope, cost / 2);
    }

    /// <summary>Adds residuals that are sums of a few signals: all that is needed of the samples are the signals' products.</summary>
    /// <param name="residual">Factor of each signal in the residual.</param>
    /// <param name="parameters">Which parameters move it, rising.</param>
    /// <param name="slopes">Factor of each signal in the residual's derivative by each of those.</param>
    static void Add(Matrix<double> normal, Vector<double> slope, ref double cost, double weight, double[,] products, double[] residual, int[] parameters, double[][] slopes)
    {
        cost += weight * Product(residual, residual);
        for (var i = 0; i < parameters.Length; i++)
        {
            slope[parameters[i]] += weight * Product(slopes[i], residual);
            for (var j = i; j < parameters.Length; j++) normal[parameters[i], parameters[j]] += weight * Product(slopes[i], slopes[j]);
        }

        double Product(double[] one, double[] other)
        {
            var sum = 0.0;
            for (var k = 0; k < 4; k++)
                for (var l = 0; l < 4; l++) sum += one[k] * products[k, l] * other[l];
            return sum;
        }
    }

    /// <summary>Sums over all samples of products of speed W, current I, torque T and power P.</summary>
    readonly record struct Moments(
        double N, double I, double W, double T, double I2, double WI, double W2, double IT, double WT, double T2,
        double I4, double WI3, double W2I2, double W3I, double W4, double I2P, double WIP, double W2P, double P2)
    {
        public static Moments Of(ReadOnlySpan<double> w, ReadOnlySpan<double> i, ReadOnlySpan<double> t, ReadOnlySpan<double> p)
        {
            var lanes = Vector512<double>.Count;
            Vector512<double> i1 = default, w1 = default, t1 = default, ii = default, wi = default, ww = default, it = default, wt = default, tt = default;
            Vector512<double> i4 = default, wi3 = default, w2i2 = default, w3i = default, w4 = default, iip = default, wip = default, wwp = default, pp = default;
            var k = 0;
            for (; k <= w.Length - lanes; k += lanes)
            {
                var (vw, vi, vt, vp) = (At(w, k), At(i, k), At(t, k), At(p, k));
                var (i2, cross, w2) = (vi * vi, vw * vi, vw * vw);
                (i1, w1, t1, ii, wi, ww) = (i1 + vi, w1 + vw, t1 + vt, ii + i2, wi + cross, ww + w2);
                it = Vector512.FusedMultiplyAdd(vi, vt, it);
                wt = Vector512.FusedMultiplyAdd(vw, vt, wt);
                tt = Vector512.FusedMultiplyAdd(vt, vt, tt);
                i4 = Vector512.FusedMultiplyAdd(i2, i2, i4);
                wi3 = Vector512.FusedMultiplyAdd(cross, i2, wi3);
                w2i2 = Vector512.FusedMultiplyAdd(cross, cross, w2i2);
                w3i = Vector512.FusedMultiplyAdd(cross, w2, w3i);
                w4 = Vector512.FusedMultiplyAdd(w2, w2, w4);
                iip = Vector512.FusedMultiplyAdd(i2, vp, iip);
                wip = Vector512.FusedMultiplyAdd(cross, vp, wip);
                wwp = Vector512.FusedMultiplyAdd(w2, vp, wwp);
                pp = Vector512.FusedMultiplyAdd(vp, vp, pp);
            }

            var m = new Moments(w.Length, Vector512.Sum(i1), Vector512.Sum(w1), Vector512.Sum(t1), Vector512.Sum(ii), Vector512.Sum(wi), Vector512.Sum(ww), Vector512.Sum(it), Vector512.Sum(wt), Vector512.Sum(tt),
                Vector512.Sum(i4), Vector512.Sum(wi3), Vector512.Sum(w2i2), Vector512.Sum(w3i), Vector512.Sum(w4), Vector512.Sum(iip), Vector512.Sum(wip), Vector512.Sum(wwp), Vector512.Sum(pp));
            for (; k < w.Length; k++)
            {
                var (i2, cross, w2) = (i[k] * i[k], w[k] * i[k], w[k] * w[k]);
                m = new(m.N, m.I + i[k], m.W + w[k], m.T + t[k], m.I2 + i2, m.WI + cross, m.W2 + w2, m.IT + i[k] * t[k], m.WT + w[k] * t[k], m.T2 + t[k] * t[k],
                    m.I4 + i2 * i2, m.WI3 + cross * i2, m.W2I2 + cross * cross, m.W3I + cross * w2, m.W4 + w2 * w2, m.I2P + i2 * p[k], m.WIP + cross * p[k], m.W2P + w2 * p[k], m.P2 + p[k] * p[k]);
            }

            return m;
        }
    }

    /// <summary>What the voltages add to the normal equations: products of the derivatives by resistance and flux, each with the residual, and its squares.</summary>
    readonly record struct VoltageSums(double RR, double RF, double FF, double R, double F, double Squares)
    {
        public static VoltageSums Of(ReadOnlySpan<double> w, ReadOnlySpan<double> i, ReadOnlySpan<double> u, double resistanceOhm, double fluxWb, SampledMachine machine)
        {
            var lanes = Vector512<double>.Count;
            var (r, f, reactance) = (Vector512.Create(resistanceOhm), Vector512.Create(machine.PolePairs * fluxWb), Vector512.Create(machine.PolePairs * machine.InductanceQH));
            Vector512<double> rr = default, rf = default, ff = default, re = default, fe = default, ee = default;
            var k = 0;
            for (; k <= w.Length - lanes; k += lanes)
            {
                var (vw, vi) = (At(w, k), At(i, k));
                var q = Vector512.FusedMultiplyAdd(r, vi, f * vw);
                var d = reactance * vw * vi;
                var amplitude = Vector512.Sqrt(Vector512.FusedMultiplyAdd(q, q, d * d));
                var share = q / amplitude;
                var (byR, byF, residual) = (share * vi, share * vw, amplitude - At(u, k));
                rr = Vector512.FusedMultiplyAdd(byR, byR, rr);
                rf = Vector512.FusedMultiplyAdd(byR, byF, rf);
                ff = Vector512.FusedMultiplyAdd(byF, byF, ff);
                re = Vector512.FusedMultiplyAdd(byR, residual, re);
                fe = Vector512.FusedMultiplyAdd(byF, residual, fe);
                ee = Vector512.FusedMultiplyAdd(residual, residual, ee);
            }

            double p = machine.PolePairs;
            var sums = new VoltageSums(Vector512.Sum(rr), p * Vector512.Sum(rf), p * p * Vector512.Sum(ff), Vector512.Sum(re), p * Vector512.Sum(fe), Vector512.Sum(ee));
            for (; k < w.Length; k++)
            {
                var (q, d) = (resistanceOhm * i[k] + p * w[k] * fluxWb, p * w[k] * machine.InductanceQH * i[k]);
                var amplitude = Math.Sqrt(q * q + d * d);
                var (byR, byF, residual) = (q / amplitude * i[k], q / amplitude * p * w[k], amplitude - u[k]);
                sums = new(sums.RR + byR * byR, sums.RF + byR * byF, sums.FF + byF * byF, sums.R + byR * residual, sums.F + byF * residual, sums.Squares + residual * residual);
            }

            return sums;
        }
    }

    static Vector512<double> At(ReadOnlySpan<double> samples, int k) => Vector512.LoadUnsafe(ref MemoryMarshal.GetReference(samples), (nuint)k);
}
