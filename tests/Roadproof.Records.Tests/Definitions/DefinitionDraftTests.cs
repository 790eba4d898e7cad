using Roadproof.Engineering.Quantities;
using Roadproof.Records.Definitions;
using Roadproof.Records.Ledger;

namespace Roadproof.Records.Tests.Definitions;

/// <summary>From a draft to what stands: from when on, what is left out, what was looked at, what is most dangerous.</summary>
public sealed class DefinitionDraftTests
{
    const string Plant = "plant.yaml", Route = "routes/af-85.yaml", Product = "products/af-85.yaml";
    static readonly DateTimeOffset At = new(2031, 3, 4, 7, 0, 0, TimeSpan.FromHours(1));
    static readonly DateTimeOffset Tomorrow = At.AddDays(1);
    int sequence;

    [Fact]
    public void A_revision_with_a_time_to_come_stands_from_then_on()
    {
        var book = Kept(Kept(RevisionBook.Empty, DemoFolder.Files), Takt(50), new("k7f2", "faster line", Tomorrow));
        Assert.Equal("af-85/1", book.StandingOf("af-85", Tomorrow.AddSeconds(-1))!.Revision.Id);
        Assert.Equal("af-85/2", book.StandingOf("af-85", Tomorrow)!.Revision.Id);
        Assert.Equal((Tomorrow, "faster line"), (book.NewestOf("af-85")!.From, book.NewestOf("af-85")!.Reason));
    }

    [Fact]
    public void The_same_files_approved_at_once_bring_forward_a_revision_to_come()
    {
        var book = Kept(Kept(RevisionBook.Empty, DemoFolder.Files), Takt(50), new("k7f2", From: Tomorrow));
        Assert.Null(Approve(book, Takt(50), new("k7f2", From: Tomorrow.AddHours(1))).Revisions[0].Record);
        book = Kept(book, Takt(50));
        Assert.Equal("af-85/3", book.StandingOf("af-85", At)!.Revision.Id);
    }

    [Fact]
    public void A_later_approval_that_stands_at_once_replaces_one_to_come_for_good()
    {
        var book = Kept(Kept(Kept(RevisionBook.Empty, DemoFolder.Files), Takt(50), new("k7f2", From: Tomorrow)), Takt(60));
        Assert.Equal("af-85/3", book.StandingOf("af-85", Tomorrow.AddDays(9))!.Revision.Id);
    }

    [Theory]
    [InlineData(-1, false, "approval: from: found 2031-03-04T06:00:00+01:00, expected a time after 2031-03-04T07:00:00+01:00")]
    [InlineData(1, true, "nothing: a plant's first approval holds at once")]
    public void A_time_that_has_passed_or_a_first_approval_to_come_is_refused(int hours, bool first, string expected)
    {
        var draft = DefinitionDraft.Of(Takt(50), first ? RevisionBook.Empty : Kept(RevisionBook.Empty, DemoFolder.Files));
        Assert.Contains(expected, Assert.Throws<InputException>(() => draft.Approve(new("k7f2", From: At.AddHours(hours)), At)).Message, StringComparison.Ordinal);
    }

    [Fact]
    public void A_product_that_the_files_leave_out_is_withdrawn_only_when_someone_says_so()
    {
        var book = Kept(RevisionBook.Empty, PlantFolder.Files);
        var draft = DefinitionDraft.Of(DemoFolder.Files, book);
        Assert.Equal(["rotor-85/1"], draft.LeftOut.Select(r => r.Revision.Id));
        Assert.Equal("The files leave out rotor-85.", draft.Approve(new("k7f2"), At).Refused!.Reason);
        Assert.Contains("found 'af-85', expected a product that the files leave out: rotor-85", Assert.Throws<InputException>(() => draft.Approve(new("k7f2") { Withdraw = ["af-85"] }, At)).Message, StringComparison.Ordinal);

        book = Kept(book, DemoFolder.Files, new("k7f2", "rotors are bought") { Withdraw = ["rotor-85"] });
        Assert.Equal(("rotors are bought", "rotor-85/1"), (book.WithdrawalOf("rotor-85", At)!.Reason, book.WithdrawalOf("rotor-85", At)!.Revision));
        Assert.Null(book.WithdrawalOf("af-85", At));
        Assert.Equal(["af-85/2", "rotor-85/1"], book.StandingAt(At).Select(r => r.Revision.Id));
        Assert.Empty(DefinitionDraft.Of(DemoFolder.Files, book).LeftOut);

        // It comes back as its next number, also with the same files.
        book = Kept(book, PlantFolder.Files);
        Assert.Null(book.WithdrawalOf("rotor-85", At));
        Assert.Equal("rotor-85/2", book.StandingOf("rotor-85", At)!.Revision.Id);
    }

    [Fact]
    public void A_withdrawal_waits_for_its_time_too()
    {
        var book = Kept(Kept(RevisionBook.Empty, PlantFolder.Files), DemoFolder.Files, new("k7f2", From: Tomorrow) { Withdraw = ["rotor-85"] });
        Assert.Null(book.WithdrawalOf("rotor-85", At));
        Assert.NotNull(book.WithdrawalOf("rotor-85", Tomorrow));
    }

