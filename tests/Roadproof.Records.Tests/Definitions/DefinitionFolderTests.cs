using System.Globalization;
using System.Reflection;
using CsCheck;
using Roadproof.Engineering.LoadTest;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Definitions;

namespace Roadproof.Records.Tests.Definitions;

public sealed class DefinitionFolderTests
{
    const string Plant = "plant.yaml";
    const string Parts = "parts.yaml";
    const string Product = "products/af-85.yaml";
    const string Route = "routes/af-85.yaml";

    /// <summary>One slip of the hand each. ‸ stands where the error must point; the sentence is what the engineer reads.</summary>
    public static TheoryData<string, string, string, string> Slips => new()
    {
        // Reading YAML
        { Plant, "taktS: 57", "‸takt: 57", "found the key 'takt', expected a key of an item of lines. Did you mean 'taktS'?" },
        { Plant, "taktS: 57", "taktS: ‸57 s", "found '57 s', expected taktS as a number in s above 0 to 86400. The unit stands in the key: write the number alone, in that unit." },
        { Plant, "dueToday: 400", "dueToday: ‸400.5", "found '400.5', expected dueToday as a whole number from 0 to 100000." },
        { Plant, "    dueToday: 400\n", "    dueToday: 400\n    ‸dueToday: 500\n", "found the key 'dueToday' again, expected each key once. It stands in line 15 already." },
        { Plant, "customers: [Tarnbeck Cycles, Ostermere Bikes, Vellin & Dray]", "customers: ‸Tarnbeck Cycles", "found 'Tarnbeck Cycles', expected a list for customers. Each item of a list stands in a line of its own behind '- ', or all stand in [ ]." },
        { Plant, "name: Line 1", "name: ‸{ name: Line 1 }", "found keys with values, expected one value for name." },
        { Plant, "name: Line 1", "name:‸ ", "found nothing, expected a value for name." },
        { Plant, "{ id: st20, name: Stator press, step: stator-in }", "‸{ id: st20, step: stator-in }", "found no key 'name', expected the key 'name' in an item of stations." },
        { Plant, "{ id: st20, name: Stator press, step: stator-in }", "‸st20", "found 'st20', expected keys with their values for an item of stations." },
        { Plant, "name: Alderfen Works", "name: ‸*works", "found '*works', expected the values themselves. Definitions are read by people one line at a time: write them out." },
        { Plant, "name: Alderfen Works", "name: ‸''", "found empty text, expected a text for name." },
        { Plant, "name: Alderfen Works", "name: Alderfen Works\n‸[a, b]: c", "found a list or keys in place of a key, expected a key." },
        { Parts, "  - { id: display, name: Display, serialised: true }\n", "  - { id: display, name: Display, serialised: true }\n‸---\nparts: []\n", "found a second document, expected one YAML document in a file. Put it into a file of its own." },
        { Parts, "serialised: true, shell: true", "serialised: true, shell: ‸yes", "found 'yes', expected true or false for shell. Write true." },
        { Product, "phaseResistance20Ohm: 0.055", "phaseResistance20Ohm: ‸0,055", "found '0,055', expected phaseResistance20Ohm as a number in Ω above 0 to 5. Write a decimal point, not a comma." },
        { Product, "phaseResistance20Ohm: 0.055", "phaseResistance20Ohm: ‸55", "found 55, expected phaseResistance20Ohm as a number in Ω above 0 to 5. It stands in Ω." },
        { Product, "phaseResistance20Ohm: 0.055", "phaseResistance20Ohm: ‸-0.055", "found -0.055, expected phaseResistance20Ohm as a number in Ω above 0 to 5. It stands in Ω." },
        { Product, "phaseResistance20Ohm: 0.055", "phaseResistance20Ohm: ‸.nan", "found '.nan', expected phaseResistance20Ohm as a number in Ω above 0 to 5." },
        { Product, "phaseResistance20Ohm: 0.055", "phaseResistance20Ohm: ‸\"0.055\"", "found '0.055', expected phaseResistance20Ohm as a number in Ω above 0 to 5. Write the number without quotes." },
        { Product, "phaseResistance20Ohm: 0.055", "‸phaseResistance20MOhm: 55", "found the key 'phaseResistance20MOhm', expected a key of motor. Did you mean 'phaseResistance20Ohm'?" },
        { Product, "fluxPerK: -0.0011", "fluxPerK: ‸0.0011", "found 0.0011, expected fluxPerK as a number in 1/K from -0.01 to 0. It stands in 1/K." },
        { Product, "kind: stop-pedalling", "kind: ‸stop-pedaling", "found 'stop-pedaling', expected one of stop-pedalling, brake, cut-off, walk-assist, current-limit, quiescent, self-start for kind. Did you mean 'stop-pedalling'?" },
        { Product, "tolerances:\n    fluxShare: 0.04", "tolerances:\n    ‸fluxShares: 0.04", "found the key 'fluxShares', expected a key of tolerances. Did you mean 'fluxShare'?" },

        // The plant, its parts and its route
        { Plant, "serialPrefix: AF85", "serialPrefix: ‸AQ85", "found 'AQ85' with the letter Q, expected a serial prefix without I, O and Q. They are misread as 1 and 0 on a part." },
        { Plant, "serialPrefix: AF85", "serialPrefix: ‸af85", "found 'af85', expected two to six capital letters or digits." },
        { Plant, "step: rotor-in }", "step: ‸rotor-im }", "found 'rotor-im', expected a step of the route. Did you mean 'rotor-in'?" },
        { Plant, "id: st30, name", "id: ‸st20, name", "found 'st20' a second time, expected a station once only." },
        { Plant, "customers: [Tarnbeck Cycles, Ostermere Bikes, Vellin & Dray]", "customers: [Tarnbeck Cycles, ‸Tarnbeck Cycles]", "found 'Tarnbeck Cycles' a second time, expected each customer once." },
        { Parts, "id: gasket,", "id: ‸Gasket 2,", "found 'Gasket 2', expected an id of small letters, digits and hyphens, at most 40 long." },
        { Parts, "id: gear-set-339", "id: ‸gear-set", "found 'gear-set' a second time, expected a part once only." },
        { Route, "      - { part: grease,", "      - { part: shell, say: Scan it }\n      - { part: grease,", "found 'shell' as a second shell, expected one part that a unit starts as, in the first step." },
        { Route, "product: af-85", "product: ‸af-86", "found 'af-86', expected a product from products/. Did you mean 'af-85'?" },
        { Route, "number: 70", "number: ‸60", "found 60 after 60, expected numbers that rise from step to step. Steps run in the order in which they stand." },
        { Route, "part: gear-set,", "part: ‸gearset,", "found 'gearset', expected a part from parts.yaml. Did you mean 'gear-set'?" },
        { Route, "kind: load-test", "kind: ‸loadtest", "found 'loadtest', expected one of assembly, check, load-test, label, mark, pack for kind. Did you mean 'load-test'?" },
        { Route, "id: backlash", "id: ‸drag-forward", "found 'drag-forward' a second time, expected a reading once only." },
        { Route, "lower: 10.8, upper: 13.2", "lower: ‸13.2, upper: 10.8", "found lower 13.2 above upper 10.8, expected lower below upper. The two may have been swapped." },
        { Route, "lower: 2870, upper: 2930, standardUncertainty: 1,", "lower: ‸2870, upper: 2930, standardUncertainty: 20,", "found 60 g between the edges and a guard band of 32.8 g on each side, expected room to pass between the guard bands. Measure better, or widen the limits if their owner agrees." },
        { Route, "equal: EU-25", "lower: ‸1", "found a limit on a text, expected limits on numbers only. Use equal for a text that must be exact." },
        { Route, "usualSpread: 0.25, quantity: grease-mass", "usualSpread: 0.25, quantity: ‸rotor-drag", "found a quantity in g, expected a number in N·m." },
        { Route, "usualSpread: 0.25, quantity: grease-mass", "usualSpread: 0.25, quantity: ‸grease-mas", "found 'grease-mas', expected one of grease-mass, unit-mass, torque-sensor-zero, phase-resistance, pair-resistance, flux-linkage, flux-share, rotor-angle, current-gain, rotor-drag for quantity. Did you mean 'grease-mass'?" },
        { Route, "text: true, equal: ok,", "text: true, equal: ok, quantity: ‸unit-mass,", "found a quantity for a text, expected a number in g." },
        { Route, "{ id: clutch-free, name: Torque with the clutch free, unit: N·m, upper: 0.3, standardUncertainty: 0.005,", "‸{ id: clutch-free, name: Torque with the clutch free, unit: N·m, upper: 0.3,", "found no standard uncertainty, expected standardUncertainty of 'clutch-free', which has limits. Without it there is no guard band; take it from the gauge study." },
        { Route, "torqueLowerNm: 4.95, torqueUpperNm: 6.05", "torqueLowerNm: ‸6.05, torqueUpperNm: 4.95", "found 6.05, not below torqueUpperNm 4.95, expected the lower torque below the upper one." },
        { Route, "class: A,", "class: ‸D,", "found 'D', expected hazard class A, B or C." },
        { Route, "    caution: Laser light blinds and its smoke is harmful. Lid closed, extraction on; only people instructed by the laser safety officer open the housing, and local codes apply.\n", "", "found no caution for step 'mark', expected the usual caution: rotating rigs and lasers hurt people." },
        { Route, "usualValue: 12,", "usualValue: ‸1.2,", "found a usual value of 1.2 outside the limits, expected sound units inside the limits." },
        { Plant, "customers: [Tarnbeck Cycles, Ostermere Bikes, Vellin & Dray]", "customers: ‸[]", "found no customer, expected at least one customer to pack for." },
        { Parts, "name: Shell, serialised: true, shell: true", "name: Shell, shell: ‸true", "found a shell without a number of its own, expected serialised: true beside shell: true. A unit is known by its shell's number until it is marked." },
        { Parts, "  - { id: shell, name: Shell, serialised: true, shell: true }", "  - ‸{ id: shell, name: Shell, serialised: true }", "found no part with shell: true, expected a part that a unit starts as." },
        { Route, "part: clutch,", "part: ‸gear-set,", "found 'gear-set' a second time, expected a part of this step once only." },
        { Route, "      - { part: shell, say: Scan the shell, hint: The code stands beside the crank bore. }", "      ‸- { part: stator, say: Scan the stator }", "found no part with shell: true in the first step, expected the part that the unit starts as, such as 'shell'." },
        { Route, "unit: grade, lower: 1.5,", "unit: grade, equal: ‸ok, lower: 1.5,", "found 'ok' for a number, expected equal with text: true only. Use lower and upper for a number." },
        { Route, "angleLowerDeg: 25, angleUpperDeg: 65", "angleLowerDeg: ‸65, angleUpperDeg: 65", "found 65, not below angleUpperDeg 65, expected the lower angle below the upper one." },
        { Route, "kind: label", "kind: assembly", "found no step of kind label in the route, expected one step of kind label." },
        { Route, "name: Leak check\n    kind: check", "name: Leak check\n    kind: label", "found a second step of kind label, expected one step of kind label." },
        { Route, "name: Cover\n    kind: assembly", "name: Cover\n    kind: ‸unknown", "found 'unknown', expected one of assembly, check, load-test, label, mark, pack for kind." },

        // The load test plan
        { Product, "maximumV: 54.6", "maximumV: ‸48", "found 48, expected maximumV above nominalV 48." },
        { Product, "continuousOutputW: 250", "continuousOutputW: ‸650", "found 650, expected continuousOutputW at most maximumOutputW 620." },
        { Product, "slots: 12", "slots: ‸14", "found 14, expected slots as a multiple of the three phases." },
        { Product, "outputRpm: 30,", "outputRpm: ‸0,", "found 0 rpm under torque, expected a speed above 0 for a point with torque. At standstill one phase carries all the heat." },
        { Product, "windowFromS: 0, windowForS: 0", "windowFromS: 0, windowForS: ‸1", "found a window of 1 s at standstill, expected windowForS 0 where nothing turns." },
        { Product, "windowFromS: 8.5, windowForS: 3", "windowFromS: 8.5, windowForS: ‸0", "found no fast window under torque, expected a window of at least one turn of the output for a point with torque. Its phase current is judged." },
        { Product, "holdS: 6, windowFromS: 4, windowForS: 0", "holdS: ‸1.5, windowFromS: 1, windowForS: 0", "found 1.5 s for a point that turns, expected holdS above 1.5 s, which speed and torque need to settle." },
        { Product, "saturationAtCurrentLimit: 0.03", "saturationAtCurrentLimit: ‸0.34", "found 0.34, expected saturationAtCurrentLimit as a number from 0 to 0.333." },
        { Product, "phase_current_v_a, gainShare: 0.002", "phase_current_v_a, gainShare: ‸0", "found 0 for phase_current_v_a, expected gainShare above 0 for a phase current. The phase current limit is read with no other uncertainty." },
        { Product, "channel: bus_current_a, gainShare: 0.001, zero: 0.003, noiseRms: 0.02", "channel: bus_current_a, gainShare: 0.001, zero: 0.003, noiseRms: ‸0", "found 0, expected noiseRms as a number above 0 up." },
        { Product, "id: rotor-1x", "id: ‸rotor-2x", "found 'rotor-2x', expected a characteristic that is expected from proven units. Did you mean 'rotor-1x'?" },
        { Product, "unit: A, lower: 16.625", "unit: ‸mA, lower: 16.625", "found 'mA', expected 'A', the unit that bus-current-limit is computed in." },
        { Product, "minimumV: 39", "minimumV: ‸49", "found 49, expected minimumV below nominalV 48." },
        { Product, "deratingStartC: 110", "deratingStartC: ‸150", "found 150, expected deratingStartC below deratingEndC 140." },
        { Product, "settlingH: 3", "settlingH: ‸0", "found 0, expected settlingH above 0 beside a settledShare." },
        { Product, "workedTurns: 12", "workedTurns: ‸0", "found 0, expected workedTurns above 0 beside a settledShare." },
        { Product, "wheelTeeth: 83", "wheelTeeth: ‸8", "found 8, expected more wheelTeeth than pinionTeeth 12. A stage slows down from rotor to output." },
        { Product, "shaft: 0, balls", "shaft: ‸3, balls", "found 3, expected a shaft from 0 (the rotor) to 2 (the output)." },
        { Product, "balls: 8,", "balls: ‸16,", "found 16 balls of 0.00476 m, expected as many as find room on a circle of 0.02 m." },
        { Product, "id: 10-90, torqueNm: 10,", "id: 10-90, torqueNm: ‸100,", "found 100, expected torqueNm at most the unit's maximumTorqueNm 85." },
        { Product, "outputRpm: 100,", "outputRpm: ‸150,", "found 150 rpm at 45 N·m, which is 707 W, expected at most the unit's maximumOutputW 620." },
        { Product, "id: no-load-110-end", "id: ‸no-load-110", "found 'no-load-110' a second time, expected a load point once only." },
        { Product, "windowFromS: 16, windowForS: 3", "windowFromS: 16, windowForS: ‸4.5", "found a window that ends 20.5 s after the start of point '31.8-75', expected a window inside its holdS 20." },
        { Product, "windowForS: 2.05", "windowForS: ‸1.5", "found a window of 1.5 s, expected at least 2 s, one turn of the output at 30 rpm. A mean over part of a turn still holds the pulsation." },
        { Product, "kind: brake, holdS: 3, eventAtS: 1.5", "kind: brake, holdS: 3, eventAtS: ‸3.5", "found 3.5, expected eventAtS below holdS 3. What follows the event must still be recorded." },
        { Product, "channel: winding_c", "channel: ‸windings_c", "found 'windings_c', expected a channel of a capture. Did you mean 'winding_c'?" },
        { Product, "gauges:\n    - { channel: bus_voltage_v, gainShare: 0.0005, zero: 0.005, noiseRms: 0.05 }\n    - { channel: bus_current_a", "gauges:\n    ‸- { channel: bus_current_a", "found no gauge for channel bus_voltage_v, expected a gauge for bus_voltage_v, which judging needs." },
        { Product, "id: walk-release", "id: ‸walk-realease", "found 'walk-realease', expected a characteristic that this load test computes. Did you mean 'walk-release'?" },
        { Product, "      - { kind: quiescent, holdS: 2, eventAtS: 0 }\n", "", "found 'quiescent-current', expected a characteristic that this load test computes." },
        { Product, "name: Quiescent current, unit: mA", "name: Quiescent current, unit: ‸A", "found 'A', expected 'mA', the unit that quiescent-current is computed in." },
        { Product, "    - id: self-start-speed\n      name: Rotor turns although nobody pedals\n      unit: rad/s\n      upper: 1\n      safety: true\n      origin: \"what tells a start from noise is common practice, no source; that it must not start by itself: TBIS 15194:2019, 4.2.13.1 g and 4.3.22 Table 34 (read; follows EN 15194:2017, to be confirmed in its text)\"\n", "", "found no requirement 'self-start-speed', expected a limit in rad/s with safety: true for it. Its function test is in the cycle, and every unit has to show it." },
        { Product, "upper: 6\n      safety: true", "upper: 6", "found 'walk-speed' without safety: true, expected safety: true for a safety function. It is never retested without repair." },
        { Product, "id: quiescent-current, name: Quiescent current, unit: mA, upper: 60,", "id: ‸quiescent-current, name: Quiescent current, unit: mA,", "found 'quiescent-current' without lower and upper, expected at least one edge. A requirement without an edge limits nothing." },
        { Product, "lower: 33.25, upper: 36.75", "lower: ‸36.75, upper: 33.25", "found lower 36.75 above upper 33.25, expected lower below upper. The two may have been swapped." },
        { Product, "population:\n    # Measured with bench/population.cs: 200 simulated sound units, each on a rig of its own.\n    - { id: ripple-6, mean: 0.423, standardDeviation: 0.0487, origin: 200 simulated sound units (bench/population.cs 200 1000000) }\n    - { id: mesh-1", "population:\n    ‸- { id: mesh-1", "found no expectation for 'ripple-6', expected mean and standardDeviation of 'ripple-6' over proven units." },
    };

