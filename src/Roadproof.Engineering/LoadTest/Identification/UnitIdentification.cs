using MathNet.Numerics.LinearAlgebra;
using Roadproof.Engineering.Formats;
using Roadproof.Engineering.Quantities;
using static System.FormattableString;

namespace Roadproof.Engineering.LoadTest;

/// <summary>Finds a unit's own parameters from the steady points of one run: resistance, flux, drags, gear efficiency.</summary>
/// <remarks>
/// Two fits of the same model to the same readings (<see cref="ParameterFit"/>): one that leaves the drawing out as far as the equations allow, and one that holds every parameter by the spread of sound units. What the drawing adds is
/// therefore to be seen in every answer. Coulomb friction, gear drag and hysteresis are one torque to every reading of a load test, so are viscous friction, gear drag and eddy currents: the run tells their sums.
/// A load point that the others contradict is named and left out. Equations, assumptions and limits: <c>docs/methods/identification.md</c>.
/// Source: dq equations and least squares with correlated errors, textbook; share by the resolution matrix of linear inversion, textbook.
/// </remarks>
public static class UnitIdentification
{
    public const string Method =
        "unit-parameters/1: generalised least squares of dq voltages, bus power, drive torque and no-load current over the steady points, errors of the rig's gauges and temperatures with their covariance; docs/methods/identification.md";

    // A hundred of the drawing's spreads: equations that say nothing stay solvable, and what they say is not touched.
    const double Loose = 0.01;

    const int LeastPoints = 3;

    /// <summary>A knock or a slipped clamp spoils a window or two; where more are contradicted it is the model that is wrong, and what is left would only seem to fit.</summary>
    const int MostLeftOut = 2;

    /// <summary>Parts of one drag: no reading tells them from each other.</summary>
    static readonly UnitParameter[] PartsOfDrag =
        [UnitParameter.CoulombFriction, UnitParameter.ViscousFriction, UnitParameter.Hysteresis, UnitParameter.Eddy, UnitParameter.GearDrag];

    /// <exception cref="InputException">The capture cannot be read, or shows too few load points.</exception>
    public static IdentifiedUnit Of(Capture capture, LoadTestPlan plan)
    {
        var readings = LoadTestReadings.From(capture, plan);
        return Of(MeasuredRunOf.Readings(readings, plan), plan with { Cycle = AsRead(plan.Cycle, readings) }, readings.Warnings);
    }

    // Noise counts by what was read: a window may have been cut short.
    static LoadCycle AsRead(LoadCycle cycle, LoadTestReadings readings) => cycle with
    {
        Points = [.. cycle.Points.Select(p => readings.At(p.Id) is { Phase: not null } seen ? p with { WindowForS = seen.OutputTurns * 60 / p.OutputRpm } : p)],
    };

    internal static IdentifiedUnit Of(MeasuredRun run, LoadTestPlan plan, IReadOnlyList<string> warningsOfReading)
    {
        RequirePoints(run, plan);
        var drawn = new DrawnParameters(plan);
        var warnings = new List<string>(warningsOfReading);
        if (run.IdleH is null) warnings.Add(SettledGrease.Unknown);
        var (residuals, fit, points) = WithoutContradictedPoints(run, plan, drawn, warnings);
        var weights = WeightsOfRun(residuals.HasVoltages);
        var together = ParameterFit.Of(residuals, HeldAsDrawn);
        var test = FitTest.Of(fit, weights);
        if (!test.Fits)
            warnings.Add(Invariant($"The model does not explain this run: chi-square {test.ChiSquare:0.#} with {test.DegreesOfFreedom} degrees of freedom, by chance {test.Probability:0.0e+0}. The values may be wrong by more than they say."));
        if (!fit.Converged || !together.Converged) warnings.Add("The fit did not settle: the values may be wrong by more than they say.");

        var answer = new Answer(drawn, fit, together, residuals.HasVoltages);
        var parameters = answer.Parameters();
        var combinations = answer.Combinations([.. residuals.RotorRadPerS]);
        warnings.Add(Confounded(parameters, combinations));
        if (!residuals.HasVoltages) warnings.Add(WithoutVoltages(residuals, fit, drawn, parameters));
        return new(parameters, combinations, answer.Correlations(parameters, combinations), test, Rms(residuals, fit), points, [.. residuals.LeftOut], Method, warnings);
    }

