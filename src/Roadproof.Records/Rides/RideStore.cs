using System.Collections.Immutable;
using System.Globalization;
using System.Security.Cryptography;
using System.Text;
using Roadproof.Engineering.Formats;
using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Road;
using Roadproof.Records.Ledger;
using Roadproof.Records.Stores;
using YamlDotNet.Core;
using YamlDotNet.Serialization;
using YamlDotNet.Serialization.NamingConventions;

namespace Roadproof.Records.Rides;

/// <summary>Rides that were sent in: <c>rides/</c> of the data folder, a table and a YAML of facts each, without places.</summary>
/// <remarks>
/// A ride is there when its facts are: they get their name last, after table and folder are on disk. What a crash leaves half is cleared away at the next start.
/// The store's own journal tells who kept and who let go of what, and when; it names rides by id only. Why no places: <c>docs/decisions/0013-rides-are-kept-without-places.md</c>.
/// </remarks>
public sealed class RideStore
{
    const string Half = ".part";
    const string JournalHeader = "at,act,ride,person\n";
    const int LongestName = 160;

    static readonly ISerializer ToYaml = new SerializerBuilder().WithNamingConvention(CamelCaseNamingConvention.Instance).WithTypeConverter(new Times()).Build();
    static readonly IDeserializer FromYaml = new DeserializerBuilder().WithTypeMapping<IReadOnlyList<string>, List<string>>().WithNamingConvention(CamelCaseNamingConvention.Instance).WithTypeConverter(new Times()).IgnoreUnmatchedProperties().Build();

    readonly string folder;
    readonly TimeProvider clock;
    readonly Lock writing = new();
    volatile ImmutableList<RideFacts> all;
    volatile ImmutableDictionary<string, RideFacts> byId;

    /// <param name="dataFolder">Of the line; whoever has it open is the only one who writes here.</param>
    /// <exception cref="InputException">Facts of a ride that cannot be read; every one at once.</exception>
    public RideStore(string dataFolder, TimeProvider clock)
    {
        (folder, this.clock) = (Path.Combine(dataFolder, "rides"), clock);
        Directory.CreateDirectory(folder);
        ClearHalves();
        all = [.. ReadAll().OrderBy(f => f.KeptAt).ThenBy(f => f.Id, StringComparer.Ordinal)];
        byId = all.ToImmutableDictionary(f => f.Id, StringComparer.Ordinal);
    }

    /// <summary>In the order in which they came.</summary>
    public IReadOnlyList<RideFacts> All => all;

    public RideFacts? Find(string id) => byId.GetValueOrDefault(id);

    /// <summary>Reads a file, finds its way, and keeps what is left without its places. When it returns the ride is on disk.</summary>
    /// <param name="name">The file's name; folders before it are left out.</param>
    /// <param name="person">An opaque key of whoever sends it.</param>
    /// <exception cref="InputException">No ride, a broken one, or one without times or in which nothing moves; nothing of it was kept.</exception>
    /// <exception cref="NotKeptException">The disk is full or fails; nothing was kept.</exception>
    public KeptRide Keep(string name, byte[] original, string? person)
    {
        ArgumentNullException.ThrowIfNull(original);
        name = NameOf(name);
        var sha256 = Convert.ToHexStringLower(SHA256.HashData(original));
        var id = sha256[..16];
        if (Find(id) is { } there) return new(there, New: false);

        var ride = RideFile.Read(name, new MemoryStream(original, writable: false));
        var path = RidePath.Of(ride);
        if (path.Fixes.Count(f => f.HasTime) < 2)
            throw new InputException(new InputError(name, 0, "time", "a way without times", "a recorded ride with a time at each point", "A planned route tells distance and ascent only; it has no load."));
        var summary = RideSummary.Of(ride, path);
        summary.RequireMovement();
        var table = RideTableText.Of(path);
        RequireReadable(id, table);
        lock (writing)
        {
            if (Find(id) is { } meanwhile) return new(meanwhile, New: false);
            var facts = new RideFacts
            {
                Id = id, Name = name, Format = ride.Format, Sha256 = sha256, StartedAt = ride.StartedAt, KeptAt = clock.GetLocalNow(), SentBy = person?.Trim() ?? "",
                DistanceM = summary.DistanceM, AscentM = summary.AscentM, ElapsedS = summary.ElapsedTimeS ?? 0, WayFrom = summary.DistanceFrom, Repaired = summary.Repaired,
            };
            OnDisk(() =>
            {
                Write(TableOf(id), table);
                Note("kept", id, facts.SentBy);
                Write(FactsOf(id), Encoding.UTF8.GetBytes(ToYaml.Serialize(facts)));
            });
            byId = byId.Add(id, facts);
            all = all.Add(facts);
            return new(facts, New: true);
        }
    }

