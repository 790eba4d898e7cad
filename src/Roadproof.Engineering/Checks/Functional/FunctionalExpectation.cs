using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Judging;
using Roadproof.Engineering.Signals;
using Roadproof.Engineering.Statistics;

namespace Roadproof.Engineering.Checks.Functional;

/// <summary>What sound units read in a functional check, one by one and together, for one false-alarm rate over all of it.</summary>
/// <remarks>
/// Expected from the unit's own model at the speed at which it was turned. Covariance = J·Jᵀ with one column for each part that scatters and each drag's trust, plus the readings' own uncertainty. The drags
/// share their parts (seal, clutches), so that they move together: what each alone allows may be unusual together. Both limits are set jointly from seeded draws. Method: docs/methods/functional-check.md.
/// </remarks>
sealed class FunctionalExpectation
{
    const int Draws = 20_000;

    static readonly (string Id, string Name, string Unit, Func<FunctionalReadings, Reading> Read, Func<SlowTurning, double> Model)[] All =
    [
        (FunctionalVerdict.Forward, "Drag forward", "N·m", r => r.Forward, m => m.CrankForward),
        (FunctionalVerdict.Backward, "Drag backward", "N·m", r => r.Backward, m => m.CrankBackward),
        (FunctionalVerdict.Free, "Torque with the clutch free", "N·m", r => r.Free, m => m.Free),
        (FunctionalVerdict.Driven, "Drag of gears and rotor", "N·m", r => r.Driven, m => m.Driven),
        (FunctionalVerdict.TakeUp, "Take-up angle", "°", r => r.TakeUp, m => m.TakeUpDeg),
        (FunctionalVerdict.SensorZero, "Torque sensor zero", "N·m", r => r.SensorZero, _ => 0),
    ];

    FunctionalExpectation(IReadOnlyList<ExpectationReading> readings, double distance, double distanceLimit, double sigmaLimit) =>
        (Readings, Distance, DistanceLimit, SigmaLimit) = (readings, distance, distanceLimit, sigmaLimit);

    public IReadOnlyList<ExpectationReading> Readings { get; }

    /// <summary>Squared Mahalanobis distance from sound units.</summary>
    public double Distance { get; }
    public double DistanceLimit { get; }
    public double SigmaLimit { get; }

    /// <returns>Null where nothing was read that the model and the tolerances expect.</returns>
    public static FunctionalExpectation? Of(FunctionalReadings r, FunctionalTest test)
    {
        var rows = All.Where(a => !double.IsNaN(a.Read(r).Value) && Known(a.Id, test.Tolerances)).ToArray();
        if (rows.Length == 0) return null;
        var covariance = Covariance(rows.Select(a => a.Id).ToArray(), [.. rows.Select(a => a.Read(r).StandardUncertainty)], r.DriveRadPerS, test);
        var whitening = new Whitening(covariance);
        var drawn = Model(test, Deviation.None, CrankDeviation.None, r.DriveRadPerS);
        var residual = rows.Select(a => a.Read(r).Value - a.Model(drawn)).ToArray();
        var white = whitening.Whiten(residual);
        var (sigmaLimit, distanceLimit) = Limits(covariance, whitening, test.FalseAlarm);
        var readings = rows.Select((a, i) =>
        {
            var (read, sd) = (a.Read(r), Math.Sqrt(covariance[i, i]));
            var sigma = residual[i] / sd;
            return new ExpectationReading(a.Id, a.Name, a.Unit, read.Value, read.Value, a.Model(drawn), sd, read.StandardUncertainty, 0, sigma, Math.Abs(sigma) > sigmaLimit ? Verdict.Unusual : Verdict.Usual);
        }).ToList();
        return new(readings, Whitening.Dot(white, white), distanceLimit, sigmaLimit);
    }

    // What nobody has said how it scatters has no expectation.
    static bool Known(string id, PartTolerances t) => id switch
    {
        FunctionalVerdict.TakeUp => t.TakeUpDeg is not null,
        FunctionalVerdict.SensorZero => t.TorqueSensorZeroNm > 0,
        _ => t.CrankDragShare is not null,
    };

    static SlowTurning Model(FunctionalTest test, Deviation deviation, CrankDeviation side, double driveRadPerS) => SlowTurning.Of(test.Unit, test.Crank, deviation, side, driveRadPerS);

    static double[,] Covariance(string[] ids, double[] own, double driveRadPerS, FunctionalTest test)
    {
        var (t, columns) = (test.Tolerances, new List<double[]>());
        var drag = double.Hypot((t.CrankDragShare ?? 0) / 3, test.DragTrustShare);
        Column(Deviation.None, CrankDeviation.None with { SealFactor = 1 + drag });
        Column(Deviation.None, CrankDeviation.None with { MotorClutchFactor = 1 + drag });
        Column(Deviation.None, CrankDeviation.None with { CrankClutchFactor = 1 + drag });
        Column(Deviation.None, CrankDeviation.None with { TakeUpDeg = (t.TakeUpDeg ?? 0) / 3 });
        Column(Deviation.None with { AddedMotorDragNm = double.Hypot(t.MotorDragNm / 3, test.DragTrustShare * test.Unit.Motor.CoulombFrictionNm) }, CrankDeviation.None);
        Column(Deviation.None with { GearDragFactor = 1 + double.Hypot(t.GearDragShare / 3, test.DragTrustShare) }, CrankDeviation.None);
        Column(Deviation.None with { FluxFactor = 1 + t.FluxShare / 3 }, CrankDeviation.None);
        Column(Deviation.None with { MeshFactor = 1 + t.MeshShare / 3 }, CrankDeviation.None);

        var covariance = new double[ids.Length, ids.Length];
        for (var i = 0; i < ids.Length; i++)
        {
            covariance[i, i] = own[i] * own[i] + (ids[i] == FunctionalVerdict.SensorZero ? t.TorqueSensorZeroNm * t.TorqueSensorZeroNm / 9 : 0);
            for (var j = 0; j < ids.Length; j++) covariance[i, j] += columns.Sum(c => c[i] * c[j]);
        }

        return covariance;

        void Column(Deviation deviation, CrankDeviation side)
        {
            var (moved, drawn) = (Model(test, deviation, side, driveRadPerS), Model(test, Deviation.None, CrankDeviation.None, driveRadPerS));
            columns.Add([.. ids.Select(id => All.First(a => a.Id == id).Model).Select(m => m(moved) - m(drawn))]);
        }
    }

    static (double Sigma, double Distance) Limits(double[,] covariance, Whitening whitening, double falseAlarm)
    {
        var (sigmas, distances, noise) = (new double[Draws], new double[Draws], new SeededNoise(1, "sound units of a functional check"));
        Span<double> white = stackalloc double[whitening.Count];
        Span<double> residual = stackalloc double[whitening.Count];
        for (var n = 0; n < Draws; n++)
        {
            noise.Fill(white);
            whitening.Colour(white, residual);
            for (var i = 0; i < residual.Length; i++) sigmas[n] = Math.Max(sigmas[n], Math.Abs(residual[i]) / Math.Sqrt(covariance[i, i]));
            distances[n] = Whitening.Dot(white, white);
        }

        var limits = SharedAlarm.Limits([sigmas, distances], [1, 1], falseAlarm);
        return (limits[0], limits[1]);
    }
}