    [Theory]
    [MemberData(nameof(Slips))]
    public void Points_at_one_slip_and_says_what_belongs_there(string file, string from, string to, string sentence)
    {
        var error = Assert.Single(Errors(DemoFolder.With((file, from, to.Replace("‸", "")))));
        Assert.EndsWith(": " + sentence, error.ToString());
        Assert.Equal(file, error.Source);
        if (!to.Contains('‸')) return; // told elsewhere; see the tests of their own below

        var before = DemoFolder.With((file, from, to)).Single(f => f.Name == file).Text.Split('‸')[0];
        Assert.Equal((before.Count(c => c == '\n') + 1, before.Length - before.LastIndexOf('\n')), (error.Line, int.Parse(error.Column, CultureInfo.InvariantCulture)));
    }

    [Fact]
    public void Reads_the_demo_plant()
    {
        var draft = DemoFolder.Read(DemoFolder.Files);
        Assert.Equal(("af-85/0", 0, 14, 16), (draft.Id, draft.Number, draft.Steps.Count, draft.Line.Stations.Count));
        Assert.Equal(StepKind.LoadTest, draft.StepOf("load-test")!.Kind);
        Assert.Equal(113, draft.LoadTest.Cycle.DurationS);
        Assert.Equal(90, draft.LoadTest.Cycle.PointsDurationS);
        Assert.Equal(0.0015, draft.LoadTest.Gauges.Of("output_torque_nm").GainShare);
    }