    /// <summary>The ride as it was kept; null where there is none of this id.</summary>
    public Ride? Read(string id)
    {
        if (Find(id) is not { } facts || OpenTable(id) is not { } stream) return null;
        using (stream)
        {
            var ride = RideFile.Read(id + ".csv", stream);
            return ride with { Name = facts.Name, StartedAt = facts.StartedAt, Format = facts.Format, Fixes = facts.WayFrom == "positions" ? LaidOut(ride.Fixes) : ride.Fixes };
        }
    }

    /// <summary>Lays a way out straight along the equator, on which a step is the radius times its angle.</summary>
    /// <remarks>A load trusts a recorder's own speed only where positions stand beside it; these have its lengths and lead nowhere. Without them some recordings' work moved by a fifth (<c>KeptLoadTests</c>).</remarks>
    static List<RideFix> LaidOut(IReadOnlyList<RideFix> fixes)
    {
        const double degreesPerM = 180 / (Math.PI * 6378137); // equatorial radius of WGS-84
        var laid = new List<RideFix>(fixes.Count);
        foreach (var fix in fixes) laid.Add(fix with { LatitudeDeg = 0, LongitudeDeg = fix.RecordedDistanceM * degreesPerM });
        return laid;
    }

    /// <summary>The table's bytes; null where there is none of this id.</summary>
    public FileStream? OpenTable(string id)
    {
        if (Find(id) is null) return null;
        try
        {
            return new FileStream(TableOf(id), FileMode.Open, FileAccess.Read, FileShare.Read | FileShare.Delete);
        }
        catch (FileNotFoundException)
        {
            return null; // let go of in between
        }
    }

    /// <summary>Deletes a ride: first the note of who did, then the facts, then the table.</summary>
    /// <returns>False when there was none of this id.</returns>
    /// <exception cref="NotKeptException">The disk fails; the ride may be gone or there, never half.</exception>
    public bool LetGo(string id, string? person)
    {
        lock (writing)
        {
            if (Find(id) is not { } facts) return false;
            OnDisk(() =>
            {
                Note("let-go", id, person?.Trim() ?? "");
                File.Delete(FactsOf(id));
                Durable.Flush(folder);
            });
            byId = byId.Remove(id);
            all = all.Remove(facts);
            OnDisk(() =>
            {
                File.Delete(TableOf(id));
                Durable.Flush(folder);
            });
            return true;
        }
    }

    /// <summary>What is kept is what will be loaded: a form that our own reader refuses is our fault, and is found before the original is gone.</summary>
    static void RequireReadable(string id, byte[] table)
    {
        try
        {
            RideFile.Read(id, new MemoryStream(table, writable: false));
        }
        catch (InputException e)
        {
            throw new InvalidOperationException($"Bug in Roadproof: a ride that was read cannot be kept. {e.Message}", e);
        }
    }

    // Folders may name people, and a name becomes part of messages: it has one line and an end.
    static string NameOf(string name)
    {
        name = new string([.. name.Split('/', '\\')[^1].Where(c => !char.IsControl(c))]).Trim();
        return name.Length switch { 0 => "ride", > LongestName => name[^LongestName..], _ => name };
    }

