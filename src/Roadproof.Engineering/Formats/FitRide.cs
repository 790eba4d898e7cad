using Roadproof.Engineering.Quantities;
using static System.FormattableString;

namespace Roadproof.Engineering.Formats;

/// <summary>Reads a ride from a FIT file: its records, cut where the recorder was stopped; runs, swims and files without records are refused.</summary>
/// <remarks>Message and field numbers, scales and offsets: the public profile of the format (from memory); checked against fields decoded by another library (tests).</remarks>
static class FitRide
{
    const ushort SportMessage = 12, SessionMessage = 18, RecordMessage = 20, EventMessage = 21;

    /// <summary>Where a value of a record stands: the number written is the field's, times <paramref name="Scale"/>, and lies <paramref name="Offset"/> too high.</summary>
    sealed record Source(RideField Field, byte Number, double Scale = 1, double Offset = 0);

    // Of two for one field the later is the finer one and counts where both are there.
    static readonly Source[] Sources =
    [
        new(RideField.Latitude, 0, (1L << 31) / 180.0), new(RideField.Longitude, 1, (1L << 31) / 180.0),
        new(RideField.Elevation, 2, 5, 500), new(RideField.Elevation, 78, 5, 500),
        new(RideField.HeartRate, 3), new(RideField.Cadence, 4, 1 / RideField.Cadence.Units[0].Factor),
        new(RideField.Distance, 5, 100), new(RideField.Speed, 6, 1000), new(RideField.Speed, 73, 1000),
        new(RideField.Power, 7), new(RideField.Temperature, 13),
    ];

    /// <summary>Speed and distance in three octets: 12 bits each, 1/100 m/s and 1/16 m, the distance going round.</summary>
    const byte CompressedSpeedDistance = 8;

    /// <summary>Seconds from here on are of a calendar, below they count from the recorder's switching on.</summary>
    const long LeastCalendar = 0x10000000;

    static readonly DateTimeOffset Epoch = new(1989, 12, 31, 0, 0, 0, TimeSpan.Zero);

    /// <exception cref="InputException">Everything that is wrong with the file, at once.</exception>
    public static Ride Read(string source, ReadOnlySpan<byte> file) => Decode(source, file).Close();

    /// <summary>What the file holds, whatever was done in it.</summary>
    /// <exception cref="InputException">The file is broken.</exception>
    internal static Records Decode(string source, ReadOnlySpan<byte> file)
    {
        var records = new Records(source);
        records.Notes.AddRange(FitFile.Read(source, file, records.Take));
        return records;
    }

    internal readonly record struct Session(int Sport, long? From, long? To)
    {
        // Nothing said, cycling, electric bicycle.
        public bool IsRide => Sport is 0 or 2 or 21;

        public string Name => Sport switch
        {
            1 => "a run", 5 => "a swim", 11 => "a walk", 17 => "a hike",
            _ => Invariant($"an activity of kind {Sport}"),
        };
    }

    /// <summary>Gathers records and sessions while a file is read.</summary>
    internal sealed class Records(string source)
    {
        readonly List<RideFix> fixes = [];
        readonly List<long?> timestamps = [];
        readonly List<Session> sessions = [];
        readonly RideRecorder recorder = new(source);
        bool stopped;
        int piece = 1, sportOfFile, messages;
        long? firstTimestamp;
        (int Last, double Turns) distance;
        FitDefinition? known;
        (Source Source, FitField Field)[] found = [];

        public List<string> Notes { get; } = [];

        public IReadOnlyList<RideFix> Fixes => fixes;

        public void Take(FitMessage message)
        {
            messages++;
            if (message.Kind == RecordMessage)
            {
                var timestamp = message.Timestamp;
                fixes.Add(FixOf(message, timestamp));
                timestamps.Add(timestamp);
            }
            else if (message.Kind == SessionMessage) sessions.Add(new((int)(message.Whole(5) ?? 0), message.Whole(2), message.Timestamp));
            else if (message.Kind == SportMessage) sportOfFile = (int)(message.Whole(0) ?? 0);
            else if (message.Kind == EventMessage && message.Whole(0) == 0) stopped = message.Whole(1) is not (0 or null); // the recorder's timer: started, or stopped in one of several ways
        }

        public Ride Close()
        {
            if (fixes.Count == 0)
                throw new InputException(new InputError(source, 0, "", Invariant($"{messages} messages and no record"), "a recorded ride", "Settings, courses and workouts are no rides."));
            if (sessions.Count == 0) sessions.Add(new(sportOfFile, null, null));
            var others = sessions.Where(s => !s.IsRide).ToList();
            if (others.Count == sessions.Count) throw new InputException(new InputError(source, 0, "", others[0].Name, "a ride"));
            if (others.Count == 0)
            {
                recorder.TakeAll(fixes);
                return recorder.Close("FIT", Notes, []);
            }

            for (var i = 0; i < fixes.Count; i++)
                if (!others.Exists(s => s.From <= timestamps[i] && timestamps[i] <= s.To)) recorder.Add(fixes[i]);
            Notes.Add(Invariant($"Left out as no part of a ride: {string.Join(", ", others.Select(s => s.Name))}, {fixes.Count - recorder.Count} records."));
            return recorder.Close("FIT", Notes, []);
        }

        RideFix FixOf(FitMessage message, long? clock)
        {
            if (stopped && fixes.Count > 0) piece++;
            stopped = false;
            var fix = new RideFix { Line = message.Number, Piece = piece };
            if (clock is { } timestamp)
            {
                firstTimestamp ??= timestamp;
                if (firstTimestamp >= LeastCalendar) recorder.TakeTime(ref fix, Epoch.AddSeconds(timestamp));
                else recorder.TakeSeconds(ref fix, timestamp);
            }

            if (!ReferenceEquals(message.Definition, known)) Know(message.Definition);
            foreach (var (s, field) in found)
                if (message.Whole(field) is { } value) recorder.Take(s.Field, ref fix, (value - s.Offset * s.Scale) / s.Scale);
            TakeCompressed(message, ref fix);
            return fix;
        }

        /// <summary>Looks up once where the values of the records that follow lie, not in each of them.</summary>
        void Know(FitDefinition definition)
        {
            known = definition;
            found = [.. Sources.SelectMany(s => definition.Fields.Where(f => f.Number == s.Number).Take(1).Select(f => (s, f)))];
        }

        void TakeCompressed(FitMessage message, ref RideFix fix)
        {
            if (message.Octets(CompressedSpeedDistance) is not [var a, var b, var c] || (a & b & c) == 0xFF) return;
            var (speed, count) = (a | ((b & 0x0F) << 8), (b >> 4) | (c << 4));
            distance = (count, distance.Turns + (count < distance.Last ? 1 : 0));
            recorder.Take(RideField.Speed, ref fix, speed / 100.0);
            recorder.Take(RideField.Distance, ref fix, distance.Turns * 256 + count / 16.0);
        }
    }
}
