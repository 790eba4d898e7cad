using System.Globalization;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Definitions;

namespace Roadproof.Records.Tests.Definitions;

/// <summary>A plant with a line and a cell: what it reads as, and one slip of the hand each.</summary>
public sealed class LineRulesTests
{
    const string Plant = PlantFolder.Plant, Parts = PlantFolder.Parts, Product = PlantFolder.Product, Route = PlantFolder.Route;
    static readonly DateTimeOffset At = new(2031, 3, 4, 7, 0, 0, TimeSpan.FromHours(1));

    /// <summary>‸ stands where the error must point.</summary>
    public static TheoryData<string, string, string, string> Slips => new()
    {
        { Plant, "product: rotor-85", "product: ‸rotor-58", "found 'rotor-58', expected a product from products/. Did you mean 'rotor-85'?" },
        { Plant, "id: rotors", "id: ‸line-1", "found 'line-1' a second time, expected a line once only." },
        { Plant, "id: rotors", "id: ‸Rotors", "found 'Rotors', expected an id of small letters, digits and hyphens, at most 40 long." },
        { Plant, "id: rc10,", "id: ‸st10,", "found 'st10' a second time, expected a station once only." },
        { Plant, "id: rc20, name: Balancer, step: balance", "id: rc20, name: Balancer, step: ‸balence", "found 'balence', expected a step of the route. Did you mean 'balance'?" },
        { Plant, "    name: Rotor cell\n", "    name: Rotor cell\n    serialPrefix: ‸RT85\n", "found 'RT85', and no step of kind mark in the route of 'rotor-85', expected a serial prefix only where units are marked." },
        { Plant, "    serialPrefix: AF85\n", "", "found no key 'serialPrefix', expected serialPrefix, because 'af-85' is marked." },
        { Plant, "taktS: 40", "taktS: ‸0", "found 0, expected taktS as a number in s above 0 to 86400. It stands in s." },
        { Parts, "product: rotor-85", "product: ‸rotor-86", "found 'rotor-86', expected a product from products/. Did you mean 'rotor-85'?" },
        { Parts, "serialised: true, product: rotor-85", "product: ‸rotor-85", "found 'rotor-85' for a part without a number of its own, expected serialised: true beside product. Each one is known by the code it was built under." },
        { Parts, "serialised: true, product: rotor-85", "serialised: true, shell: true, product: ‸rotor-85", "found 'rotor-85' for a shell, expected a shell that is bought. A unit that starts as another unit goes on under that unit's route." },
        { Route, "part: magnet,", "part: ‸rotor,", "found 'rotor' in 'rotor-85', which goes into itself: rotor-85 in rotor-85, expected parts that come from products further up." },
        { Route, "product: rotor-85", "product: ‸rotor-95", "found 'rotor-95', expected a product from products/. Did you mean 'rotor-85'?" },
        { Route, "      - { part: rotor-core, say: Scan the core }\n", "", "found no part with shell: true in the first step, expected the part that the unit starts as, such as 'shell'." },
        { Route, "kind: check", "kind: pack", "found no step of kind label in the route, expected one step of kind label." },
        { Route, "kind: check", "kind: load-test\n    caution: Door closed.", "found no key 'loadTest', expected loadTest, because step 'balance' of the route is one." },
        { Product, "id: rotor-85", "id: ‸af-85", "found 'af-85' a second time, expected a product once only." },
    };

    [Theory]
    [MemberData(nameof(Slips))]
    public void Points_at_one_slip_and_says_what_belongs_there(string file, string from, string to, string sentence)
    {
        var errors = Errors(PlantFolder.With((file, from, to.Replace("‸", "", StringComparison.Ordinal))));
        var error = errors.FirstOrDefault(e => e.ToString().EndsWith(": " + sentence, StringComparison.Ordinal));
        Assert.True(error is not null, string.Join("\n", errors));
        if (!to.Contains('‸') || error.Source != file) return; // told at what the slip breaks

        var before = PlantFolder.With((file, from, to)).Single(f => f.Name == file).Text.Split('‸')[0];
        Assert.Equal((before.Count(c => c == '\n') + 1, before.Length - before.LastIndexOf('\n')), (error.Line, int.Parse(error.Column, CultureInfo.InvariantCulture)));
    }