    static readonly double[] HeldAsDrawn = [.. Enumerable.Repeat(1.0, DrawnParameters.Count)], AllLoose = [.. Enumerable.Repeat(Loose, DrawnParameters.Count)];

    /// <summary>The run's own fit takes from the drawing how a drag is shared out, which matters only as the magnets' warmth changes the iron's part, and the d inductance, which hardly any current shows. Without phase voltages
    /// also what then looks alike: the rotor offset, the q inductance and saturation beside the flux, the inverter beside the winding.</summary>
    static UnitParameter[] TakenFromDrawing(bool hasVoltages) => hasVoltages ? AlwaysDrawn : [.. AlwaysDrawn, .. ShownByVoltages];

    static readonly UnitParameter[] AlwaysDrawn = [UnitParameter.Hysteresis, UnitParameter.Eddy, UnitParameter.GearDrag, UnitParameter.InductanceD];

    static readonly UnitParameter[] ShownByVoltages =
        [UnitParameter.RotorOffset, UnitParameter.InductanceQ, UnitParameter.Saturation, UnitParameter.StandingLoss, UnitParameter.OnResistance, UnitParameter.Switching];

    static double[] WeightsOfRun(bool hasVoltages)
    {
        var weights = (double[])AllLoose.Clone();
        foreach (var parameter in TakenFromDrawing(hasVoltages)) weights[(int)parameter] = 1;
        return weights;
    }

    static (RunResiduals Residuals, ParameterFit Fit, List<PointTest> Points) WithoutContradictedPoints(MeasuredRun run, LoadTestPlan plan, DrawnParameters drawn, List<string> warnings)
    {
        var (leftOut, contradicted) = (new SortedSet<string>(StringComparer.Ordinal), new List<PointTest>());
        while (true)
        {
            var (residuals, fit, points) = Fitted(leftOut);
            var worst = points.MinBy(p => (p.Probability, -p.ChiSquare))!;
            if (worst.Probability * points.Count >= FitTest.LeastProbability || points.Count(p => p.Readings > 1) <= LeastPoints)
            {
                warnings.AddRange(contradicted.Select(p => Invariant($"Load point {p.Point} was left out: the others contradict it (chi-square {p.ChiSquare:0.#} of {p.Readings} readings), most in {p.Channel}, by {p.Off:+0.###;-0.###} {p.Unit}. Look at that window before believing it or the rest.")));
                return (residuals, fit, [.. contradicted, .. points]);
            }

            contradicted.Add(worst);
            if (contradicted.Count > MostLeftOut)
            {
                warnings.Add($"Load points {string.Join(", ", contradicted.Select(p => p.Point))} each contradict the others: too many for bad windows, and none was left out.");
                return Fitted(new SortedSet<string>(StringComparer.Ordinal));
            }

            leftOut.Add(worst.Point);
        }

        (RunResiduals, ParameterFit, List<PointTest>) Fitted(SortedSet<string> without)
        {
            var residuals = new RunResiduals(plan, drawn, run, without.ToHashSet(StringComparer.Ordinal));
            var weights = WeightsOfRun(residuals.HasVoltages);
            var fit = ParameterFit.Of(residuals, weights);
            return (residuals, fit, PointTest.Of(residuals, fit, weights));
        }
    }

    static void RequirePoints(MeasuredRun run, LoadTestPlan plan)
    {
        var loaded = plan.Cycle.Points.Where(p => p.TorqueNm > 0).Select(p => p.Id).ToHashSet(StringComparer.Ordinal);
        var seen = run.Points.Where(p => p.Fast is not null).ToList();
        if (seen.Count >= LeastPoints && seen.Any(p => loaded.Contains(p.Point)) && seen.Exists(p => !loaded.Contains(p.Point))) return;
        throw new InputException(new InputError("capture", 0, "load points",
            seen.Count == 0 ? "none with phase currents" : string.Join(", ", seen.Select(p => p.Point)),
            Invariant($"phase currents at {LeastPoints} load points or more, with load and without"), "A run that was stopped early, or another load cycle, does not tell a unit's parameters."));
    }

    static List<ChannelResidual> Rms(RunResiduals residuals, ParameterFit fit) =>
    [
        .. residuals.Rows.Zip(fit.Residual).GroupBy(r => (r.First.Channel, r.First.Unit))
            .Select(g => new ChannelResidual(g.Key.Channel, Math.Sqrt(g.Average(r => r.Second * r.Second)), g.Key.Unit)),
    ];

