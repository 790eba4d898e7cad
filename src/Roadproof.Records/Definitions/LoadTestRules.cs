using System.Globalization;
using Roadproof.Engineering.Drive;
using Roadproof.Engineering.LoadTest;

namespace Roadproof.Records.Definitions;

/// <summary>What must hold inside a load test plan: a unit that can exist, a cycle that it can run, and limits for what is computed.</summary>
static class LoadTestRules
{
    public static void Check(LoadTestPlan plan, Findings findings)
    {
        CheckUnit(plan.Unit, findings);
        CheckPoints(plan, findings);
        CheckFunctions(plan, findings);
        CheckCrank(plan, findings);
        CheckGauges(plan, findings);
        CheckRequirements(plan, findings);
        CheckPopulation(plan, findings);
        CheckExpected(plan, findings);
    }

    static void CheckUnit(DriveUnit unit, Findings findings)
    {
        if (unit.Supply.MinimumV >= unit.Supply.NominalV && findings.Sound(unit.Supply, nameof(Supply.NominalV)))
            findings.Wrong(unit.Supply, nameof(Supply.MinimumV), Figure(unit.Supply.MinimumV), $"minimumV below nominalV {Figure(unit.Supply.NominalV)}");
        if (unit.Supply.MaximumV <= unit.Supply.NominalV && findings.Sound(unit.Supply, nameof(Supply.NominalV)))
            findings.Wrong(unit.Supply, nameof(Supply.MaximumV), Figure(unit.Supply.MaximumV), $"maximumV above nominalV {Figure(unit.Supply.NominalV)}");
        if (unit.Rating.ContinuousOutputW > unit.Rating.MaximumOutputW)
            findings.Wrong(unit.Rating, nameof(Rating.ContinuousOutputW), Figure(unit.Rating.ContinuousOutputW), $"continuousOutputW at most maximumOutputW {Figure(unit.Rating.MaximumOutputW)}");
        if (unit.Motor.DeratingStartC >= unit.Motor.DeratingEndC)
            findings.Wrong(unit.Motor, nameof(Motor.DeratingStartC), Figure(unit.Motor.DeratingStartC), $"deratingStartC below deratingEndC {Figure(unit.Motor.DeratingEndC)}");
        if (unit.Motor.Slots % 3 != 0)
            findings.Wrong(unit.Motor, nameof(Motor.Slots), Figure(unit.Motor.Slots), "slots as a multiple of the three phases");
        if (unit.Gears.Count == 0)
            findings.Wrong(unit, nameof(DriveUnit.Gears), "no gear stage", "at least one stage from the rotor to the output");
        foreach (var stage in unit.Gears)
        {
            if (stage.WheelTeeth <= stage.PinionTeeth && findings.Sound(stage, nameof(stage.PinionTeeth)))
                findings.Wrong(stage, nameof(stage.WheelTeeth), Figure(stage.WheelTeeth), $"more wheelTeeth than pinionTeeth {Figure(stage.PinionTeeth)}", "A stage slows down from rotor to output.");
            CheckPlanets(stage, findings);
        }

        CheckBearings(unit, findings);
        var drag = unit.GearDrag;
        if (drag.SettledShare > 0 && drag.SettlingH <= 0) findings.Wrong(drag, nameof(GearDrag.SettlingH), Figure(drag.SettlingH), "settlingH above 0 beside a settledShare");
        if (drag.SettledShare > 0 && drag.WorkedTurns <= 0) findings.Wrong(drag, nameof(GearDrag.WorkedTurns), Figure(drag.WorkedTurns), "workedTurns above 0 beside a settledShare");
    }

