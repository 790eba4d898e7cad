using System.Globalization;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Ledger;

namespace Roadproof.Records.Definitions;

/// <summary>What a person says when approving.</summary>
/// <param name="Person">Opaque key of the person.</param>
/// <param name="From">From when on new units start on it; null from now on.</param>
public sealed record ApprovalWord(string Person, string Reason = "", DateTimeOffset? From = null)
{
    /// <summary>Products that the files leave out on purpose.</summary>
    public IReadOnlyList<string> Withdraw { get; init; } = [];

    /// <summary>Of the draft that the person looked at; null where nobody looked.</summary>
    public string? Seen { get; init; }
}

/// <summary>What an approval comes to for one product.</summary>
/// <param name="Revision">The new revision, or the one there was when nothing changed.</param>
/// <param name="Record">To be appended to the ledger; null when nothing changed.</param>
/// <param name="Changes">What is different from the revision before; empty for a first one.</param>
public sealed record Approval(RouteRevision Revision, NewRecord? Record, IReadOnlyList<RevisionChange> Changes);

/// <summary>What an approval of files comes to.</summary>
/// <param name="Revisions">One for each product of the files.</param>
/// <param name="Withdrawn">The newest revisions of the products that are withdrawn with it.</param>
/// <param name="Records">To be appended to the ledger together.</param>
public sealed record Approvals(IReadOnlyList<Approval> Revisions, IReadOnlyList<RouteRevision> Withdrawn, IReadOnlyList<NewRecord> Records);

/// <summary>One product of a draft.</summary>
/// <param name="Draft">Its number is 0.</param>
/// <param name="Before">The newest revision there is; null for a product that is new, or comes back.</param>
/// <param name="Changes">What is different from it, the most dangerous first.</param>
public sealed record DraftedProduct(RouteRevision Draft, ApprovedRevision? Before, IReadOnlyList<RevisionChange> Changes);

/// <summary>Definition files held against the revisions there are: what approving them would do.</summary>
public sealed class DefinitionDraft
{
    readonly RevisionBook book;
    readonly IReadOnlyList<DefinitionFile> files;

    DefinitionDraft(RevisionBook book, IReadOnlyList<DefinitionFile> files, IReadOnlyList<DraftedProduct> products)
    {
        (this.book, this.files, Products) = (book, files, products);
        LeftOut = [.. book.Newest.Where(r => products.All(p => p.Draft.Product.Id != r.Revision.Product.Id))];
        Seen = RevisionBook.HashOf(new { files, Standing = book.Newest.Select(r => r.Revision.Id) })[..16];
    }

    /// <summary>In the order of the plant's lines.</summary>
    public IReadOnlyList<DraftedProduct> Products { get; }

    /// <summary>The newest revisions of products that the files do not have.</summary>
    public IReadOnlyList<ApprovedRevision> LeftOut { get; }

    /// <summary>Stands for these files and the revisions they were held against: an approval that names it approves what was looked at.</summary>
    public string Seen { get; }

    /// <param name="files">Names relative to their folder, with forward slashes, and texts.</param>
    /// <exception cref="InputException">Every mistake in the files.</exception>
    public static DefinitionDraft Of(IEnumerable<(string Name, string Text)> files, RevisionBook book)
    {
        var kept = Kept(files);
        var products = DefinitionFolder.Read(kept.Select(f => (f.Name, f.Text))).Select(draft =>
        {
            var before = book.Newest.FirstOrDefault(r => r.Revision.Product.Id == draft.Product.Id);
            return new DraftedProduct(draft, before, before is null ? [] : RevisionComparison.Of(before.Revision, draft));
        });
        return new(book, kept, [.. products]);
    }

    /// <summary>Makes the records that approve these files as the products' next revisions; a product of which they say what its newest revision says keeps that.</summary>
    /// <remarks>A record's key holds the number: of two approvals at once the ledger keeps one.</remarks>
    /// <exception cref="InputException">Nobody approves, at a time that has passed, or something is withdrawn that is not left out.</exception>
    public Outcome<Approvals> Approve(ApprovalWord said, DateTimeOffset now)
    {
        Require(said, now);
        if (said.Seen is { } seen && seen != Seen)
            return new Refusal("The files or the revisions they were compared with are not those that were looked at.", "Look at the changes again, then approve.", "the draft that was looked at", "another one");
        if (LeftOut.Where(r => !said.Withdraw.Contains(r.Revision.Product.Id)).Select(r => r.Revision.Product.Id).ToList() is { Count: > 0 } missing)
            return new Refusal($"The files leave out {string.Join(", ", missing)}.", "Add the files of each, or say that it is withdrawn: no new units start on it then, and units on the way go on.", "every product of the plant", "files without " + string.Join(", ", missing));

        var approvals = Products.Select(p => Approve(p, said, now)).ToList();
        var withdrawn = LeftOut.Select(r => r.Revision).ToList();
        return new Approvals(approvals, withdrawn, [.. approvals.Select(a => a.Record).OfType<NewRecord>(), .. withdrawn.Select(r => RevisionBook.WithdrawnOf(r, said, now))]);
    }

    Approval Approve(DraftedProduct product, ApprovalWord said, DateTimeOffset now)
    {
        var id = product.Draft.Product.Id;
        // The same again is no new revision, unless it brings forward one whose time has not come.
        if (product is { Before: { } before, Changes: [] } && before.From <= (said.From ?? now)) return new(before.Revision, null, []);

        var own = DefinitionFolder.Of(product.Draft, files.Select(f => (f.Name, f.Text))).Select(f => new DefinitionFile(f.Name, f.Text)).ToList();
        var revision = RevisionBook.Numbered(product.Draft, (book.NewestOf(id)?.Revision.Number ?? 0) + 1);
        return new(revision, RevisionBook.Approved(revision, own, said, now), product.Changes);
    }

    void Require(ApprovalWord said, DateTimeOffset now)
    {
        if (string.IsNullOrWhiteSpace(said.Person)) throw Wrong("person", "nothing", "the key of the person who approves, such as k7f2");
        if (said.From is { } from && from < now) throw Wrong("from", Written(from), $"a time after {Written(now.ToOffset(from.Offset))}, the plant's clock", "Leave it out to start at once.");
        if (said.From > now && Products.All(p => book.StandingOf(p.Draft.Product.Id, now) is null)) throw Wrong("from", Written(said.From.Value), "nothing: a plant's first approval holds at once");
        if (said.Withdraw.FirstOrDefault(w => LeftOut.All(r => r.Revision.Product.Id != w)) is { } kept)
            throw Wrong("withdraw", $"'{kept}'", LeftOut.Count == 0 ? "nothing: the files leave out no product" : $"a product that the files leave out: {string.Join(", ", LeftOut.Select(r => r.Revision.Product.Id))}");
    }

    static InputException Wrong(string field, string found, string expected, string? hint = null) => new(new InputError("approval", 0, field, found, expected, hint));

    static string Written(DateTimeOffset at) => at.ToString("yyyy-MM-dd'T'HH:mm:sszzz", CultureInfo.InvariantCulture);

    /// <summary>The files in the form that is hashed and kept: ordered by name, line ends of one kind, no byte order mark.</summary>
    static List<DefinitionFile> Kept(IEnumerable<(string Name, string Text)> files) =>
    [
        .. files.Where(f => DefinitionFolder.IsOurs(f.Name)).OrderBy(f => f.Name, StringComparer.Ordinal)
            .Select(f => new DefinitionFile(f.Name, f.Text.TrimStart('\uFEFF').ReplaceLineEndings("\n"))),
    ];
}
