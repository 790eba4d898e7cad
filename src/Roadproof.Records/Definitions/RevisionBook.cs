using System.Collections.Immutable;
using System.Globalization;
using System.Security.Cryptography;
using System.Text;
using System.Text.Json;
using System.Text.Json.Serialization;
using Microsoft.Data.Sqlite;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Ledger;

namespace Roadproof.Records.Definitions;

/// <summary>A definition file inside a record.</summary>
public sealed record DefinitionFile(string Name, string Text);

/// <summary>A revision as it was approved.</summary>
/// <param name="Hash">SHA-256 over the canonical JSON of the files, hex: two folders with the same hash say the same.</param>
/// <param name="From">From when on new units start on it.</param>
/// <param name="Sequence">Its record's place in the ledger.</param>
public sealed record ApprovedRevision(
    RouteRevision Revision, string Hash, IReadOnlyList<DefinitionFile> Files, DateTimeOffset ApprovedAt, string Person, DateTimeOffset From, string Reason, long Sequence);

/// <summary>A product on which no new unit starts any more; units on the way go on.</summary>
/// <param name="Revision">The newest revision when it was withdrawn.</param>
public sealed record WithdrawnProduct(string Product, string Revision, DateTimeOffset From, DateTimeOffset ApprovedAt, string Person, string Reason, long Sequence);

/// <summary>All approved revisions, read from the ledger's records. A book never changes: <see cref="With"/> gives the next one.</summary>
public sealed class RevisionBook
{
    public static readonly RevisionBook Empty = new([], []);

    RevisionBook(ImmutableList<ApprovedRevision> all, ImmutableList<WithdrawnProduct> withdrawn) => (All, Withdrawn) = (all, withdrawn);

    /// <summary>In the order of their approval.</summary>
    public ImmutableList<ApprovedRevision> All { get; }

    /// <summary>Every withdrawal there was, in its order; a later approval of the same product ends it.</summary>
    public ImmutableList<WithdrawnProduct> Withdrawn { get; }

    /// <param name="id">Such as <c>af-85/3</c>.</param>
    public ApprovedRevision? Find(string id) => All.Find(r => r.Revision.Id == id);

    /// <summary>The newest revision of a product, also where its time has not come yet.</summary>
    public ApprovedRevision? NewestOf(string product) => All.FindLast(r => r.Revision.Product.Id == product);

    /// <summary>The revision of a product that new units start on at a time; null before the first one's.</summary>
    public ApprovedRevision? StandingOf(string product, DateTimeOffset at) => All.FindLast(r => r.Revision.Product.Id == product && r.From <= at);

    /// <summary>Why no new unit of a product starts at a time; null where they do.</summary>
    public WithdrawnProduct? WithdrawalOf(string product, DateTimeOffset at) =>
        Withdrawn.FindLast(w => w.Product == product && w.From <= at && w.Sequence > (StandingOf(product, at)?.Sequence ?? 0));

    /// <summary>One revision for each product that has one at a time, in the order in which the products were first approved; those that are withdrawn come last.</summary>
    public IReadOnlyList<ApprovedRevision> StandingAt(DateTimeOffset at) =>
    [
        .. All.Select(r => r.Revision.Product.Id).Distinct(StringComparer.Ordinal).Select(p => StandingOf(p, at)).OfType<ApprovedRevision>()
            .OrderBy(r => WithdrawalOf(r.Revision.Product.Id, at) is not null),
    ];

    /// <summary>The newest revision of each product that nobody has withdrawn.</summary>
    public IReadOnlyList<ApprovedRevision> Newest =>
    [
        .. All.Select(r => r.Revision.Product.Id).Distinct(StringComparer.Ordinal).Select(p => NewestOf(p)!)
            .Where(r => !Withdrawn.Exists(w => w.Product == r.Revision.Product.Id && w.Sequence > r.Sequence)),
    ];

    /// <summary>The book that a ledger holds.</summary>
    public static RevisionBook Read(SqliteConnection connection) => Of(LedgerRows.OfKinds(connection, [RecordKinds.RevisionApproved, RecordKinds.ProductWithdrawn]));