    static void CheckBearings(DriveUnit unit, Findings findings)
    {
        RouteRules.CheckDistinct(unit.Bearings, nameof(Bearing.Name), b => b.Name, "a bearing", findings);
        foreach (var bearing in unit.Bearings)
        {
            if (bearing.Shaft > unit.Gears.Count && findings.Sound(unit, nameof(unit.Gears)))
                findings.Wrong(bearing, nameof(bearing.Shaft), Figure(bearing.Shaft), $"a shaft from 0 (the rotor) to {Figure(unit.Gears.Count)} (the output)");
            if (bearing.BallDiameterM * bearing.Balls >= Math.PI * bearing.PitchDiameterM && findings.Sound(bearing, nameof(bearing.BallDiameterM), nameof(bearing.Balls), nameof(bearing.PitchDiameterM)))
                findings.Wrong(bearing, nameof(bearing.Balls), $"{Figure(bearing.Balls)} balls of {Figure(bearing.BallDiameterM)} m", $"as many as find room on a circle of {Figure(bearing.PitchDiameterM)} m");
        }
    }

    /// <summary>Sun and ring turn about one axis, so that a planet fills the gap between them; profile shift takes or gives a tooth or two (textbook; the two: common practice).</summary>
    static void CheckPlanets(GearStage stage, Findings findings)
    {
        if (!findings.Sound(stage, nameof(stage.PlanetTeeth), nameof(stage.Planets), nameof(stage.PinionTeeth), nameof(stage.WheelTeeth))) return;
        if (stage.PlanetTeeth is null != stage.Planets is null)
            findings.Wrong(stage, stage.Planets is null ? nameof(stage.PlanetTeeth) : nameof(stage.Planets), stage.Planets is null ? "planetTeeth without planets" : "planets without planetTeeth", "both, or neither for a plain pair");
        else if (stage is { Held: HeldMember.Ring, PlanetTeeth: null })
            findings.Wrong(stage, nameof(stage.Held), "held: ring for a plain pair", "planetTeeth and planets beside held: ring", "Only between planets does a ring stand still and the carrier drive on.");
        else if (stage.PlanetTeeth is { } planet && Math.Abs(stage.WheelTeeth - stage.PinionTeeth - 2 * planet) > 2)
            findings.Wrong(stage, nameof(stage.PlanetTeeth), Figure(planet), $"about {Figure((stage.WheelTeeth - stage.PinionTeeth) / 2)} planetTeeth, which fit between sun and ring");
    }

    static void CheckPoints(LoadTestPlan plan, Findings findings)
    {
        var (cycle, rating) = (plan.Cycle, plan.Unit.Rating);
        RouteRules.CheckId(cycle, nameof(cycle.Id), cycle.Id, findings);
        if (cycle.Points.Count == 0) findings.Wrong(cycle, nameof(cycle.Points), "no load point", "at least one load point");
        RouteRules.CheckDistinct(cycle.Points, nameof(LoadPoint.Id), p => p.Id, "a load point", findings);
        foreach (var point in cycle.Points)
        {
            RouteRules.CheckId(point, nameof(point.Id), point.Id, findings);
            if (point.TorqueNm > rating.MaximumTorqueNm)
                findings.Wrong(point, nameof(point.TorqueNm), Figure(point.TorqueNm), $"torqueNm at most the unit's maximumTorqueNm {Figure(rating.MaximumTorqueNm)}");
            else if (point.TorqueNm * point.SpeedRadPerS > rating.MaximumOutputW && findings.Sound(point, nameof(point.OutputRpm)))
                findings.Wrong(point, nameof(point.OutputRpm), $"{Figure(point.OutputRpm)} rpm at {Figure(point.TorqueNm)} N·m, which is {Math.Round(point.TorqueNm * point.SpeedRadPerS).ToString(CultureInfo.InvariantCulture)} W", $"at most the unit's maximumOutputW {Figure(rating.MaximumOutputW)}");
            if (point is { TorqueNm: > 0, OutputRpm: 0 })
                findings.Wrong(point, nameof(point.OutputRpm), "0 rpm under torque", "a speed above 0 for a point with torque", "At standstill one phase carries all the heat.");
            CheckWindow(point, findings);
        }

        CheckThatExpectationsCanBeRead(cycle, findings);
    }

