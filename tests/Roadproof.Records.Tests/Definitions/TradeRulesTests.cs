using System.Globalization;
using Roadproof.Engineering.Judging;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Definitions;

namespace Roadproof.Records.Tests.Definitions;

/// <summary>Keys of shelf life, rework, qualification, zones and gauges: how they read, and one slip of the hand each.</summary>
public sealed class TradeRulesTests
{
    const string Plant = PlantFolder.Plant, Parts = PlantFolder.Parts, Product = PlantFolder.Product, Route = PlantFolder.Route;

    /// <summary>‸ stands where the error must point.</summary>
    public static TheoryData<string, string, string, string> Slips => new()
    {
        { Parts, "name: Magnets }", "name: Magnets, openH: ‸72 h }", "found '72 h', expected openH as a number in h above 0 to 17520. The unit stands in the key: write the number alone, in that unit." },
        { Parts, "name: Magnets }", "name: Magnets, openH: ‸0 }", "found 0, expected openH as a number in h above 0 to 17520. It stands in h." },
        { Parts, "name: Magnets }", "name: Magnets, ‸opensH: 72 }", "found the key 'opensH', expected a key of an item of parts. Did you mean 'openH'?" },
        { Parts, "name: Magnets }", "name: Magnets, firstExpiredFirst: ‸yes }", "found 'yes', expected true or false for firstExpiredFirst. Write true." },
        { Parts, "name: Rotor core,", "name: Rotor core, openH: ‸72,", "found an open time for a shell, expected openH at material that is used out of a drum, a cartridge or a roll." },
        { Parts, "product: rotor-85", "product: rotor-85, openH: ‸72", "found an open time for a part that is built here, expected openH at material that is used out of a drum, a cartridge or a roll." },
        { Parts, "name: Rotor core,", "name: Rotor core, firstExpiredFirst: ‸true,", "found firstExpiredFirst for a shell, expected firstExpiredFirst at a part that comes in lots." },
        { Parts, "name: Magnets }", "name: Magnets, zone: ‸Clean Room }", "found 'Clean Room', expected an id of small letters, digits and hyphens, at most 40 long." },
        { Parts, "name: Magnets }", "name: Magnets, moves: [‸fluks] }", "found 'fluks', expected one of flux, resistance, controller, rotor-offset, losses, vibration for moves. Did you mean 'flux'?" },
        { Parts, "name: Magnets }", "name: Magnets, moves: [flux, ‸flux] }", "found 'flux' a second time, expected each family of readings once." },
        { Plant, "name: Magnet bench,", "name: Magnet bench, zone: ‸Magnets,", "found 'Magnets', expected an id of small letters, digits and hyphens, at most 40 long." },
        { Plant, "name: Balancer,", "name: Balancer, instruments: ‸balancer,", "found 'balancer', expected a list for instruments. Each item of a list stands in a line of its own behind '- ', or all stand in [ ]." },
        { Plant, "name: Balancer,", "name: Balancer, instruments: [balancer, ‸balancer],", "found 'balancer' a second time, expected each instrument of a station once." },
        { Plant, "name: Balancer,", "name: Balancer, instruments: [‸Balancer 2],", "found 'Balancer 2', expected an id of small letters, digits and hyphens, at most 40 long." },
        { Route, "    workS: 38\n", "    workS: 38\n    qualification: ‸Magnet handling\n", "found 'Magnet handling', expected an id of small letters, digits and hyphens, at most 40 long." },
        { Route, "    workS: 38\n", "    workS: 38\n    retestsAtMost: ‸0\n", "found retests of 'magnets-in', which tests nothing, expected retestsAtMost at a check or a load test. Work that is done again is its own repair." },
        { Route, "    workS: 30\n", "    workS: 30\n    retestsAtMost: ‸-1\n", "found '-1', expected retestsAtMost as a whole number from 0 to 10." },
        { Route, "    workS: 30\n", "    workS: 30\n    retestScheme: ‸free\n", "found 'free', expected two-of-two or mean. A plain second chance lifts a unit half a standard uncertainty outside from 31 % to 52 %." },
        { Route, "    workS: 30\n", "    workS: 30\n    retestScheme: ‸single\n", "found 'single', expected two-of-two or mean. A test that is never tried again has retestsAtMost: 0." },
        { Route, "    workS: 30\n", "    workS: 30\n    retestScheme: ‸mean\n", "found the mean of tries of 'balance', expected two-of-two, or a load test. Only of a load test's readings is it known which part of the uncertainty another run draws anew." },
        { Route, "    workS: 30\n", "    workS: 30\n    coolDownS: ‸0\n", "found 0, expected coolDownS as a number in s above 0 to 86400. It stands in s." },
        { Route, "    workS: 30\n", "    workS: 30\n    coolDownK: ‸3\n", "found coolDownK of 'balance', whose winding nobody reads, expected coolDownK at a load test." },
        { Route, "    workS: 38\n", "    workS: 38\n    coolDownS: ‸60\n", "found a cool-down of 'magnets-in', which tests nothing, expected coolDownS at a check or a load test." },
        { Route, "say: Scan the core }", "say: Scan the core, oneLot: ‸true }", "found oneLot for 'rotor-core', of which each is known by its own code, expected oneLot at a part that comes in lots." },
        { Product, "name: Rotor\n", "name: Rotor\nrepairsAtMost: ‸20\n", "found '20', expected repairsAtMost as a whole number from 0 to 10." },
    };