    static string Confounded(List<IdentifiedParameter> parameters, List<IdentifiedParameter> combinations)
    {
        var cannot = parameters.Where(p => !p.Identified).Select(p => p.Name.ToLowerInvariant()).ToList();
        var told = combinations.Where(c => c.Identified).ToList();
        return (cannot.Count == 0 ? "" : $"The run cannot tell {string.Join(", ", cannot)} by itself: those values lean on the drawing. ")
            + (told.Count == 0 ? "It does not tell the drags' sums either." : $"What it tells: {string.Join("; ", told.Select(c => Invariant($"{c.Name} {c.Value:G4} ± {c.StandardUncertainty:G2} {c.Unit}")))}.");
    }

    /// <summary>What phase voltages would have been worth on this very run: the same fit with the voltages that the model computes.</summary>
    static string WithoutVoltages(RunResiduals residuals, ParameterFit fit, DrawnParameters drawn, List<IdentifiedParameter> parameters)
    {
        var seen = residuals.WithVoltages(fit.Z);
        var weights = WeightsOfRun(hasVoltages: true);
        var covariance = ParameterFit.Of(seen, weights).Covariance(weights);
        double With(UnitParameter k) => Math.Sqrt(covariance[(int)k, (int)k]) * drawn.Spread[(int)k];
        var (resistance, flux) = (parameters[(int)UnitParameter.Resistance], parameters[(int)UnitParameter.Flux]);
        var without = fit.Covariance(WeightsOfRun(hasVoltages: false));
        double Own(UnitParameter k) => Math.Sqrt(without[(int)k, (int)k]) * drawn.Spread[(int)k];
        var (own, ownFlux) = (Own(UnitParameter.Resistance), Own(UnitParameter.Flux));
        return Invariant($"No phase voltages: this run alone knows the resistance to {1e3 * own:G2} mΩ, {(own > resistance.Drawing.StandardUncertainty ? "less" : "more")} surely than the spread of the parts ({1e3 * resistance.Drawing.StandardUncertainty:G2} mΩ), and the flux to {1e6 * ownFlux:G2} µWb (parts: {1e6 * flux.Drawing.StandardUncertainty:G2}). ")
            + Invariant($"With phase voltages it would know {1e3 * With(UnitParameter.Resistance):G2} mΩ and {1e6 * With(UnitParameter.Flux):G2} µWb, the flux {ownFlux / With(UnitParameter.Flux):0.0} times surer.");
    }

    /// <summary>Both fits, put into words and SI units.</summary>
    sealed class Answer
    {
        readonly DrawnParameters drawn;
        readonly ParameterFit run, together;
        readonly Matrix<double> ofRun, alone, ofBoth;
        readonly bool hasVoltages;

        public Answer(DrawnParameters drawn, ParameterFit run, ParameterFit together, bool hasVoltages)
        {
            (this.drawn, this.run, this.together, this.hasVoltages) = (drawn, run, together, hasVoltages);
            ofRun = run.Covariance(WeightsOfRun(hasVoltages));
            alone = run.Covariance(AllLoose);
            ofBoth = together.Covariance(HeldAsDrawn);
        }

        public List<IdentifiedParameter> Parameters() =>
        [
            One(UnitParameter.Resistance, "windingResistanceOhm", "Winding resistance of a phase at 20 °C", "Ω"),
            One(UnitParameter.Flux, "fluxLinkageWb", "Flux linkage at 20 °C", "Wb"),
            One(UnitParameter.RotorOffset, "rotorOffsetRad", "Error of the stored rotor angle", "rad"),
            One(UnitParameter.CoulombFriction, "coulombFrictionNm", "Coulomb friction of the motor", "N·m"),
            One(UnitParameter.ViscousFriction, "viscousFrictionNmS", "Viscous friction of the motor", "N·m·s"),
            One(UnitParameter.Hysteresis, "ironLossHysteresisWPerHz", "Hysteresis loss", "W/Hz"),
            One(UnitParameter.Eddy, "ironLossEddyWPerHz2", "Eddy-current loss", "W/Hz²"),
            One(UnitParameter.GearDrag, "gearDragFactor", "Gear drag beside the drawing's", "1"),
            One(UnitParameter.GearEfficiency, "gearEfficiency", "Efficiency of the gear meshes", "1"),
            One(UnitParameter.InductanceD, "inductanceDH", "Inductance along the magnets' axis", "H"),
            One(UnitParameter.InductanceQ, "inductanceQH", "Inductance across the magnets' axis", "H"),
            One(UnitParameter.Saturation, "saturationAtCurrentLimit", "Flux lost to saturation at the current limit", "1"),
            One(UnitParameter.StandingLoss, "inverterStandingLossW", "Standing loss of the inverter", "W"),
            One(UnitParameter.OnResistance, "inverterOnResistanceOhm", "On-resistance of the inverter", "Ω"),
            One(UnitParameter.Switching, "inverterSwitchingLossWPerVA", "Switching loss of the inverter", "W/VA"),
        ];