    // Parameters of the unit: the fictional set's plausibility figures (ratio 36.179, Kt 0.0813 N·m/A) follow from the file alone.
    [Fact]
    public void The_demo_unit_is_the_one_of_the_parameter_set()
    {
        var unit = DemoFolder.Read(DemoFolder.Files).LoadTest.Unit;
        Assert.Equal(36.179, unit.Ratio, 3);
        Assert.Equal(0.0813, 1.5 * unit.Motor.PolePairs * unit.Motor.FluxLinkage20Wb, 4);
    }

    [Fact]
    public void Tells_every_mistake_of_all_files_at_once_and_in_order()
    {
        var errors = Errors(DemoFolder.With(
            (Plant, "taktS: 57", "taktS: soon"), (Plant, "serialPrefix: AF85", "serialPrefix: QO"), (Plant, "step: pack }", "step: packing }"),
            (Parts, "name: Grease,", "nmae: Grease,"),
            (Product, "polePairs: 7", "polePairs: seven"), (Product, "nominalV: 48", "nominalV: 4800"),
            (Route, "number: 140", "number: 14"), (Route, "class: A,", "class: Z,")));
        Assert.Equal(
            [
                $"{Parts}:{LineOf(Parts, "id: grease,")}",
                $"{Plant}:{LineOf(Plant, "serialPrefix")}", $"{Plant}:{LineOf(Plant, "taktS")}", $"{Plant}:{LineOf(Plant, "step: pack ")}",
                $"{Product}:{LineOf(Product, "nominalV")}", $"{Product}:{LineOf(Product, "polePairs")}",
                $"{Route}:{LineOf(Route, "class: A")}", $"{Route}:{LineOf(Route, "number: 140")}",
            ],
            errors.Select(e => $"{e.Source}:{e.Line}"));
    }