    /// <summary>Resistance, flux and rotor offset come from the fast windows, current gain and phase currents from those under torque.</summary>
    static void CheckThatExpectationsCanBeRead(LoadCycle cycle, Findings findings)
    {
        if (cycle.Points.Count == 0 || !cycle.Points.All(p => findings.Sound(p, nameof(p.TorqueNm), nameof(p.OutputRpm), nameof(p.WindowForS)))) return;
        if (cycle.Points.All(p => p.TorqueNm == 0))
            findings.Wrong(cycle, nameof(cycle.Points), "no load point with torque", "at least one load point with torque", "Without it nothing is known of the phase currents.");
        else if (cycle.Points.Where(p => p.WindowForS > 0).DistinctBy(p => (p.TorqueNm, p.OutputRpm)).Count() < 2)
            findings.Wrong(cycle, nameof(cycle.Points), "a fast window at no two different load points", "fast windows at two load points of different torque or speed, at least", "Resistance and flux cannot be told apart at one of them.");
    }

    static void CheckWindow(LoadPoint point, Findings findings)
    {
        if (!findings.Sound(point, nameof(point.HoldS), nameof(point.WindowFromS), nameof(point.WindowForS), nameof(point.OutputRpm))) return;
        if (point is { WindowForS: 0, TorqueNm: > 0 })
            findings.Wrong(point, nameof(point.WindowForS), "no fast window under torque", "a window of at least one turn of the output for a point with torque", "Its phase current is judged.");
        else if (point is { WindowForS: 0, OutputRpm: > 0, HoldS: <= LoadPoint.SettlingS })
            findings.Wrong(point, nameof(point.HoldS), $"{Figure(point.HoldS)} s for a point that turns", $"holdS above {Figure(LoadPoint.SettlingS)} s, which speed and torque need to settle");
        else if (point.WindowFromS + point.WindowForS > point.HoldS)
            findings.Wrong(point, nameof(point.WindowForS), $"a window that ends {Figure(point.WindowFromS + point.WindowForS)} s after the start of point '{point.Id}'", $"a window inside its holdS {Figure(point.HoldS)}");
        else if (point is { WindowForS: > 0, OutputRpm: 0, TorqueNm: 0 })
            findings.Wrong(point, nameof(point.WindowForS), $"a window of {Figure(point.WindowForS)} s at standstill", "windowForS 0 where nothing turns");
        else if (point is { WindowForS: > 0, OutputRpm: > 0 } && point.WindowForS * point.OutputRpm < 60)
            findings.Wrong(point, nameof(point.WindowForS), $"a window of {Figure(point.WindowForS)} s", $"at least {Figure(60 / point.OutputRpm)} s, one turn of the output at {Figure(point.OutputRpm)} rpm", "A mean over part of a turn still holds the pulsation.");
    }

    /// <summary>Where nobody pedals there is no crank torque to give, no crank to stop and no crank sensor to read.</summary>
    static void CheckCrank(LoadTestPlan plan, Findings findings)
    {
        var (unit, cycle) = (plan.Unit, plan.Cycle);
        if (!findings.Sound(unit, nameof(unit.CrankSide), nameof(unit.TorqueSensor))) return;
        if (unit is { TorqueSensor: not null, CrankSide: null })
            findings.Wrong(unit, nameof(unit.TorqueSensor), "a torqueSensor without crankSide", "crankSide beside it, or neither", "It reads the crank's torque.");
        if (unit.TorqueSensor is not null && plan.Tolerances.TorqueSensorZeroNm == 0)
            findings.Wrong(plan.Tolerances, nameof(PartTolerances.TorqueSensorZeroNm), "no scatter of the torque sensor's zero", "torqueSensorZeroNm above 0 for a unit with a torqueSensor");
        if (!unit.SitsInWheel) return;
        if (cycle.CrankTorqueNm > 0) findings.Wrong(cycle, nameof(cycle.CrankTorqueNm), Figure(cycle.CrankTorqueNm), "no crankTorqueNm for a unit without crankSide", NoCrank);
        foreach (var test in cycle.Functions.Where(f => f.Kind == FunctionTestKind.StopPedalling && findings.Sound(f, nameof(f.Kind))))
            findings.Wrong(test, nameof(test.Kind), "stop-pedalling for a unit without crankSide", "function tests that need no crank", NoCrank);
    }

    const string NoCrank = "The rig turns its shell, nobody pedals.";