    void Write(string file, byte[] bytes)
    {
        var part = file + Half;
        using (var stream = new FileStream(part, FileMode.Create, FileAccess.Write, FileShare.None, bufferSize: 0))
        {
            stream.Write(bytes);
            stream.Flush(flushToDisk: true);
        }

        File.Move(part, file, overwrite: true);
        Durable.Flush(folder);
    }

    void Note(string act, string id, string person)
    {
        using var stream = new FileStream(JournalPath, FileMode.Append, FileAccess.Write, FileShare.Read, bufferSize: 0);
        var line = string.Create(CultureInfo.InvariantCulture, $"{clock.GetLocalNow():O},{act},{id},{Cell(person)}\n");
        stream.Write(Encoding.UTF8.GetBytes(stream.Position == 0 ? JournalHeader + line : line));
        stream.Flush(flushToDisk: true);
    }

    static string Cell(string text) => text.AsSpan().IndexOfAny(",\"\r\n") < 0 ? text : $"\"{text.ReplaceLineEndings(" ").Replace("\"", "\"\"", StringComparison.Ordinal)}\"";

    void ClearHalves()
    {
        foreach (var part in Directory.EnumerateFiles(folder, "*" + Half)) File.Delete(part);
        foreach (var table in Directory.EnumerateFiles(folder, "*.csv").Where(t => t != JournalPath && !File.Exists(Path.ChangeExtension(t, ".yaml")))) File.Delete(table);
    }

    IEnumerable<RideFacts> ReadAll()
    {
        var read = new List<RideFacts>();
        var errors = new List<InputError>();
        foreach (var file in Directory.EnumerateFiles(folder, "*.yaml"))
        {
            try
            {
                var facts = FromYaml.Deserialize<RideFacts>(File.ReadAllText(file));
                if (facts?.Id != Path.GetFileNameWithoutExtension(file)) errors.Add(new(file, 0, "id", $"'{facts?.Id}'", "the ride's id as in the file's name", "Restore the file from its last backup, or delete it."));
                else if (File.Exists(TableOf(facts.Id))) read.Add(facts);
                else errors.Add(new(file, 0, "", "facts without their table", $"{facts.Id}.csv beside them", "Restore the table from its last backup, or delete the facts."));
            }
            catch (YamlException e)
            {
                errors.Add(new(file, (int)e.Start.Line, "", $"what is no YAML of a ride ({e.Message.TrimEnd('.')})", "the facts of a ride", "Restore the file from its last backup, or delete it."));
            }
        }

        return errors.Count == 0 ? read : throw new InputException(errors);
    }

    string TableOf(string id) => Path.Combine(folder, id + ".csv");

    string FactsOf(string id) => Path.Combine(folder, id + ".yaml");

    string JournalPath => Path.Combine(folder, "journal.csv");

    static void OnDisk(Action act)
    {
        try
        {
            act();
        }
        catch (IOException e)
        {
            throw new NotKeptException($"The ride could not be written ({e.Message}): nothing of it was kept. Make room; it may then be sent again.", e);
        }
    }

    /// <summary>Times as ISO 8601 with their offset.</summary>
    sealed class Times : IYamlTypeConverter
    {
        public bool Accepts(Type type) => type == typeof(DateTimeOffset) || type == typeof(DateTimeOffset?);

        public object? ReadYaml(IParser parser, Type type, ObjectDeserializer rootDeserializer)
        {
            var text = parser.Consume<YamlDotNet.Core.Events.Scalar>();
            if (text.Value is "" or "null" or "~") return null;
            return DateTimeOffset.TryParse(text.Value, CultureInfo.InvariantCulture, DateTimeStyles.AssumeUniversal, out var time) ? time : throw new YamlException(text.Start, text.End, $"'{text.Value}' is no time");
        }

        public void WriteYaml(IEmitter emitter, object? value, Type type, ObjectSerializer serializer) =>
            emitter.Emit(new YamlDotNet.Core.Events.Scalar(value is DateTimeOffset time ? time.ToString("O", CultureInfo.InvariantCulture) : ""));
    }
}