    [Fact]
    public void A_step_without_a_station_is_told_at_the_step()
    {
        var error = Assert.Single(Errors(DemoFolder.With((Plant, "      - { id: st90, name: Cover screws, step: cover }\n", ""))));
        Assert.Equal((Route, LineOf(Route, "  - id: cover\n")), (error.Source, error.Line));
        Assert.Contains("step 'cover' without a station", error.ToString());
    }

    [Fact]
    public void Label_before_load_test_is_refused()
    {
        var files = DemoFolder.With((Route, "kind: load-test", "kind: label"), (Route, "    kind: label\n    instruction: Peel", "    kind: load-test\n    caution: Door closed.\n    instruction: Peel"));
        Assert.Contains(Errors(files), e => e.ToString().EndsWith("found step 'load-test' before 'label', expected load test, label, mark and pack in this order. No label without a passed load test, no mark without a label."));
    }

    [Fact]
    public void A_function_test_twice_leaves_another_ones_limit_without_its_test()
    {
        var errors = Errors(DemoFolder.With((Product, "kind: brake", "kind: cut-off"))).Select(e => e.ToString());
        Assert.Equal(
            [
                $"{Product}:{LineOf(Product, "kind: cut-off")}:17: found 'cut-off' a second time, expected a function test once only.",
                $"{Product}:{LineOf(Product, "id: brake-response")}:11: found 'brake-response', expected a characteristic that this load test computes.",
            ],
            errors);
    }