    static void CheckFunctions(LoadTestPlan plan, Findings findings)
    {
        var cycle = plan.Cycle;
        RouteRules.CheckDistinct(cycle.Functions, nameof(FunctionTest.Kind), f => WordOf(f.Kind), "a function test", findings);
        foreach (var test in cycle.Functions.Where(f => f.EventAtS >= f.HoldS))
            findings.Wrong(test, nameof(test.EventAtS), Figure(test.EventAtS), $"eventAtS below holdS {Figure(test.HoldS)}", "What follows the event must still be recorded.");
        foreach (var test in cycle.Functions.Where(f => findings.Sound(f, nameof(f.Kind))))
        {
            if (test.OutputRpm is not { } rpm) continue;
            if (test.Kind is FunctionTestKind.WalkAssist or FunctionTestKind.Quiescent or FunctionTestKind.SelfStart || (test.Kind == FunctionTestKind.CutOff && plan.Unit.SitsInWheel))
                findings.Wrong(test, nameof(test.OutputRpm), Figure(rpm), $"no outputRpm at {WordOf(test.Kind)}", "Its speed is the test itself.");
        }
    }

    static void CheckGauges(LoadTestPlan plan, Findings findings)
    {
        var gauges = plan.Gauges;
        RouteRules.CheckDistinct(gauges.Gauges, nameof(Gauge.Channel), g => g.Channel, "a gauge for a channel", findings);
        foreach (var gauge in gauges.Gauges.Where(g => !LoadTestCharacteristics.Channels.Contains(g.Channel)))
            findings.Wrong(gauge, nameof(gauge.Channel), $"'{gauge.Channel}'", "a channel of a capture", NearestWord.Hint(gauge.Channel, LoadTestCharacteristics.Channels));
        foreach (var gauge in gauges.Gauges.Where(g => g.GainShare == 0 && g.Channel.StartsWith("phase_current_", StringComparison.Ordinal) && findings.Sound(g, nameof(g.GainShare))))
            findings.Wrong(gauge, nameof(gauge.GainShare), $"0 for {gauge.Channel}", "gainShare above 0 for a phase current", "The phase current limit is read with no other uncertainty.");

        if (!gauges.Gauges.All(g => findings.Sound(g, nameof(g.Channel))) || !findings.Sound(plan.Unit, nameof(DriveUnit.CrankSide), nameof(DriveUnit.TorqueSensor))) return;
        // A mistyped channel is one mistake, not an unknown and a missing one.
        var covered = gauges.Gauges.Select(g => LoadTestCharacteristics.Channels.Contains(g.Channel) ? g.Channel : NearestWord.To(g.Channel, LoadTestCharacteristics.Channels)).ToHashSet();
        foreach (var channel in LoadTestCharacteristics.Judged(plan.Unit).Where(c => !covered.Contains(c)))
            findings.Wrong(gauges, nameof(gauges.Gauges), $"no gauge for channel {channel}", $"a gauge for {channel}, which judging needs");
    }

    static void CheckRequirements(LoadTestPlan plan, Findings findings)
    {
        var computed = LoadTestCharacteristics.ForRequirements(plan);
        var ids = computed.Select(c => c.Id).ToList();
        var cycleKnown = findings.Sound(plan.Unit, nameof(DriveUnit.TorqueSensor)) && findings.Sound(plan.Cycle, nameof(LoadCycle.Points), nameof(LoadCycle.Functions))
            && plan.Cycle.Points.All(p => findings.Sound(p, nameof(p.Id), nameof(p.TorqueNm))) && plan.Cycle.Functions.All(f => findings.Sound(f, nameof(f.Kind)));
        RouteRules.CheckDistinct(plan.Requirements, "Id", r => r.Id, "a requirement", findings);
        if (cycleKnown) CheckSafetyFunctions(plan, computed, findings);
        foreach (var limit in plan.Requirements)
        {
            if (limit.Lower is null && limit.Upper is null && findings.Sound(limit, nameof(limit.Lower), nameof(limit.Upper)))
                findings.Wrong(limit, nameof(limit.Id), $"'{limit.Id}' without lower and upper", "at least one edge", "A requirement without an edge limits nothing.");
            RouteRules.CheckEdges(limit, limit.Lower, limit.Upper, limit.GuardFactor * limit.StandardUncertainty, limit.Unit, findings);
            if (computed.FirstOrDefault(c => c.Id == limit.Id) is not { } characteristic)
            {
                if (cycleKnown) findings.Wrong(limit, nameof(limit.Id), $"'{limit.Id}'", "a characteristic that this load test computes", NearestWord.Hint(limit.Id, ids));
                continue;
            }

            if (limit.Unit != characteristic.Unit)
                findings.Wrong(limit, nameof(limit.Unit), $"'{limit.Unit}'", $"'{characteristic.Unit}', the unit that {limit.Id} is computed in");
            if (characteristic.Safety && !limit.Safety)
                findings.Wrong(limit, nameof(limit.Safety), $"'{limit.Id}' without safety: true", "safety: true for a safety function", "It is never retested without repair.");
        }
    }

