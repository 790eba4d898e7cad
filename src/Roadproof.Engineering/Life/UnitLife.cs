using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Quantities;
using static System.FormattableString;

namespace Roadproof.Engineering.Life;

/// <summary>What load spectra use up of every element of one unit. Make one for a unit and ask it as often as wanted.</summary>
/// <remarks>Linear damage sums throughout (Palmgren and Miner; textbook). Methods, sources and limits: <c>docs/methods/life.md</c>.</remarks>
public sealed class UnitLife
{
    readonly DriveUnit unit;
    readonly LifePlan plan;
    readonly StageOfLife[] stages;
    readonly string[] bearingIds;

    /// <param name="plan">As many <see cref="LifePlan.Gears"/> as the unit has stages, each with materials of the plan.</param>
    /// <exception cref="InputException">A gear pair that cannot be; every one at once.</exception>
    public UnitLife(DriveUnit unit, LifePlan plan)
    {
        ArgumentNullException.ThrowIfNull(unit);
        ArgumentNullException.ThrowIfNull(plan);
        (this.unit, this.plan) = (unit, plan);
        var errors = new List<InputError>();
        var made = new List<StageOfLife>();
        for (var s = 0; s < Math.Min(unit.Gears.Count, plan.Gears.Count); s++)
        {
            try
            {
                made.Add(new(s, unit, new GearMesh(unit.Gears[s], plan.Gears[s]), plan.Gears[s], MaterialOf(plan.Gears[s].Pinion), MaterialOf(plan.Gears[s].Wheel)));
            }
            catch (ArgumentOutOfRangeException e)
            {
                errors.Add(new("life", 0, Invariant($"gears[{s}]"), e.Message.Split('\n')[0], "teeth with a root and a tip", "More profile shift mends a pinion that is cut away, less one that is pointed."));
            }
        }

        if (errors.Count > 0) throw new InputException(errors);
        stages = [.. made];
        bearingIds = [.. plan.Bearings.Select(b => "bearing-" + Slug(b.Name))];

        GearMaterial MaterialOf(string id) => plan.Materials.FirstOrDefault(m => m.Id == id)
            ?? throw new InputException(new InputError("life", 0, "gears", $"material '{id}'", $"one of {string.Join(", ", plan.Materials.Select(m => m.Id))}"));
    }

    /// <summary>Geometry and stresses of each stage.</summary>
    public IReadOnlyList<GearMesh> Meshes => [.. stages.Select(s => s.Mesh)];

    /// <summary>Every element with its damage and interval, the most used up first.</summary>
    public IReadOnlyList<ElementLife> Of(LoadSpectrum spectrum)
    {
        ArgumentNullException.ThrowIfNull(spectrum);
        var elements = new List<ElementLife>();
        foreach (var stage in stages)
        {
            foreach (var wheel in new[] { false, true })
            {
                var material = stage.MaterialOf(wheel);
                var (id, name) = (stage.IdOf(wheel), Invariant($"Stage {stage.Number} {stage.WordFor(wheel)}"));
                Line(id + "-root", name + ", tooth root", Ending.ToothRoot, stage.RootLoads(spectrum, wheel), material.Root, 1);
                if (material.Flank is { } flank) Line(id + "-flank", name + ", tooth flank", Ending.ToothFlank, stage.FlankLoads(spectrum, wheel), flank, 0.5);
                if (material.WearM3PerNm > 0) Add(id + "-wear", name + ", wear of the flanks", Ending.ToothWear, 1, UncertainDamage.Of(stage.WearDamage(spectrum, wheel), material.WearUncertaintyShare), material.WearOrigin);
            }
        }

        foreach (var bearing in plan.Bearings)
            Add("bearing-" + Slug(bearing.Name), bearing.Name, Ending.Bearing, BearingLife.BallExponent, UncertainDamage.Of(DamageOf(bearing, spectrum), BearingLife.BallExponent * bearing.LoadUncertaintyShare), bearing.Origin, LoadOf(bearing, spectrum));
        foreach (var ageing in plan.Ageing)
            Add("ageing-" + Slug(ageing.Name), ageing.Name, Ending.Ageing, double.NaN, DamageOf(ageing, spectrum), ageing.Origin);
        foreach (var part in plan.Bent)
            Line("bent-" + Slug(part.Name), part.Name, Ending.Bending, RangesOf(part, spectrum), part.Line, 1);
        if (plan.Clutch is { } clutch)
            Line("clutch", "One-way clutch", Ending.Clutch, [.. spectrum.TakeUpsAtTorque().Select(t => (t.MotorNm, t.Count, 20.0))], clutch, 1);
        return [.. elements.OrderByDescending(e => e.Damage)];

        void Line(string id, string name, Ending ending, IReadOnlyList<(double, double, double)> loads, FatigueLine line, double loadOverTorque) =>
            Add(id, name, ending, line.Slope * loadOverTorque, UncertainDamage.Of(loads, line), line.Origin);

        void Add(string id, string name, Ending ending, double slope, UncertainDamage damage, string origin, BearingLoad? load = null) =>
            elements.Add(new(id, name, ending, slope, damage.Nominal, damage.Interval, spectrum.DistanceM, origin, load));
    }