    [Fact]
    public void Nothing_comes_after_packing()
    {
        var files = DemoFolder.With((Route, "  - id: pack\n    number: 140\n    name: Pack\n    kind: pack\n", "  - id: pack\n    number: 140\n    name: Pack\n    kind: assembly\n"), (Route, "kind: mark", "kind: pack"), (Route, "kind: label", "kind: mark\n    caution: Lid closed."), (Route, "name: Leak check\n    kind: check", "name: Leak check\n    kind: label"));
        Assert.Contains(Errors(files), e => e.ToString() == $"{Route}:{LineOf(Route, "  - id: pack") + 1}:9: found step 'pack' after packing, expected packing as the last step.");
    }

    [Fact]
    public void A_missing_file_is_one_error()
    {
        var error = Assert.Single(Errors(DemoFolder.Files.Where(f => f.Name != Parts)));
        Assert.Equal("parts.yaml: found no file, expected parts.yaml.", error.ToString());
    }

    [Fact]
    public void An_empty_file_is_one_error() =>
        Assert.Equal("parts.yaml:1:1: found an empty file, expected definitions as YAML.", Assert.Single(Errors(DemoFolder.Files.Select(f => f.Name == Parts ? (Parts, "") : f))).ToString());

    [Fact]
    public void A_misnamed_file_is_told_with_the_name_it_was_meant_to_have()
    {
        var errors = Errors(DemoFolder.Files.Select(f => f.Name == Plant ? ("plants.yaml", f.Text) : f));
        Assert.Contains("plants.yaml: found the file plants.yaml, expected plant.yaml, parts.yaml, products/*.yaml or routes/*.yaml. Did you mean 'plant.yaml'?", errors.Select(e => e.ToString()));
    }