    /// <summary>A safety function that the cycle tests is judged: what is only recorded protects nobody.</summary>
    static void CheckSafetyFunctions(LoadTestPlan plan, IReadOnlyList<LoadTestCharacteristics.Limited> computed, Findings findings)
    {
        if (!plan.Requirements.All(r => findings.Sound(r, nameof(r.Id)))) return;
        var ids = computed.Select(c => c.Id).ToList();
        // A mistyped id is one mistake, not an unknown and a missing one.
        var covered = plan.Requirements.Select(r => ids.Contains(r.Id) ? r.Id : NearestWord.To(r.Id, ids)).ToHashSet();
        foreach (var function in computed.Where(c => c.Safety && !covered.Contains(c.Id)))
            findings.Wrong(plan, nameof(plan.Requirements), $"no requirement '{function.Id}'", $"a limit in {function.Unit} with safety: true for it", "Its function test is in the cycle, and every unit has to show it.");
    }

    static void CheckPopulation(LoadTestPlan plan, Findings findings)
    {
        RouteRules.CheckDistinct(plan.Population, "Id", p => p.Id, "an expectation", findings);
        if (!findings.Sound(plan.Unit, nameof(DriveUnit.Gears))) return;
        var needed = LoadTestCharacteristics.FromPopulation(plan.Unit.Gears.Count);
        foreach (var expectation in plan.Population.Where(p => !needed.Contains(p.Id)))
            findings.Wrong(expectation, nameof(expectation.Id), $"'{expectation.Id}'", "a characteristic that is expected from proven units", NearestWord.Hint(expectation.Id, needed));

        if (!plan.Population.All(p => findings.Sound(p, nameof(p.Id)))) return;
        var covered = plan.Population.Select(p => needed.Contains(p.Id) ? p.Id : NearestWord.To(p.Id, needed)).ToHashSet();
        foreach (var id in needed.Where(n => !covered.Contains(n)))
            findings.Wrong(plan, nameof(plan.Population), $"no expectation for '{id}'", $"mean and standardDeviation of '{id}' over proven units");
    }

    static void CheckExpected(LoadTestPlan plan, Findings findings)
    {
        RouteRules.CheckDistinct(plan.Expected, "Id", p => p.Id, "an expectation", findings);
        if (plan.Expected.Count == 0 || !plan.Cycle.Points.All(p => findings.Sound(p, nameof(p.Id), nameof(p.TorqueNm), nameof(p.OutputRpm)))) return;
        var modelled = Characteristics.Expectations(plan with { Population = [] }).Select(c => c.Id).ToList();
        foreach (var expectation in plan.Expected.Where(e => !modelled.Contains(e.Id)))
            findings.Wrong(expectation, nameof(expectation.Id), $"'{expectation.Id}'", "a characteristic that the model expects", NearestWord.Hint(expectation.Id, modelled));
    }

    static string WordOf(FunctionTestKind kind) => DefinitionKeys.Words(typeof(FunctionTestKind))[(int)kind];

    static string Figure(double number) => number.ToString("0.######", CultureInfo.InvariantCulture);
}