    /// <summary>Damage of every element without intervals: for many spectra. Keys are the ids that <see cref="Of"/> gives.</summary>
    public IReadOnlyDictionary<string, double> Damages(LoadSpectrum spectrum)
    {
        ArgumentNullException.ThrowIfNull(spectrum);
        var damages = new Dictionary<string, double>(StringComparer.Ordinal);
        foreach (var stage in stages)
        {
            foreach (var wheel in new[] { false, true })
            {
                var material = stage.MaterialOf(wheel);
                var id = stage.IdOf(wheel);
                damages[id + "-root"] = UncertainDamage.NominalOf(stage.RootLoads(spectrum, wheel), material.Root);
                if (material.Flank is { } flank) damages[id + "-flank"] = UncertainDamage.NominalOf(stage.FlankLoads(spectrum, wheel), flank);
                if (material.WearM3PerNm > 0) damages[id + "-wear"] = stage.WearDamage(spectrum, wheel);
            }
        }

        foreach (var bearing in plan.Bearings) damages["bearing-" + Slug(bearing.Name)] = DamageOf(bearing, spectrum);
        foreach (var ageing in plan.Ageing) damages["ageing-" + Slug(ageing.Name)] = AgeingAt(ageing, spectrum, ageing.HalvingK);
        foreach (var part in plan.Bent) damages["bent-" + Slug(part.Name)] = UncertainDamage.NominalOf(RangesOf(part, spectrum), part.Line);
        if (plan.Clutch is { } clutch) damages["clutch"] = UncertainDamage.NominalOf([.. spectrum.TakeUpsAtTorque().Select(t => (t.MotorNm, t.Count, 20.0))], clutch);
        return damages;
    }

    /// <summary>Damage of a steady point without a ride around it: what <see cref="Damages"/> gives for its turns, bent parts and ageing left out.</summary>
    /// <param name="motorNm">At the output, above 0; nobody pedals.</param>
    /// <param name="wheelC">Of each stage's wheel.</param>
    /// <param name="takeUps">Times that the clutch takes the torque up.</param>
    public IReadOnlyDictionary<string, double> SteadyDamages(double motorNm, double radPerS, double seconds, ReadOnlySpan<double> wheelC, double takeUps)
    {
        var turns = radPerS / (2 * Math.PI) * seconds;
        var damages = new Dictionary<string, double>(16, StringComparer.Ordinal);
        for (var s = 0; s < stages.Length; s++) stages[s].AddSteady(damages, motorNm, turns, wheelC[s]);
        for (var b = 0; b < plan.Bearings.Count; b++)
        {
            var bearing = plan.Bearings[b];
            damages[bearingIds[b]] = turns * TurnsPerOutput(bearing) / (BearingLife.TurnsL10(bearing.DynamicN, LoadN(bearing, motorNm, motorNm)) * bearing.LifeFactor);
        }

        if (plan.Clutch is { } clutch) damages["clutch"] = takeUps / clutch.CyclesTo(motorNm);
        return damages;
    }

    double TurnsPerOutput(LoadedBearing bearing)
    {
        var turnsPerOutput = 1.0;
        for (var s = bearing.Shaft; s < unit.Gears.Count; s++) turnsPerOutput *= unit.Gears[s].Ratio;
        return turnsPerOutput;
    }