    [Fact]
    public void Files_of_other_kinds_may_lie_beside_the_definitions() =>
        DefinitionFolder.Read([.. DemoFolder.Files, ("riders.yaml", "- [not ours"), ("rides/commute.yaml", "{"), ("README.md", "# Demo")]);

    [Fact]
    public void Text_that_is_no_yaml_hides_only_its_own_file()
    {
        var errors = Errors(DemoFolder.With((Parts, "  - { id: stator,", "\t  - { id: stator,"), (Plant, "taktS: 57", "taktS: -1")));
        Assert.Equal(["parts.yaml:4", "plant.yaml:14"], errors.Select(e => $"{e.Source}:{e.Line}"));
        Assert.EndsWith("found a tab in the indentation, expected spaces. YAML allows no tabs there.", errors[0].ToString());
    }

    [Fact]
    public void An_open_quote_is_told_where_it_begins()
    {
        var error = Assert.Single(Errors(DemoFolder.With((Parts, "name: Grease,", "name: \"Grease,"))));
        Assert.Equal((Parts, LineOf(Parts, "id: grease,")), (error.Source, error.Line));
        Assert.StartsWith("text that cannot be read as YAML", error.Found);
    }

    [Fact]
    public void A_cycle_without_points_and_a_unit_without_gears_are_refused()
    {
        var product = DemoFolder.Files.Single(f => f.Name == Product).Text;
        string Emptied(string key, string next) => product[..(product.IndexOf(key) + key.Length)] + " []\n" + product[product.IndexOf(next)..];
        var noPoints = Errors(DemoFolder.Files.Select(f => f.Name == Product ? (f.Name, Emptied("    points:", "    functions:")) : f));
        Assert.Equal($"{Product}:{LineOf(Product, "    points:")}:13: found no load point, expected at least one load point.", noPoints[0].ToString());
        var noGears = Errors(DemoFolder.Files.Select(f => f.Name == Product ? (f.Name, Emptied("    gears:", "    gearDrag:")) : f));
        Assert.Equal($"{Product}:{LineOf(Product, "    gears:")}:12: found no gear stage, expected at least one stage from the rotor to the output.", noGears[0].ToString());
    }

