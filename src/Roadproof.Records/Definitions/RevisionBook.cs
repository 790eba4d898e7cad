using System.Collections.Immutable;
using System.Globalization;
using System.Security.Cryptography;
using System.Text;
using System.Text.Json;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Ledger;

namespace Roadproof.Records.Definitions;

/// <summary>A definition file inside a record.</summary>
public sealed record DefinitionFile(string Name, string Text);

/// <summary>A revision as it was approved.</summary>
/// <param name="Hash">SHA-256 over the canonical JSON of the files, hex: two folders with the same hash say the same.</param>
public sealed record ApprovedRevision(RouteRevision Revision, string Hash, IReadOnlyList<DefinitionFile> Files, DateTimeOffset ApprovedAt, string Person);

/// <summary>What an approval comes to.</summary>
/// <param name="Revision">The new revision, or the standing one when nothing changed.</param>
/// <param name="Record">To be appended to the ledger; null when nothing changed.</param>
/// <param name="Changes">What is different from the revision that stood until now; empty for a first one.</param>
public sealed record Approval(RouteRevision Revision, NewRecord? Record, IReadOnlyList<RevisionChange> Changes);

/// <summary>All approved revisions, read from the ledger's records. A book never changes: <see cref="With"/> gives the next one.</summary>
public sealed class RevisionBook
{
    public static readonly RevisionBook Empty = new([]);

    RevisionBook(ImmutableList<ApprovedRevision> all) => All = all;

    /// <summary>In the order of their approval.</summary>
    public ImmutableList<ApprovedRevision> All { get; }

    /// <summary>The revisions that new units start on, one for each product, in the order in which the products were first approved.</summary>
    public IReadOnlyList<RouteRevision> Standing => [.. All.Select(r => r.Revision.Product.Id).Distinct(StringComparer.Ordinal).Select(p => StandingOf(p)!.Revision)];

    /// <param name="id">Such as <c>af-85/3</c>.</param>
    public ApprovedRevision? Find(string id) => All.Find(r => r.Revision.Id == id);

    /// <summary>The newest revision of a product.</summary>
    public ApprovedRevision? StandingOf(string product) => All.FindLast(r => r.Revision.Product.Id == product);

    /// <param name="records">Any records, in the ledger's order; other kinds than approvals are passed over.</param>
    public static RevisionBook Of(IEnumerable<LedgerRecord> records) =>
        records.Where(r => r.Kind == RecordKinds.RevisionApproved).Aggregate(Empty, (book, record) => book.With(record));

    /// <summary>The book with one more approval.</summary>
    public RevisionBook With(LedgerRecord record) => new(All.Add(Load(record)));

    /// <summary>The drafts in these files, each with what is different from the revision that stands.</summary>
    /// <exception cref="InputException">Every mistake in the files.</exception>
    public IReadOnlyList<(RouteRevision Draft, IReadOnlyList<RevisionChange> Changes)> Check(IEnumerable<(string Name, string Text)> files) =>
        [.. DefinitionFolder.Read(files).Select(draft => (draft, StandingOf(draft.Product.Id) is { } standing ? RevisionComparison.Of(standing.Revision, draft) : []))];

    /// <summary>Makes the records that approve these files as the products' next revisions; a product of which the files say what its standing revision says keeps that.</summary>
    /// <remarks>The record's key holds the number: of two approvals at once the ledger keeps one.</remarks>
    /// <param name="person">Opaque key of the person who approves.</param>
    /// <returns>One for each product of the folder.</returns>
    /// <exception cref="InputException">Nobody approves, or every mistake in the files.</exception>
    public IReadOnlyList<Approval> Approve(IEnumerable<(string Name, string Text)> files, string person, DateTimeOffset occurredAt)
    {
        if (string.IsNullOrWhiteSpace(person)) throw new InputException(new InputError("approval", 0, "person", "nothing", "the key of the person who approves, such as k7f2"));
        var kept = Kept(files);
        return [.. Check(kept.Select(f => (f.Name, f.Text))).Select(checkedDraft => Approve(checkedDraft.Draft, checkedDraft.Changes, kept, person, occurredAt))];
    }

    Approval Approve(RouteRevision draft, IReadOnlyList<RevisionChange> changes, List<DefinitionFile> files, string person, DateTimeOffset occurredAt)
    {
        var standing = StandingOf(draft.Product.Id);
        if (standing is not null && changes.Count == 0) return new(standing.Revision, null, []);

        var own = DefinitionFolder.Of(draft, files.Select(f => (f.Name, f.Text))).Select(f => new DefinitionFile(f.Name, f.Text)).ToList();
        var revision = Numbered(draft, (standing?.Revision.Number ?? 0) + 1);
        var body = CanonicalJson.From(new Body(revision.Id, revision.Product.Id, revision.Number, HashOf(own), own), JsonSerializerOptions.Web);
        return new(revision, new NewRecord($"revision-{revision.Id}", RecordKinds.RevisionApproved, revision.Id, "office", occurredAt, person, body), changes);
    }

    /// <summary>A revision as its record holds it. Rules that came after the approval are not asked again.</summary>
    /// <exception cref="InputException">The record's files are not those that were approved, or cannot be read by this version.</exception>
    public static ApprovedRevision Load(LedgerRecord record)
    {
        if (record.Kind != RecordKinds.RevisionApproved)
            throw new ArgumentException($"Bug in Roadproof: a record of kind {record.Kind} was taken for an approval.", nameof(record));

        var source = string.Create(CultureInfo.InvariantCulture, $"record {record.Sequence}");
        var body = ReadBody(record.Body, source);
        if (HashOf(body.Files) is var hash && hash != body.Hash)
            throw new InputException(new InputError(source, 0, "files", $"files with hash {hash}", $"the files that were approved, hash {body.Hash}", "The record was changed: run 'records verify'."));

        var revision = Numbered(DefinitionFolder.ReadApproved(body.Files.Select(f => (f.Name, f.Text))), body.Number);
        return new(revision, body.Hash, body.Files, record.OccurredAt, record.Person);
    }

    static Body ReadBody(string json, string source)
    {
        try
        {
            return JsonSerializer.Deserialize<Body>(json, JsonSerializerOptions.Web) ?? throw new JsonException("nothing stands there");
        }
        catch (JsonException e)
        {
            throw new InputException(new InputError(source, 0, "body", $"a body that cannot be read ({e.Message})", "the files of an approved revision"));
        }
    }

    static RouteRevision Numbered(RouteRevision draft, int number) =>
        draft with { Number = number, Id = string.Create(CultureInfo.InvariantCulture, $"{draft.Product.Id}/{number}") };

    /// <summary>The files in the form that is hashed and kept: ordered by name, line ends of one kind, no byte order mark.</summary>
    static List<DefinitionFile> Kept(IEnumerable<(string Name, string Text)> files) =>
    [
        .. files.Where(f => DefinitionFolder.IsOurs(f.Name)).OrderBy(f => f.Name, StringComparer.Ordinal)
            .Select(f => new DefinitionFile(f.Name, f.Text.TrimStart('\uFEFF').ReplaceLineEndings("\n"))),
    ];

    static string HashOf(IReadOnlyList<DefinitionFile> files) =>
        Convert.ToHexStringLower(SHA256.HashData(Encoding.UTF8.GetBytes(CanonicalJson.From(files, JsonSerializerOptions.Web))));

    sealed record Body(string Id, string Product, int Number, string Hash, IReadOnlyList<DefinitionFile> Files);
}
