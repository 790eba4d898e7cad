using System.Numerics;
using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Judging;

namespace Roadproof.Engineering.LoadTest;

/// <summary>How surely a fault is found by a load test, and by what.</summary>
/// <param name="Rate">Share of units with the fault that are not passed.</param>
/// <param name="BySingleReading">Share stopped by a single reading, whatever else stops them.</param>
/// <param name="ByDistance">Share stopped by the distance.</param>
/// <param name="SeenBy">The characteristic that the fault moves farthest, in standard deviations over sound units.</param>
public sealed record StopRate(double Rate, double BySingleReading, double ByDistance, string SeenBy)
{
    /// <summary>Share stopped by the move along a known fault, whatever else stops them.</summary>
    public double ByKnownFault { get; init; }

    /// <summary>Share stopped by a modelled requirement.</summary>
    public double ByRequirement { get; init; }
}

/// <summary>What every drawn unit of one kind comes to, before any limit is set; shape [draws] each.</summary>
/// <param name="Single">The farthest single reading in its standard deviations.</param>
/// <param name="Evidence">The largest evidence for a known fault.</param>
/// <param name="Requirement">A modelled requirement stops it.</param>
sealed record DrawnUnits(float[] Single, float[] Distance, float[] Evidence, bool[] Requirement)
{
    public int Count => Single.Length;

    /// <summary>Share that limits stop.</summary>
    public double Stopped(AlarmLimits at)
    {
        var stopped = 0;
        for (var n = 0; n < Count; n++)
            if (Requirement[n] || Single[n] > at.Sigma || Distance[n] > at.Distance || Evidence[n] > at.Evidence) stopped++;
        return (double)stopped / Count;
    }

    public static double Share(float[] values, double limit)
    {
        var beyond = 0;
        foreach (var v in values)
            if (v > limit) beyond++;
        return (double)beyond / values.Length;
    }
}

/// <summary>Predicts what a load test stops, over part scatter, rigs and noise.</summary>
/// <remarks>
/// 60 000 seeded sound units, each moved by what the fault does to the mean of a run that is carried to reference (the full model, not its slope), and by what it makes of the scatter of its parts: a drag that is
/// half as much again scatters half as much again. Requirements that depend on software alone are taken as met.
/// One standard error is at most 0.2 %.
/// </remarks>
sealed class StopRates
{
    public const int Draws = 60_000;

    readonly LoadTestPlan plan;
    readonly ExpectationSpread spread;
    readonly JointLimits limits;
    readonly (int Row, double From, double To)[] requirements;
    readonly double[] sound;

    // Drawn once, one row a unit: its joint residuals in standard deviations, made independent and along each known fault, those of the requirements, and its parts.
    readonly int width;
    readonly float[] drawn, parts;

    public StopRates(LoadTestPlan plan, ExpectationSpread spread, JointLimits limits)
    {
        (this.plan, this.spread, this.limits) = (plan, spread, limits);
        requirements = [.. plan.Requirements.Where(r => Array.IndexOf(spread.Ids, r.Id) >= spread.Model.JointCount).Select(r => PassRange(r, spread))];
        sound = Read(Deviation.None);
        width = 2 * limits.Rows.Length + limits.Faults.Count + requirements.Length;
        (drawn, parts) = (new float[Draws * width], new float[Draws * PartScatter.Count]);
        var (units, residual) = (new SoundUnits(spread, seed: 2), new double[spread.Ids.Length]);
        for (var n = 0; n < Draws; n++)
        {
            units.Next(residual);
            Row(residual).CopyTo(drawn, n * width);
            for (var p = 0; p < PartScatter.Count; p++) parts[n * PartScatter.Count + p] = (float)units.Parts[p];
        }
    }

    /// <summary>Residuals as they are held against the limits: all of it is linear, so that rows of units and of shifts add up.</summary>
    float[] Row(double[] residual)
    {
        double[] joint = [.. limits.Rows.ToArray().Select(row => residual[row])], moves = new double[limits.Faults.Count];
        var white = limits.Whitening.Whiten(joint);
        limits.Faults.Along(white, moves);
        return [.. joint.Select((r, i) => (float)(r / limits.StandardDeviation(i))), .. white.Select(w => (float)w), .. moves.Select(m => (float)m), .. requirements.Select(r => (float)residual[r.Row])];
    }

    double[] Read(Deviation deviation)
    {
        var read = CarriedReadings.Of(FaultlessRun.Of(plan, deviation), plan).Readings;
        return [.. spread.Ids.Select(id => read[id].Value)];
    }

    public StopRate Of(Deviation fault) => Of(ShiftOf(fault));

    /// <summary>The share stopped alone, of so many of the drawn units.</summary>
    public double RateOf(Deviation fault, int units) => Drawn(ShiftOf(fault), units).Stopped(limits.Alarm);