    [Fact]
    public void What_was_looked_at_is_what_is_approved()
    {
        var book = Kept(RevisionBook.Empty, DemoFolder.Files);
        var seen = DefinitionDraft.Of(Takt(50), book).Seen;
        Assert.NotNull(DefinitionDraft.Of(Takt(51), book).Approve(new("k7f2") { Seen = seen }, At).Refused);
        Assert.NotNull(DefinitionDraft.Of(Takt(50), Kept(book, Takt(60))).Approve(new("k7f2") { Seen = seen }, At).Refused);
        Assert.NotNull(DefinitionDraft.Of(Takt(50), book).Approve(new("k7f2") { Seen = seen }, At).Done);
    }

    [Fact]
    public void An_approval_from_before_there_were_times_and_reasons_reads_as_it_did()
    {
        var record = Approve(RevisionBook.Empty, DemoFolder.Files, new("k7f2")).Records[0];
        Assert.DoesNotContain("\"from\":", record.Body, StringComparison.Ordinal);
        Assert.DoesNotContain("\"reason\":", record.Body, StringComparison.Ordinal);
        var read = RevisionBook.Load(Record(record));
        Assert.Equal((At, ""), (read.From, read.Reason));
    }

    [Fact]
    public void The_most_dangerous_change_stands_on_top()
    {
        var before = DemoFolder.Read(DemoFolder.Files);
        var after = DemoFolder.Read(DemoFolder.With(
            (Plant, "taktS: 57", "taktS: 50"),
            (Product, "falseAlarm: 0.01", "falseAlarm: 0.02"),
            (Route, "upper: 5,", "upper: 6,"),
            (Route, "      - { id: phase, name: Phase screws, count: 3, torqueLowerNm: 1.8,", "      - { id: phase, name: Phase screws, count: 3, torqueLowerNm: 1.9,"),
            (Route, "lower: 127.5", "lower: 120")));
        Assert.Equal(
            [
                ("steps[functional-check].readings[clutch-lock].lower", ChangeKind.Safety, true),
                ("steps[controller-in].screws[phase].torqueLowerNm", ChangeKind.Safety, false),
                ("steps[leak-check].readings[leak].upper", ChangeKind.Limit, true),
                ("product.loadTest.falseAlarm", ChangeKind.LoadTest, false),
                ("line.taktS", ChangeKind.Other, (bool?)null),
            ],
            RevisionComparison.Of(before, after).Select(c => (c.Path, c.Kind, c.Wider)));
    }

    [Fact]
    public void A_safety_requirement_that_goes_or_is_no_longer_one_counts_as_safety()
    {
        var before = DemoFolder.Read(DemoFolder.Files);
        var plan = before.LoadTest;
        var safe = plan.Requirements.First(r => r.Safety);
        var gone = Assert.Single(RevisionComparison.Of(before, With([.. plan.Requirements.Where(r => r.Id != safe.Id)])));
        Assert.Equal((ChangeKind.Safety, true), (gone.Kind, gone.Wider));
        var plain = Assert.Single(RevisionComparison.Of(before, With([.. plan.Requirements.Select(r => r.Id == safe.Id ? r with { Safety = false } : r)])));
        Assert.Equal((ChangeKind.Safety, true), (plain.Kind, plain.Wider));
        var other = plan.Requirements.First(r => !r.Safety);
        Assert.Equal(ChangeKind.Requirement, Assert.Single(RevisionComparison.Of(before, With([.. plan.Requirements.Where(r => r.Id != other.Id)]))).Kind);

        RouteRevision With(IReadOnlyList<Engineering.Judging.RequirementLimit> limits) => before with { Product = before.Product with { LoadTest = plan with { Requirements = limits } } };
    }

    [Fact]
    public void Steps_and_their_order_are_interlocks()
    {
        var before = DemoFolder.Read(DemoFolder.Files);
        var swapped = before with { Steps = [before.Steps[0], before.Steps[2], before.Steps[1], .. before.Steps.Skip(3)] };
        Assert.Equal(("steps (order)", ChangeKind.Interlock), RevisionComparison.Of(before, swapped).Select(c => (c.Path, c.Kind)).Single());
        var without = before with { Steps = [.. before.Steps.Where(s => s.Id != "firmware")] };
        Assert.Equal(ChangeKind.Interlock, RevisionComparison.Of(before, before with { Steps = [.. before.Steps.Where(s => s.Id != "leak-check")] }).Single().Kind);
        // Its readings are a safety function: the wrong region is a legal defect.
        var change = RevisionComparison.Of(before, without).Single();
        Assert.Equal((ChangeKind.Safety, true), (change.Kind, change.Wider));
    }

    static List<(string Name, string Text)> Takt(int seconds) => DemoFolder.With((Plant, "taktS: 57", string.Create(System.Globalization.CultureInfo.InvariantCulture, $"taktS: {seconds}")));

    static Approvals Approve(RevisionBook book, IEnumerable<(string Name, string Text)> files, ApprovalWord said) => DefinitionDraft.Of(files, book).Approve(said, At).Done!;

    RevisionBook Kept(RevisionBook book, IEnumerable<(string Name, string Text)> files, ApprovalWord? said = null) =>
        Approve(book, files, said ?? new("k7f2")).Records.Aggregate(book, (b, r) => b.With(Record(r)));

    LedgerRecord Record(NewRecord r) => new(++sequence, r.Key, r.Kind, r.Item, r.Station, r.OccurredAt, r.OccurredAt, r.Person, r.Body, r.BodyVersion, new('0', 64), new('0', 64));
}