    // Each of these once was approved, and no load test of it could be judged.
    [Theory]
    [InlineData("{ id: no-load-75, torqueNm: 0, outputRpm: 75, holdS: 12, windowFromS: 8, windowForS: 3 }", "found no load point with torque, expected at least one load point with torque. Without it nothing is known of the phase currents.")]
    [InlineData("{ id: 50-60, torqueNm: 50, outputRpm: 60, holdS: 12, windowFromS: 8.5, windowForS: 3 }", "found a fast window at no two different load points, expected fast windows at two load points of different torque or speed, at least. Resistance and flux cannot be told apart at one of them.")]
    public void A_cycle_whose_expectations_cannot_be_read_is_refused(string onlyPoint, string sentence)
    {
        var product = DemoFolder.Files.Single(f => f.Name == Product).Text;
        var key = "    points:\n";
        var text = product[..(product.IndexOf(key) + key.Length)] + $"      - {onlyPoint}\n      - {{ id: idle, torqueNm: 0, outputRpm: 75, holdS: 12, windowFromS: 0, windowForS: 0 }}\n" + product[product.IndexOf("    functions:")..];
        Assert.Equal($"{Product}:{LineOf(Product, "    points:") + 1}:7: {sentence}", Errors(DemoFolder.Files.Select(f => f.Name == Product ? (f.Name, text) : f))[0].ToString());
    }

    [Fact]
    public void A_folder_without_a_product_is_told_so() =>
        Assert.Equal("products/: found no file, expected one .yaml file for each line in products/.", Assert.Single(Errors(DemoFolder.Files.Where(f => f.Name != Product))).ToString());

    [Fact]
    public void A_folder_that_is_not_there_is_named() =>
        Assert.StartsWith("nowhere: found no such folder", Assert.Throws<InputException>(() => DefinitionFolder.Files("nowhere")).Message);

    static readonly string[] Scribbles = ["", "x", "- ", ": ", "\n", "[", "}", "'", "\t", "null", "*a", "&a ", "1e999", "---\n", "? ", "|", "{{", "!!int "];