        public List<IdentifiedParameter> Combinations(double[] rotorRadPerS)
        {
            var (constant, perSpeed) = drawn.Drag();
            var best = Math.Clamp(-Covary(ofRun, constant, perSpeed) / Covary(ofRun, perSpeed, perSpeed), rotorRadPerS.Min(), rotorRadPerS.Max());
            return
            [
                Of(constant, "constantDragNm", "drag at the rotor that does not change with speed (Coulomb, gears, hysteresis)", "N·m", ofRun),
                Of(perSpeed, "speedDragNmS", "drag at the rotor per speed (viscous, gears, eddy currents)", "N·m·s", ofRun),
                Of([.. constant.Zip(perSpeed, (c, p) => c + best * p)], "dragNm", Invariant($"whole drag at the rotor at {best:0} rad/s, where this run knows it best"), "N·m", ofRun) with { AtRadPerS = best },
            ];
        }

        public List<ParameterCorrelation> Correlations(List<IdentifiedParameter> parameters, List<IdentifiedParameter> combinations)
        {
            var (constant, perSpeed) = drawn.Drag();
            var told = parameters.Select((p, k) => (p.Id, p.Identified, Sum: Alone(k)))
                .Append((combinations[0].Id, combinations[0].Identified, Sum: constant)).Append((combinations[1].Id, combinations[1].Identified, Sum: perSpeed))
                .Where(p => p.Identified).ToList();
            return
            [
                .. from i in Enumerable.Range(0, told.Count)
                   from j in Enumerable.Range(i + 1, told.Count - i - 1)
                   let r = Covary(ofRun, told[i].Sum, told[j].Sum) / Math.Sqrt(Covary(ofRun, told[i].Sum, told[i].Sum) * Covary(ofRun, told[j].Sum, told[j].Sum))
                   where Math.Abs(r) >= 0.3
                   select new ParameterCorrelation(told[i].Id, told[j].Id, r),
            ];
        }

        IdentifiedParameter One(UnitParameter k, string id, string name, string unit) =>
            Of(Alone((int)k), id, name, unit, PartsOfDrag.Contains(k) ? alone : ofRun, TakenFromDrawing(hasVoltages).Contains(k));

        /// <param name="sum">Factor of each parameter.</param>
        /// <param name="own">Covariance that tells what the run alone knows of it.</param>
        IdentifiedParameter Of(double[] sum, string id, string name, string unit, Matrix<double> own, bool fromDrawing = false)
        {
            var drawing = new Estimate(Sum(sum, new double[DrawnParameters.Count]), Math.Sqrt(Enumerable.Range(0, sum.Length).Sum(k => Square(sum[k] * drawn.Spread[k]))));
            var byRun = new Estimate(Sum(sum, run.Z), Math.Sqrt(Covary(own, sum, sum)));
            var both = new Estimate(Sum(sum, together.Z), Math.Sqrt(Covary(ofBoth, sum, sum)));
            var identified = !fromDrawing && byRun.StandardUncertainty <= drawing.StandardUncertainty;
            var used = identified ? byRun : both;
            return new(id, name, unit, used.Value, used.StandardUncertainty, identified, 1 - Square(both.StandardUncertainty / drawing.StandardUncertainty), identified ? byRun : null, both, drawing);
        }

        double Sum(double[] sum, double[] z) => Enumerable.Range(0, sum.Length).Sum(k => sum[k] * (drawn.Value[k] + z[k] * drawn.Spread[k]));

        double Covary(Matrix<double> covariance, double[] one, double[] other)
        {
            var total = 0.0;
            for (var i = 0; i < one.Length; i++)
                for (var j = 0; j < one.Length; j++) total += one[i] * drawn.Spread[i] * covariance[i, j] * drawn.Spread[j] * other[j];
            return total;
        }

        static double[] Alone(int k)
        {
            var sum = new double[DrawnParameters.Count];
            sum[k] = 1;
            return sum;
        }

        static double Square(double x) => x * x;
    }
}