    [Theory]
    [MemberData(nameof(Slips))]
    public void Points_at_one_slip_and_says_what_belongs_there(string file, string from, string to, string sentence)
    {
        var error = Assert.Single(Errors(PlantFolder.With((file, from, to.Replace("‸", "", StringComparison.Ordinal)))));
        Assert.EndsWith(": " + sentence, error.ToString());
        var before = PlantFolder.With((file, from, to)).Single(f => f.Name == file).Text.Split('‸')[0];
        Assert.Equal((file, before.Count(c => c == '\n') + 1, before.Length - before.LastIndexOf('\n')), (error.Source, error.Line, int.Parse(error.Column, CultureInfo.InvariantCulture)));
    }

    [Fact]
    public void A_part_of_a_zone_goes_in_only_at_stations_of_that_zone()
    {
        var none = Assert.Single(Errors(PlantFolder.With((Parts, "name: Magnets }", "name: Magnets, zone: no-steel }"))));
        Assert.EndsWith("found 'magnet' of zone 'no-steel' at rc10, which is in none, expected stations in zone 'no-steel' for step 'magnets-in'.", none.ToString());
        var other = Assert.Single(Errors(PlantFolder.With((Parts, "name: Magnets }", "name: Magnets, zone: no-steel }"), (Plant, "name: Magnet bench,", "name: Magnet bench, zone: esd,"))));
        Assert.EndsWith("found 'magnet' of zone 'no-steel' at rc10, which is in zone 'esd', expected stations in zone 'no-steel' for step 'magnets-in'.", other.ToString());
        DefinitionFolder.Read(PlantFolder.With((Parts, "name: Magnets }", "name: Magnets, zone: no-steel }"), (Plant, "name: Magnet bench,", "name: Magnet bench, zone: no-steel,")));
    }

    [Fact]
    public void Several_tries_are_not_judged_by_the_first_mean_that_passes()
    {
        const string route = "routes/af-85.yaml";
        var error = Assert.Single(Errors(DemoFolder.With((route, "    coolDownK: 3\n", "    coolDownK: 3\n    retestScheme: mean\n    retestsAtMost: 2\n"))));
        Assert.EndsWith("found 2 retests judged by their mean, expected 1 at most beside retestScheme: mean. Stopping at the first mean that passes is a choice of the best.", error.ToString());
        DefinitionFolder.Read(DemoFolder.With((route, "    coolDownK: 3\n", "    coolDownK: 3\n    retestScheme: mean\n")));
    }

    [Fact]
    public void What_is_left_out_has_the_usual_value_of_the_trade()
    {
        var demo = DemoFolder.Read(DemoFolder.Files);
        Assert.Equal((2, 1), (demo.Product.RepairsAtMost, demo.StepOf("leak-check")!.RetestsAtMost));
        Assert.Equal((RetestScheme.TwoOfTwo, null, null), (demo.StepOf("leak-check")!.RetestScheme, demo.StepOf("leak-check")!.CoolDownS, demo.StepOf("leak-check")!.CoolDownK));
        Assert.Equal([("grease", 72.0), ("thermal-paste", 48.0)], demo.Parts.Where(p => p.OpenH is not null).Select(p => (p.Id, p.OpenH!.Value)).Order());
    }

    static IReadOnlyList<InputError> Errors(IEnumerable<(string Name, string Text)> files) => Assert.Throws<InputException>(() => DefinitionFolder.Read(files)).Errors;
}