    public StopRate Of(Shift shift)
    {
        var (units, at) = (Drawn(shift), limits.Alarm);
        var farthest = Enumerable.Range(0, spread.Ids.Length).MaxBy(i => Math.Abs(shift.Mean[i]) / spread.StandardDeviation(i));
        return new(units.Stopped(at), DrawnUnits.Share(units.Single, at.Sigma), DrawnUnits.Share(units.Distance, at.Distance), spread.Ids[farthest])
        {
            ByKnownFault = DrawnUnits.Share(units.Evidence, at.Evidence), ByRequirement = (double)units.Requirement.Count(missed => missed) / units.Count,
        };
    }

    /// <summary>What a fault does to the readings of a run and to their scatter.</summary>
    public Shift ShiftOf(Deviation fault)
    {
        var scatter = new PartScatter(plan.Tolerances);
        return new([.. Read(fault).Zip(sound, (with, without) => with - without)], fault == Deviation.None ? [] : [.. Enumerable.Range(0, PartScatter.Count).Select(Wider)]);

        double[] Wider(int part)
        {
            Span<double> z = stackalloc double[PartScatter.Count];
            z[part] = 1;
            var up = spread.Model.At(scatter.On(fault, z));
            z[part] = -1;
            var down = spread.Model.At(scatter.On(fault, z));
            return [.. up.Select((u, i) => spread.PartFactors[i] * (u - down[i]) / 2 - spread.Parts[part][i])];
        }
    }

    /// <param name="units">How many of the drawn units are asked; one standard error is at most 0.5 / √units.</param>
    public DrawnUnits Drawn(Shift shift, int units = Draws)
    {
        var found = new DrawnUnits(new float[units], new float[units], new float[units], new bool[units]);
        Each(shift, units, (n, unit) => Hold(unit, found, n));
        return found;
    }

    /// <summary>One drawn unit after the other, moved by a shift.</summary>
    /// <param name="unit">A row as it is held against the limits; for as long as it is looked at.</param>
    public delegate void Look(int n, ReadOnlySpan<float> unit);

    public void Each(Shift shift, int units, Look look)
    {
        var mean = Row(shift.Mean);
        var wider = shift.Parts.Select((column, part) => (Part: part, Row: Row(column))).Where(w => w.Row.Take(2 * limits.Rows.Length).Any(x => Math.Abs(x) > 0.01)).ToArray();
        Span<float> row = stackalloc float[width];
        for (var n = 0; n < units; n++)
        {
            AddScaled(drawn.AsSpan(n * width, width), mean, 1, row);
            foreach (var (part, column) in wider) AddScaled(row, column, parts[n * PartScatter.Count + part], row);
            look(n, row);
        }
    }

    /// <summary>A unit's joint residuals, made independent.</summary>
    public ReadOnlySpan<float> White(ReadOnlySpan<float> unit) => unit.Slice(limits.Rows.Length, limits.Rows.Length);

    /// <summary>What a shift moves on average, made independent in the same way.</summary>
    public double[] Whitened(Shift shift) => limits.Whitening.Whiten([.. limits.Rows.ToArray().Select(row => shift.Mean[row])]);

    /// <summary>A modelled requirement stops it.</summary>
    public bool MissesRequirement(ReadOnlySpan<float> unit)
    {
        var required = unit[(width - requirements.Length)..];
        for (var r = 0; r < required.Length; r++)
        {
            var value = spread.Mean[requirements[r].Row] + required[r];
            if (value < requirements[r].From || value > requirements[r].To) return true;
        }

        return false;
    }

    void Hold(ReadOnlySpan<float> unit, DrawnUnits found, int n)
    {
        foreach (var sigma in unit[..limits.Rows.Length]) found.Single[n] = Math.Max(found.Single[n], Math.Abs(sigma));
        foreach (var white in White(unit)) found.Distance[n] += white * white;
        found.Evidence[n] = (float)limits.Faults.Evidence(unit.Slice(2 * limits.Rows.Length, limits.Faults.Count));
        found.Requirement[n] = MissesRequirement(unit);
    }

    static void AddScaled(ReadOnlySpan<float> a, ReadOnlySpan<float> b, float by, Span<float> sum)
    {
        var i = 0;
        for (; i <= a.Length - Vector<float>.Count; i += Vector<float>.Count) (new Vector<float>(a[i..]) + by * new Vector<float>(b[i..])).CopyTo(sum[i..]);
        for (; i < a.Length; i++) sum[i] = a[i] + by * b[i];
    }

    static (int Row, double From, double To) PassRange(RequirementLimit limit, ExpectationSpread spread)
    {
        var row = Array.IndexOf(spread.Ids, limit.Id);
        var guardBand = Requirement.Judge(limit, spread.Mean[row], spread.ReadingUncertainty(row)).GuardBand;
        return (row, limit.Lower + guardBand ?? double.NegativeInfinity, limit.Upper - guardBand ?? double.PositiveInfinity);
    }
}

/// <summary>What a fault does to readings at reference conditions.</summary>
/// <param name="Mean">To the mean of each, shape [Ids].</param>
/// <param name="Parts">To what one standard deviation of each part does, shape [parts][Ids]; empty where the fault leaves scatter as it is.</param>
sealed record Shift(double[] Mean, double[][] Parts);
