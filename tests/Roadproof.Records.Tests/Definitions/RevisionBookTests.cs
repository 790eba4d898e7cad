using System.Text.Json;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Definitions;
using Roadproof.Records.Ledger;

namespace Roadproof.Records.Tests.Definitions;

public sealed class RevisionBookTests
{
    static readonly DateTimeOffset At = new(2031, 3, 4, 7, 0, 0, TimeSpan.FromHours(1));

    [Fact]
    public void A_revision_read_back_from_its_record_is_the_same()
    {
        var approved = Approve(RevisionBook.Empty, DemoFolder.Files);
        Assert.Equal(("af-85/1", 1, "af-85/1", RecordKinds.RevisionApproved, "k7f2"), (approved.Revision.Id, approved.Revision.Number, approved.Record!.Item, approved.Record.Kind, approved.Record.Person));
        Assert.Equal(Json(approved.Revision), Json(RevisionBook.Load(Kept(approved.Record)).Revision));
    }

    [Fact]
    public void The_body_is_canonical_json()
    {
        var body = Approve(RevisionBook.Empty, DemoFolder.Files).Record!.Body;
        Assert.Equal(CanonicalJson.Of(body), body);
    }

    [Fact]
    public void Approving_an_unchanged_folder_answers_with_the_standing_revision()
    {
        var book = Approved(DemoFolder.Files);
        // Line ends and files that are no definitions do not make a change.
        var same = DemoFolder.Files.Select(f => (f.Name, f.Text.ReplaceLineEndings("\r\n"))).Append(("notes.md", "call the laser people"));
        var again = Approve(book, same);
        Assert.Null(again.Record);
        Assert.Equal("af-85/1", again.Revision.Id);
    }

    [Fact]
    public void A_changed_folder_becomes_the_next_number_and_going_back_one_more()
    {
        var changed = DemoFolder.With(("products/af-85.yaml", "falseAlarm: 0.01", "falseAlarm: 0.02"));
        var book = Approved(DemoFolder.Files);
        var second = Approve(book, changed);
        Assert.Equal("af-85/2", second.Revision.Id);
        Assert.Equal([new("product.loadTest.falseAlarm", "0.01", "0.02", ChangeKind.LoadTest, false)], second.Changes);

        book = book.With(Kept(second.Record!));
        Assert.Equal("af-85/3", Approve(book, DemoFolder.Files).Revision.Id);
        Assert.Equal(0.01, book.Find("af-85/1")!.Revision.LoadTest.FalseAlarm);
        Assert.Equal(["af-85/2"], book.StandingAt(At).Select(r => r.Revision.Id));
        Assert.Equal("af-85/2", book.StandingOf("af-85", At)!.Revision.Id);
        Assert.Null(book.Find("af-85/9"));
    }

    [Fact]
    public void A_folder_with_mistakes_is_not_approved() =>
        Assert.Throws<InputException>(() => DefinitionDraft.Of(DemoFolder.With(("plant.yaml", "taktS: 57", "taktS: 0")), RevisionBook.Empty));

    [Fact]
    public void A_record_whose_files_were_changed_is_refused()
    {
        var record = Kept(Approve(RevisionBook.Empty, DemoFolder.Files).Record!);
        var error = Assert.Throws<InputException>(() => RevisionBook.Load(record with { Body = record.Body.Replace("upper: 27.5", "upper: 29.5") })).Errors.Single();
        Assert.Equal("record 1", error.Source);
        Assert.Contains("The record was changed: run 'records verify'.", error.ToString());
    }

    [Fact]
    public void A_body_that_is_no_revision_is_refused_with_the_records_place() =>
        Assert.StartsWith("record 1: body: found a body that cannot be read", Assert.Throws<InputException>(() => RevisionBook.Load(Kept(new("k", RecordKinds.RevisionApproved, "af-85/1", "office", At, "p", "[]")))).Message);

    [Fact]
    public void A_rule_that_came_later_does_not_undo_an_approval()
    {
        // As if approved before serial prefixes were checked.
        var record = Kept(Approve(RevisionBook.Empty, DemoFolder.Files).Record!);
        var older = DemoFolder.With(("plant.yaml", "serialPrefix: AF85", "serialPrefix: QQ85")).Select(f => new DefinitionFile(f.Name, f.Text)).ToList();
        var hash = Convert.ToHexStringLower(System.Security.Cryptography.SHA256.HashData(System.Text.Encoding.UTF8.GetBytes(CanonicalJson.From(older, JsonSerializerOptions.Web))));
        var body = CanonicalJson.From(new { id = "af-85/1", product = "af-85", number = 1, hash, files = older }, JsonSerializerOptions.Web);
        Assert.Equal("QQ85", RevisionBook.Load(record with { Body = body }).Revision.Line.SerialPrefix);
    }

