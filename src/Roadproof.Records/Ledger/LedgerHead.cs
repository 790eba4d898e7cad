namespace Roadproof.Records.Ledger;

/// <summary>The ledger in two words: how many records it has and the hash over all of them. Note it elsewhere, and nobody can change the past unseen.</summary>
/// <param name="RootHash">Root of the RFC 9162 tree over the records' hashes, 64 hex digits.</param>
public sealed record LedgerHead(long Size, string RootHash);

/// <summary>The store could not keep what was asked: the disk is full or fails. Nothing of it was kept; it may be sent again.</summary>
public sealed class NotKeptException(string message, Exception because) : IOException(message, because);