    double DamageOf(LoadedBearing bearing, LoadSpectrum spectrum) => LoadsOn(bearing, spectrum).Sum(l => l.Turns / (BearingLife.TurnsL10(bearing.DynamicN, l.LoadN) * bearing.LifeFactor));

    BearingLoad? LoadOf(LoadedBearing bearing, LoadSpectrum spectrum) => BearingLoad.Together(LoadsOn(bearing, spectrum).Select(l => new BearingLoad(l.LoadN, l.Turns)));

    /// <summary>Equivalent loads of a bearing with its own turns at each.</summary>
    IEnumerable<(double LoadN, double Turns)> LoadsOn(LoadedBearing bearing, LoadSpectrum spectrum)
    {
        var turnsPerOutput = TurnsPerOutput(bearing);
        foreach (var (motorNm, totalNm, turns) in spectrum.TurnsAtTorques())
        {
            // What does not turn with the output stands while the motor does.
            if (motorNm == 0 && bearing.Shaft < unit.Gears.Count) continue;
            yield return (LoadN(bearing, motorNm, totalNm), turns * turnsPerOutput);
        }
    }

    /// <summary>Equivalent load of a bearing at torques of motor (at the output) and shaft, N.</summary>
    public double LoadN(LoadedBearing bearing, double motorNm, double totalNm)
    {
        ArgumentNullException.ThrowIfNull(bearing);
        var (x, y, axialN) = (0.0, 0.0, bearing.PreloadN);
        foreach (var force in bearing.Forces)
        {
            var forceN = force.Stage == 0
                ? totalNm / (plan.ChainringRadiusM ?? throw new InputException(new InputError("life", 0, "chainringRadiusM", "nothing", "the chainring's radius in m, since a bearing takes the chain's pull")))
                : stages[force.Stage - 1].Mesh.TransverseN(stages[force.Stage - 1].PinionNm(motorNm));
            if (force is { TakesAxial: true, Stage: > 0 }) axialN += Math.Abs(stages[force.Stage - 1].Mesh.AxialN(stages[force.Stage - 1].PinionNm(motorNm)));
            var (sin, cos) = Math.SinCos(force.DirectionDeg * Math.PI / 180);
            x += force.Share * forceN * cos;
            y += force.Share * forceN * sin;
        }

        return BearingLife.EquivalentN(Math.Sqrt(x * x + y * y), axialN, bearing.StaticN, bearing.GeometryFactor);
    }

    static UncertainDamage DamageOf(ThermalAgeing ageing, LoadSpectrum spectrum)
    {
        var (one, other) = (AgeingAt(ageing, spectrum, ageing.HalvingLowerK), AgeingAt(ageing, spectrum, ageing.HalvingUpperK));
        return new(AgeingAt(ageing, spectrum, ageing.HalvingK), new(Math.Min(one, other), Math.Max(one, other), UncertainDamage.Confidence));
    }

    /// <summary>Hours over the life at each temperature, which halves every so many kelvins (Montsinger's rule; textbook).</summary>
    static double AgeingAt(ThermalAgeing ageing, LoadSpectrum spectrum, double halvingK)
    {
        var damage = 0.0;
        foreach (var (c, seconds) in spectrum.TimeAt(ageing.Part))
        {
            var spotC = Math.Max(c + ageing.HotSpotK, ageing.NoLongerBelowC ?? double.NegativeInfinity);
            damage += seconds / 3600 / (ageing.LifeH * Math.Pow(2, (ageing.AtC - spotC) / halvingK));
        }

        return damage;
    }

    static (double Load, double Cycles, double C)[] RangesOf(BentPart part, LoadSpectrum spectrum) =>
        [.. (part.By == BendingTorque.Total ? spectrum.TotalRanges : spectrum.MotorRanges).Cycles().Select(c => (c.Range, c.Count, 20.0))];

    internal static string Slug(string name) => string.Join('-', name.ToLowerInvariant().Split([' ', ',', '.', '/'], StringSplitOptions.RemoveEmptyEntries));