    [Fact]
    public void The_book_is_read_from_the_ledgers_records()
    {
        var record = Kept(Approve(RevisionBook.Empty, DemoFolder.Files).Record!);
        var book = RevisionBook.Of([record with { Kind = RecordKinds.LotHeld, Body = "{}" }, record]);
        Assert.Equal("af-85/1", Assert.Single(book.All).Revision.Id);
        Assert.Equal((At, "k7f2"), (book.All[0].ApprovedAt, book.All[0].Person));
    }

    [Fact]
    public async Task The_ledger_keeps_an_approval_and_of_two_at_once_only_one()
    {
        using var place = new TestFolder();
        using var folder = place.Open();
        await using var ledger = new LineLedger(folder, TimeProvider.System, new ItemCounts());
        var one = Approve(RevisionBook.Empty, DemoFolder.Files).Record!;
        var other = Approve(RevisionBook.Empty, DemoFolder.With(("plant.yaml", "dueToday: 400", "dueToday: 380"))).Record!;

        var kept = await ledger.Write(t => t.Append(one));
        await Assert.ThrowsAnyAsync<Exception>(() => ledger.Write(t => t.Append(other)));

        Assert.Equal(one.Body, kept.Body);
        using var connection = folder.ReadConnection();
        var book = RevisionBook.Of(LedgerRows.After(connection, 0));
        Assert.Equal(("af-85/1", 400), (Assert.Single(book.All).Revision.Id, book.All[0].Revision.Line.DueToday));
    }

    [Fact]
    public void Says_what_changed_by_ids_not_by_positions()
    {
        var before = DemoFolder.Read(DemoFolder.Files);
        var after = DemoFolder.Read(DemoFolder.With(
            ("plant.yaml", "      - { id: rig1, name: Rig 1, step: load-test }\n", ""),
            ("plant.yaml", "customers: [Tarnbeck Cycles, Ostermere Bikes,", "customers: [Ostermere Bikes, Tarnbeck Cycles, Halvard Pedals,"),
            ("routes/af-85.yaml", "upper: 5,", "upper: 4,"),
            ("routes/af-85.yaml", "standardUncertainty: 0.6, usualValue: 132", "standardUncertainty: 0.6, upper: 140, usualValue: 132"),
            ("products/af-85.yaml", "channel: bus_current_a, gainShare: 0.001", "channel: bus_current_a, gainShare: 0.002"),
            ("products/af-85.yaml", "kind: brake, holdS: 3", "kind: brake, holdS: 4")));
        Assert.Equal(
            [
                // The clutch's lock is a safety function; functions and gauges of the rig make the verdict.
                new("steps[functional-check].readings[clutch-lock].upper", null, "140", ChangeKind.Safety, false),
                new("steps[leak-check].readings[leak].upper", "5", "4", ChangeKind.Limit, false),
                new("product.loadTest.cycle.functions[brake].holdS", "3", "4", ChangeKind.LoadTest),
                new("product.loadTest.gauges[bus_current_a].gainShare", "0.001", "0.002", ChangeKind.LoadTest),
                new("plant.customers[Halvard Pedals]", null, "Halvard Pedals"),
                new("plant.customers (order)", "Tarnbeck Cycles, Ostermere Bikes, Vellin & Dray", "Ostermere Bikes, Tarnbeck Cycles, Vellin & Dray"),
                new("line.stations[rig1]", "id rig1, name Rig 1, step load-test", null),
            ],
            RevisionComparison.Of(before, after));
        Assert.Empty(RevisionComparison.Of(before, DemoFolder.Read(DemoFolder.Files)));
    }

    [Fact]
    public void Json_goes_round()
    {
        var revision = Approve(RevisionBook.Empty, DemoFolder.Files).Revision;
        var json = Json(revision);
        Assert.Equal(json, Json(JsonSerializer.Deserialize<RouteRevision>(json, RouteRevisionJson.Options)!));
        Assert.Contains("\"kind\":\"load-test\"", json);
        Assert.Contains("\"phaseResistance20Ohm\":0.055", json);
        Assert.DoesNotContain("\"ratio\":", json);
    }

    [Fact]
    public void Json_with_an_unknown_field_is_refused() =>
        Assert.Throws<JsonException>(() => JsonSerializer.Deserialize<RouteRevision>(Json(DemoFolder.Read(DemoFolder.Files)).Replace("\"number\":0", "\"numbers\":0,\"number\":0"), RouteRevisionJson.Options));

    static RevisionBook Approved(IEnumerable<(string Name, string Text)> files) => RevisionBook.Empty.With(Kept(Approve(RevisionBook.Empty, files).Record!));

    static Approval Approve(RevisionBook book, IEnumerable<(string Name, string Text)> files) => Assert.Single(DefinitionDraft.Of(files, book).Approve(new("k7f2"), At).Done!.Revisions);

    static string Json(RouteRevision revision) => JsonSerializer.Serialize(revision, RouteRevisionJson.Options);

    static LedgerRecord Kept(NewRecord r) => new(1, r.Key, r.Kind, r.Item, r.Station, r.OccurredAt, r.OccurredAt, r.Person, r.Body, r.BodyVersion, new('0', 64), new('0', 64));
}
