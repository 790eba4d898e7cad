using Roadproof.Engineering.Life;
using Roadproof.Records.Definitions;
using Roadproof.Records.Rides;

namespace Roadproof.App.Road;

/// <summary>How far a sum has come.</summary>
/// <param name="Spectrum">Of all rides with a road; null until all are worked out.</param>
/// <param name="Elements">The most used up first; null until all are worked out, and where the product has no figures for its life.</param>
/// <param name="Broken">What went wrong with us; null where nothing did.</param>
public sealed record RoadState(int Total, int Done, IReadOnlyDictionary<string, RideFigures> Figures, LoadSpectrum? Spectrum, IReadOnlyList<ElementLife>? Elements, string? Broken)
{
    public bool Complete => Done == Total;
}

/// <summary>Sums over the kept rides, one for each product's revision and settings that somebody looks at; worked out behind the pages, each ride once.</summary>
public sealed class RoadSums(RideStore rides) : IDisposable
{
    /// <summary>So many settings are remembered; each holds a spectrum for some rides, about a third of a megabyte apiece.</summary>
    const int Remembered = 4;

    readonly Lock one = new();
    readonly LinkedList<(string Key, RoadSum Sum)> recent = new();

    /// <summary>The sum for a revision's unit and settings, at work on what is new.</summary>
    public RoadSum Of(RouteRevision revision, RoadSettings settings)
    {
        ArgumentNullException.ThrowIfNull(revision);
        ArgumentNullException.ThrowIfNull(settings);
        var key = $"{revision.Id}?{settings.Query}";
        lock (one)
        {
            var found = recent.First;
            while (found is not null && found.Value.Key != key) found = found.Next;
            if (found is not null) recent.Remove(found);
            found ??= new((key, new RoadSum(rides, revision, settings)));
            recent.AddFirst(found);
            if (recent.Count > Remembered)
            {
                recent.Last!.Value.Sum.Dispose();
                recent.RemoveLast();
            }

            found.Value.Sum.Follow(rides.All);
            return found.Value.Sum;
        }
    }

    public void Dispose()
    {
        lock (one)
        {
            foreach (var (_, sum) in recent) sum.Dispose();
            recent.Clear();
        }
    }
}

/// <summary>One sum. Rides are counted in blocks in the order in which they came, so that the same rides give the same digits on any number of cores, and a ride that is let go of costs its block alone.</summary>
public sealed class RoadSum : IDisposable
{
    const int InBlock = 16;

    readonly RideStore rides;
    readonly RouteRevision revision;
    readonly RideOnUnit onUnit;
    readonly Lock one = new();
    readonly List<Block> blocks = [];
    readonly Dictionary<string, RideFigures> figures = new(StringComparer.Ordinal);
    readonly CancellationTokenSource stop = new();
    IReadOnlyList<RideFacts>? followed;
    Task working = Task.CompletedTask;
    bool atWork;
    (LoadSpectrum Spectrum, IReadOnlyList<ElementLife>? Elements)? whole;
    string? broken;

    internal RoadSum(RideStore rides, RouteRevision revision, RoadSettings settings)
    {
        (this.rides, this.revision) = (rides, revision);
        onUnit = new(revision.LoadTest.Unit, settings);
    }

    /// <summary>Ends when nothing is left to be worked out; it never fails, see <see cref="RoadState.Broken"/>.</summary>
    public Task Settled
    {
        get
        {
            lock (one) return working;
        }
    }

    public RoadState State
    {
        get
        {
            lock (one)
            {
                var (total, done) = (blocks.Sum(b => b.Rides.Count), blocks.Sum(b => b.Done));
                if (done == total && broken is null) whole ??= Together();
                return new(total, done, new Dictionary<string, RideFigures>(figures, StringComparer.Ordinal), whole?.Spectrum, whole?.Elements, broken);
            }
        }
    }