    // Whatever is typed over whatever place: read, or refused with a place; never an exception of another kind.
    [Fact]
    public void Any_scribble_is_read_or_refused_with_its_place() =>
        Gen.Select(Gen.Int[0, DemoFolder.Files.Count - 1], Gen.Int[0, 20_000], Gen.Int[0, 40], Gen.Int[0, Scribbles.Length - 1]).Sample((file, at, cut, scribble) =>
        {
            var (name, text) = DemoFolder.Files[file];
            at %= text.Length;
            var scribbled = text[..at] + Scribbles[scribble] + text[Math.Min(text.Length, at + cut)..];
            var files = DemoFolder.Files.Select(f => f.Name == name ? (name, scribbled) : f);
            try
            {
                DefinitionFolder.Read(files);
            }
            catch (InputException e)
            {
                Assert.All(e.Errors, error => Assert.True(error.Line > 0 && error.Found.Length > 0 && error.Expected.Length > 0, error.ToString()));
            }
        }, iter: 300);

    [Fact]
    public void Every_number_of_every_definition_has_a_range()
    {
        var without = AllKeys().Where(k => k.Key.ValueType == typeof(double) || k.Key.ValueType == typeof(int)).Select(k => k.Key.Property).Where(p => !HasRange(p)).Select(p => $"{p.DeclaringType!.Name}.{p.Name}");
        Assert.Empty(without);

        static bool HasRange(PropertyInfo property)
        {
            try
            {
                return NumberRange.Of(property).Most > 0 || property.Name == "FluxPerK";
            }
            catch (InvalidOperationException)
            {
                return false;
            }
        }
    }

    [Fact]
    public void Every_key_stands_in_the_guide()
    {
        var guide = Checkout.Read("docs/guides/definitions.md");
        var sections = guide.Split("<!-- ").Skip(1).ToDictionary(s => s.Split(" -->")[0], s => s);
        Assert.Empty(
            from k in AllKeys()
            where k.Type != typeof(RigGauges) // written as the list itself
            where !sections.GetValueOrDefault(k.Type.Name, "").Contains($"| `{k.Key.Key}` |")
            select $"{k.Type.Name}: {k.Key.Key}");
    }

    [Fact]
    public void The_errors_that_the_guide_shows_are_the_ones_that_come()
    {
        var errors = Errors(DemoFolder.With((Product, "phaseResistance20Ohm: 0.055", "phaseResistance20Ohm: 0,055"), (Plant, "step: rotor-in }", "step: rotor-im }")));
        var guide = Checkout.Read("docs/guides/definitions.md");
        Assert.All(errors, e => Assert.Contains(e.ToString(), guide));
    }

    [Fact]
    public void The_guide_shows_no_key_that_there_is_not()
    {
        var known = AllKeys().Select(k => k.Key.Key).ToHashSet();
        var shown = File.ReadAllLines(Path.Combine(Checkout.Root, "docs/guides/definitions.md")).Where(l => l.StartsWith("| `")).Select(l => l.Split('`')[1]);
        Assert.Equal([], shown.Except(known));
    }

    /// <summary>Every type that definition files fill, with its keys.</summary>
    static IEnumerable<(Type Type, DefinitionKey Key)> AllKeys()
    {
        var seen = new HashSet<Type>();
        var next = new Stack<Type>([typeof(PlantFile), typeof(PartsFile), typeof(ProductDefinition), typeof(RouteFile)]);
        while (next.TryPop(out var type))
        {
            if (!seen.Add(type)) continue;
            foreach (var key in DefinitionKeys.Of(type))
            {
                yield return (type, key);
                if (DefinitionKeys.IsRecord(key.ValueType)) next.Push(key.ValueType);
            }
        }

        Assert.Contains(typeof(Gauge), seen);
    }

    static IReadOnlyList<InputError> Errors(IEnumerable<(string Name, string Text)> files) => Assert.Throws<InputException>(() => DefinitionFolder.Read(files)).Errors;

    static int LineOf(string file, string text) => DemoFolder.Files.Single(f => f.Name == file).Text.Split(text)[0].Count(c => c == '\n') + 1;
}