    /// <summary>Torque at a stage's pinion for one at the output, the losses on the way paid.</summary>
    internal static double PinionShare(DriveUnit unit, int index)
    {
        var share = 1.0;
        for (var k = index; k < unit.Gears.Count; k++) share /= unit.Gears[k].Ratio * unit.Gears[k].MeshEfficiency;
        return share;
    }

    /// <summary>A stage with its place in the train.</summary>
    sealed class StageOfLife(int index, DriveUnit unit, GearMesh mesh, GearPair pair, GearMaterial pinion, GearMaterial wheel)
    {
        readonly GearStage gears = unit.Gears[index];
        readonly double pinionNmPerOutputNm = PinionShare(unit, index);
        readonly double turnsPerOutput = TurnsOf(unit, index);
        readonly string pinionId = Invariant($"stage-{index + 1}-pinion"), wheelId = Invariant($"stage-{index + 1}-wheel");

        public int Number => index + 1;
        public GearMesh Mesh => mesh;

        public GearMaterial MaterialOf(bool ofWheel) => ofWheel ? wheel : pinion;

        public string WordFor(bool ofWheel) => (ofWheel, gears.PlanetTeeth) switch { (false, null) => "pinion", (false, _) => "sun", (true, null) => "wheel", _ => "planet" };

        public double PinionNm(double outputNm) => outputNm * pinionNmPerOutputNm;

        public (double Load, double Cycles, double C)[] RootLoads(LoadSpectrum spectrum, bool ofWheel)
        {
            var paPerNm = RootPaPerNm(ofWheel);
            return [.. spectrum.TurnsAtTooth(index).Select(t => (PinionNm(t.MotorNm) * paPerNm, t.Turns * CyclesPerOutput(ofWheel), t.WheelC))];
        }

        public (double Load, double Cycles, double C)[] FlankLoads(LoadSpectrum spectrum, bool ofWheel)
        {
            var paAtOneNm = mesh.FlankPa(1, pinion, wheel);
            return [.. spectrum.TurnsAtTooth(index).Select(t => (Math.Sqrt(PinionNm(t.MotorNm)) * paAtOneNm, t.Turns * CyclesPerOutput(ofWheel), t.WheelC))];
        }

        public void AddSteady(Dictionary<string, double> damages, double motorNm, double turns, double wheelC)
        {
            foreach (var ofWheel in new[] { false, true })
            {
                var (id, material, cycles) = (IdOf(ofWheel), MaterialOf(ofWheel), turns * CyclesPerOutput(ofWheel));
                damages[id + "-root"] = cycles / material.Root.CyclesTo(RootPaPerNm(ofWheel) * PinionNm(motorNm), wheelC);
                if (material.Flank is { } flank) damages[id + "-flank"] = cycles / flank.CyclesTo(Math.Sqrt(PinionNm(motorNm)) * mesh.FlankPa(1, pinion, wheel), wheelC);
                if (material.WearM3PerNm > 0) damages[id + "-wear"] = mesh.WearM(PinionNm(motorNm), material.WearM3PerNm) * cycles / (pair.WornOutModules * gears.NormalModuleM);
            }
        }

        public string IdOf(bool ofWheel) => ofWheel ? wheelId : pinionId;

        double RootPaPerNm(bool ofWheel) => mesh.RootPa(1, ofWheel, MaterialOf(ofWheel));

        public double WearDamage(LoadSpectrum spectrum, bool ofWheel)
        {
            var wornM = spectrum.TurnsAtTooth(index).Sum(t => mesh.WearM(PinionNm(t.MotorNm), MaterialOf(ofWheel).WearM3PerNm) * t.Turns * CyclesPerOutput(ofWheel));
            return wornM / (pair.WornOutModules * gears.NormalModuleM);
        }

        /// <summary>How often one tooth is loaded in a turn of the output.</summary>
        double CyclesPerOutput(bool ofWheel) => turnsPerOutput * gears.MeshesPerTurn / (ofWheel ? mesh.WheelTeeth : gears.PinionTeeth) * (ofWheel ? 1 : gears.Planets ?? 1);

        static double TurnsOf(DriveUnit unit, int index)
        {
            var turns = 1.0;
            for (var k = index; k < unit.Gears.Count; k++) turns *= unit.Gears[k].Ratio;
            return turns;
        }
    }
}