    /// <param name="records">Any records, in the ledger's order; other kinds than approvals and withdrawals are passed over.</param>
    public static RevisionBook Of(IEnumerable<LedgerRecord> records) =>
        records.Where(r => r.Kind is RecordKinds.RevisionApproved or RecordKinds.ProductWithdrawn).Aggregate(Empty, (book, record) => book.With(record));

    /// <summary>The book with one more approval or withdrawal.</summary>
    public RevisionBook With(LedgerRecord record) => record.Kind == RecordKinds.ProductWithdrawn
        ? new(All, Withdrawn.Add(LoadWithdrawal(record)))
        : new(All.Add(Load(record)), Withdrawn);

    /// <summary>A revision as its record holds it. Rules that came after the approval are not asked again.</summary>
    /// <exception cref="InputException">The record's files are not those that were approved, or cannot be read by this version.</exception>
    public static ApprovedRevision Load(LedgerRecord record)
    {
        if (record.Kind != RecordKinds.RevisionApproved)
            throw new ArgumentException($"Bug in Roadproof: a record of kind {record.Kind} was taken for an approval.", nameof(record));

        var body = ReadBody<Body>(record, "the files of an approved revision");
        if (HashOf(body.Files) is var hash && hash != body.Hash)
            throw new InputException(new InputError(Source(record), 0, "files", $"files with hash {hash}", $"the files that were approved, hash {body.Hash}", "The record was changed: run 'records verify'."));

        var revision = Numbered(DefinitionFolder.ReadApproved(body.Files.Select(f => (f.Name, f.Text))), body.Number);
        return new(revision, body.Hash, body.Files, record.OccurredAt, record.Person, body.From ?? record.OccurredAt, body.Reason ?? "", record.Sequence);
    }

    internal static NewRecord Approved(RouteRevision revision, IReadOnlyList<DefinitionFile> files, ApprovalWord said, DateTimeOffset occurredAt)
    {
        var body = new Body(revision.Id, revision.Product.Id, revision.Number, HashOf(files), files, said.From, said.Reason.Length > 0 ? said.Reason : null);
        return new(OwnKeys.Revision(revision.Id), RecordKinds.RevisionApproved, revision.Id, "office", occurredAt, said.Person, CanonicalJson.From(body, JsonSerializerOptions.Web));
    }

    internal static NewRecord WithdrawnOf(RouteRevision newest, ApprovalWord said, DateTimeOffset occurredAt) => new(
        OwnKeys.Withdrawn(newest.Id), RecordKinds.ProductWithdrawn, newest.Id, "office", occurredAt, said.Person,
        CanonicalJson.From(new WithdrawnBody(newest.Product.Id, newest.Id, said.From, said.Reason), JsonSerializerOptions.Web));

    internal static RouteRevision Numbered(RouteRevision draft, int number) =>
        draft with { Number = number, Id = string.Create(CultureInfo.InvariantCulture, $"{draft.Product.Id}/{number}") };

    internal static string HashOf<T>(T said) => Convert.ToHexStringLower(SHA256.HashData(Encoding.UTF8.GetBytes(CanonicalJson.From(said, JsonSerializerOptions.Web))));

    static WithdrawnProduct LoadWithdrawal(LedgerRecord record)
    {
        var body = ReadBody<WithdrawnBody>(record, "a withdrawn product");
        return new(body.Product, body.Revision, body.From ?? record.OccurredAt, record.OccurredAt, record.Person, body.Reason, record.Sequence);
    }

    static T ReadBody<T>(LedgerRecord record, string expected)
    {
        try
        {
            return JsonSerializer.Deserialize<T>(record.Body, JsonSerializerOptions.Web) ?? throw new JsonException("nothing stands there");
        }
        catch (JsonException e)
        {
            throw new InputException(new InputError(Source(record), 0, "body", $"a body that cannot be read ({e.Message})", expected));
        }
    }

    static string Source(LedgerRecord record) => string.Create(CultureInfo.InvariantCulture, $"record {record.Sequence}");

    /// <param name="From">Null where it holds from its approval on.</param>
    sealed record Body(
        string Id, string Product, int Number, string Hash, IReadOnlyList<DefinitionFile> Files,
        [property: JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)] DateTimeOffset? From = null,
        [property: JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)] string? Reason = null);

    sealed record WithdrawnBody(string Product, string Revision, [property: JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)] DateTimeOffset? From, string Reason);
}