    [Fact]
    public void Reads_a_line_and_a_cell()
    {
        var drafts = DefinitionFolder.Read(PlantFolder.Files);
        Assert.Equal(["af-85/0", "rotor-85/0"], drafts.Select(d => d.Id));
        Assert.Equal(["Line 1", "Rotor cell"], drafts.Select(d => d.Line.Name));
        Assert.Equal(["rc10", "rc20"], drafts[1].Line.Stations.Select(s => s.Id));
        Assert.Null(drafts[1].Product.LoadTest);
        Assert.Equal("rotor-85", drafts[0].Parts.Single(p => p.Id == "rotor").Product);
    }

    [Fact]
    public void A_change_at_one_line_makes_a_new_revision_of_its_product_only()
    {
        var book = Kept(RevisionBook.Empty, PlantFolder.Files);
        Assert.Equal(["af-85/1", "rotor-85/1"], book.StandingAt(At).Select(r => r.Revision.Id));

        var next = Approve(book, PlantFolder.With((Plant, "taktS: 40", "taktS: 42"), (Route, "workS: 30", "workS: 32")));
        Assert.Equal([("af-85/1", false), ("rotor-85/2", true)], next.Select(a => (a.Revision.Id, a.Record is not null)));
        Assert.Equal(["line.taktS", "steps[balance].workS"], next[1].Changes.Select(c => c.Path));
    }

    [Fact]
    public void A_load_test_that_comes_or_goes_is_one_change()
    {
        var drafts = DefinitionFolder.Read(PlantFolder.Files);
        var without = drafts[0] with { Product = drafts[0].Product with { LoadTest = null } };
        var change = Assert.Single(RevisionComparison.Of(drafts[0], without));
        Assert.Equal(("product.loadTest", null), (change.Path, change.After));
        Assert.Null(Assert.Single(RevisionComparison.Of(without, drafts[0])).Before);
    }

    [Fact]
    public void A_revision_is_read_back_from_its_own_files_alone()
    {
        var approvals = Approve(RevisionBook.Empty, PlantFolder.Files);
        Assert.All(approvals, a => Assert.Equal(Json(a.Revision), Json(RevisionBook.Load(Record(a.Record!)).Revision)));
        Assert.Equal([Parts, Plant, "products/af-85.yaml", "routes/af-85.yaml"], RevisionBook.Load(Record(approvals[0].Record!)).Files.Select(f => f.Name));
    }

    [Fact]
    public void Products_that_go_into_each_other_are_told_with_the_way()
    {
        var files = PlantFolder.With(
            (Parts, "  - { id: magnet, name: Magnets }\n", "  - { id: magnet, name: Magnets }\n  - { id: whole, name: Drive unit, serialised: true, product: af-85 }\n"),
            (Route, "part: magnet,", "part: whole,"));
        Assert.Contains(Errors(files), e => e.ToString().Contains("'whole' in 'rotor-85', which goes into itself: rotor-85 in af-85 in rotor-85", StringComparison.Ordinal));
    }

    [Fact]
    public void A_product_without_a_line_or_route_is_told_at_the_product()
    {
        var files = PlantFolder.Files.Append(("products/throttle-1.yaml", "id: throttle-1\nname: Throttle\n"));
        Assert.Equal(
            ["products/throttle-1.yaml:1:5: found product 'throttle-1' without a line, expected a line in plant.yaml that builds it.", "products/throttle-1.yaml:1:5: found product 'throttle-1' without a route, expected a file in routes/ for it."],
            Errors(files).Select(e => e.ToString()));
    }

    static RevisionBook Kept(RevisionBook book, IEnumerable<(string Name, string Text)> files) =>
        Approve(book, files).Where(a => a.Record is not null).Aggregate(book, (b, a) => b.With(Record(a.Record!)));

    static IReadOnlyList<Approval> Approve(RevisionBook book, IEnumerable<(string Name, string Text)> files) => DefinitionDraft.Of(files, book).Approve(new("k7f2"), At).Done!.Revisions;

    static Ledger.LedgerRecord Record(Ledger.NewRecord r) => new(1, r.Key, r.Kind, r.Item, r.Station, r.OccurredAt, r.OccurredAt, r.Person, r.Body, r.BodyVersion, new('0', 64), new('0', 64));

    static string Json(RouteRevision revision) => System.Text.Json.JsonSerializer.Serialize(revision, RouteRevisionJson.Options);

    static IReadOnlyList<InputError> Errors(IEnumerable<(string Name, string Text)> files) => Assert.Throws<InputException>(() => DefinitionFolder.Read(files)).Errors;
}