    internal void Follow(IReadOnlyList<RideFacts> all)
    {
        lock (one)
        {
            if (ReferenceEquals(all, followed)) return;
            followed = all;
            whole = null;
            var there = all.Select(f => f.Id).ToHashSet(StringComparer.Ordinal);
            foreach (var block in blocks.Where(b => !b.Rides.TrueForAll(there.Contains))) block.Begin(revision, there);
            blocks.RemoveAll(b => b.Rides.Count == 0);
            foreach (var gone in figures.Keys.Where(id => !there.Contains(id)).ToList()) figures.Remove(gone);
            there.ExceptWith(blocks.SelectMany(b => b.Rides));
            foreach (var fresh in all.Where(f => there.Contains(f.Id)))
            {
                if (blocks.Count == 0 || blocks[^1].Rides.Count == InBlock) blocks.Add(new(revision));
                blocks[^1].Rides.Add(fresh.Id);
            }

            if (atWork || blocks.TrueForAll(b => b.Done == b.Rides.Count)) return;
            (atWork, broken) = (true, null);
            working = Task.Run(Work);
        }
    }

    void Work()
    {
        // A core stays free for the line: a unit that is to be judged waits for nobody's rides.
        var cores = new ParallelOptions { MaxDegreeOfParallelism = Math.Max(1, Environment.ProcessorCount - 1), CancellationToken = stop.Token };
        try
        {
            while (Due() is { Count: > 0 } due) Parallel.ForEach(due, cores, WorkOut);
        }
        catch (OperationCanceledException)
        {
            End("The sum was given up for newer ones. Load the page again.");
        }
        catch (Exception e)
        {
            End($"Bug in Roadproof: {(e as AggregateException)?.InnerExceptions[0].Message ?? e.Message} Please report it with these settings.");
        }
    }

    List<Block> Due()
    {
        lock (one)
        {
            List<Block> due = [.. blocks.Where(b => b.Done < b.Rides.Count)];
            if (due.Count == 0) atWork = false;
            return due;
        }
    }

    void End(string why)
    {
        lock (one) (atWork, broken, followed) = (false, why, null);
    }

    void WorkOut(Block block)
    {
        while (true)
        {
            string id;
            int beginning;
            lock (one)
            {
                if (block.Done >= block.Rides.Count) return;
                (id, beginning) = (block.Rides[block.Done], block.Beginnings);
            }

            // Let go of in between: the next look at the rides takes it out.
            var (line, spectrum, _) = rides.Read(id) is { } ride ? onUnit.Count(id, ride, stop.Token) : (RideFigures.Without(id, "It was let go of."), null, null);
            lock (one)
            {
                if (block.Beginnings != beginning) continue;
                figures[id] = line;
                if (spectrum is not null) block.Spectrum.Add(spectrum);
                block.Done++;
            }
        }
    }

    (LoadSpectrum, IReadOnlyList<ElementLife>?) Together()
    {
        var spectrum = new LoadSpectrum(revision.LoadTest.Unit);
        foreach (var block in blocks) spectrum.Add(block.Spectrum);
        return (spectrum, revision.Product.Life is { } plan && spectrum.DistanceM > 0 ? new UnitLife(spectrum.Unit, plan).Of(spectrum) : null);
    }

    public void Dispose()
    {
        stop.Cancel();
        stop.Dispose();
    }

    sealed class Block(RouteRevision revision)
    {
        public List<string> Rides { get; private set; } = [];
        public int Done { get; set; }

        /// <summary>What was worked out for an earlier beginning no longer counts.</summary>
        public int Beginnings { get; private set; }
        public LoadSpectrum Spectrum { get; private set; } = new(revision.LoadTest.Unit);

        public void Begin(RouteRevision of, HashSet<string> there) =>
            (Rides, Done, Beginnings, Spectrum) = ([.. Rides.Where(there.Contains)], 0, Beginnings + 1, new(of.LoadTest.Unit));
    }
}
