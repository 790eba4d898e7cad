using System.Globalization;
using Parquet;
using Parquet.Schema;
using Roadproof.Engineering.Quantities;
using static System.FormattableString;

namespace Roadproof.Engineering.Formats;

/// <summary>One table of a capture as a Parquet file.</summary>
static class ParquetCapture
{
    /// <summary>Half an hour at 25.6 kHz is 46 million.</summary>
    const int MostRows = 50_000_000;

    static readonly ParquetOptions Options = new() { CompressionMethod = CompressionMethod.Snappy };

    public static CaptureTable? Read(string source, byte[] octets, IReadOnlySet<string>? channels, CaptureMetadata metadata, List<InputError> errors)
    {
        using var memory = new MemoryStream(octets, writable: false);
        try
        {
            RequireClosingPart(source, memory);
            return Table(source, memory, channels, metadata, errors);
        }
        catch (InputException broken)
        {
            errors.AddRange(broken.Errors);
            return null;
        }
#pragma warning disable CA1031 // A damaged file can trip the decoder anywhere; whatever it throws, the file is what is wrong.
        catch (Exception damage) when (damage is not OutOfMemoryException)
#pragma warning restore CA1031
        {
            errors.Add(Damaged(source, damage));
            return null;
        }
    }

    /// <exception cref="InputException">The file was cut short, or its end is damaged.</exception>
    static void RequireClosingPart(string source, Stream stream)
    {
        Span<byte> end = stackalloc byte[9];
        if (stream.Length >= 12)
        {
            stream.Position = stream.Length - end.Length;
            stream.ReadExactly(end);
            stream.Position = 0;
        }

        if (!end[5..].SequenceEqual("PAR1"u8))
            throw new InputException(new InputError(source, 0, "", Invariant($"a Parquet file that breaks off after {stream.Length} octets"), "its closing part, which says where the columns are",
                "The file was cut short on its way: send it again."));

        // The footer is one Thrift structure and ends with the octet 0 (Apache Parquet format and Thrift compact protocol, public specifications);
        // the library reads on for ever behind one that does not end.
        if (end[0] != 0) throw new InputException(new InputError(source, 0, "", "a damaged Parquet file (its closing part does not end)", "a file whose parts fit together", "Send the file again."));
    }

    static InputError Damaged(string source, Exception damage) =>
        new(source, 0, "", $"a damaged Parquet file ({damage.Message.TrimEnd('.')})", "a file whose parts fit together", "Send the file again.");

    static CaptureTable? Table(string source, MemoryStream memory, IReadOnlySet<string>? wanted, CaptureMetadata metadata, List<InputError> errors)
    {
        var reader = Done(ParquetReader.CreateAsync(memory, Options));
        try
        {
            foreach (var (key, value) in reader.CustomMetadata) metadata.Say(key, value);
            var fields = reader.Schema.DataFields.Where(f => !f.IsArray && IsNumber(f.ClrType) && (wanted is null || f.Name == CaptureChannel.Time || wanted.Contains(f.Name))).ToList();
            var time = fields.FirstOrDefault(f => f.Name == CaptureChannel.Time);
            if (time is null)
            {
                errors.Add(CaptureNames.NoTime(source, reader.Schema.DataFields.Select(f => f.Name)));
                return null;
            }

            if (RowsThatDisagree(reader, fields) is { } disagree)
            {
                errors.Add(new(source, 0, "", disagree, "a file whose parts fit together", "Send the file again."));
                return null;
            }

            var rows = reader.RowGroups.Sum(group => (int)group.RowCount);
            var timeS = new double[rows];
            var channels = fields.Where(f => f.Name != CaptureChannel.Time).ToDictionary(f => f.Name, _ => new float[rows], StringComparer.Ordinal);
            var from = 0;
            for (var g = 0; g < reader.RowGroupCount; g++)
            {
                using var group = reader.OpenRowGroupReader(g);
                var count = (int)group.RowCount;
                ReadInto(group, time, timeS.AsMemory(from, count));
                foreach (var field in fields.Where(f => f.Name != CaptureChannel.Time)) ReadInto(group, field, channels[field.Name].AsMemory(from, count));
                from += count;
            }

            return new(source, timeS, channels);
        }
        finally
        {
            reader.DisposeAsync().AsTask().GetAwaiter().GetResult();
        }
    }

    /// <summary>One column of numbers, a row group at a time.</summary>
    /// <exception cref="InputException">A damaged file, no such column, or a gap in it.</exception>
    public static void ReadColumn(string source, Stream stream, string column, NumberColumn.Take take)
    {
        try
        {
            RequireClosingPart(source, stream);
            var reader = Done(ParquetReader.CreateAsync(stream, Options, leaveStreamOpen: true));
            try
            {
                var fields = reader.Schema.DataFields.Where(f => !f.IsArray && IsNumber(f.ClrType)).ToList();
                var field = fields[NumberColumn.IndexOf(source, 0, column, fields.ConvertAll(f => f.Name))];
                if (RowsThatDisagree(reader, [field]) is { } disagree) throw new InputException(new InputError(source, 0, column, disagree, "a file whose parts fit together", "Send the file again."));
                long row = 0;
                for (var g = 0; g < reader.RowGroupCount; g++)
                {
                    using var group = reader.OpenRowGroupReader(g);
                    var numbers = new double[group.RowCount];
                    ReadInto(group, field, numbers.AsMemory());
                    var gap = Array.FindIndex(numbers, n => !double.IsFinite(n));
                    if (gap >= 0) throw new InputException(new InputError(source, 0, column, Invariant($"no number in row {row + gap + 1}"), "a number in every row", "A history has no gaps: split the file there."));
                    take(numbers);
                    row += numbers.Length;
                }
            }
            finally
            {
                reader.DisposeAsync().AsTask().GetAwaiter().GetResult();
            }
        }
#pragma warning disable CA1031 // As above: whatever the decoder throws, the file is what is wrong.
        catch (Exception damage) when (damage is not OutOfMemoryException and not InputException)
#pragma warning restore CA1031
        {
            throw new InputException(Damaged(source, damage));
        }
    }

    /// <summary>Room is made for as many rows as the file says: a number that was damaged must not ask for all the memory there is.</summary>
    static string? RowsThatDisagree(ParquetReader reader, IReadOnlyList<DataField> fields)
    {
        var names = fields.Select(f => f.Name).ToHashSet(StringComparer.Ordinal);
        var file = reader.Metadata!;
        foreach (var group in file.RowGroups)
        {
            // A column without lists has one value, or one gap, for each row.
            if (group.Columns.Select(c => c.MetaData).FirstOrDefault(c => c is { PathInSchema: [var name] } && names.Contains(name) && c.NumValues != group.NumRows) is { } column)
                return Invariant($"{column.NumValues} values of {column.PathInSchema[0]} in {group.NumRows} rows");
        }

        var rows = file.RowGroups.Sum(g => g.NumRows);
        return rows is < 0 or > MostRows ? Invariant($"{rows} rows, more than {MostRows}") : null;
    }

    static bool IsNumber(Type type) => type == typeof(float) || type == typeof(double) || type == typeof(int) || type == typeof(long) || type == typeof(bool);

    static void ReadInto(ParquetRowGroupReader group, DataField field, Memory<double> target)
    {
        if (field.ClrType == typeof(double) && !field.IsNullable) Done(group.ReadAsync(field, target));
        else Copy(group, field, target.Span, static x => x);
    }

    static void ReadInto(ParquetRowGroupReader group, DataField field, Memory<float> target)
    {
        if (field.ClrType == typeof(float) && !field.IsNullable) Done(group.ReadAsync(field, target));
        else Copy(group, field, target.Span, static x => (float)x);
    }

    static void Copy<T>(ParquetRowGroupReader group, DataField field, Span<T> target, Func<double, T> convert)
    {
        var type = field.ClrType;
        if (type == typeof(double)) Each(Cells(group, field, target.Length, double.NaN), target, convert);
        else if (type == typeof(float)) Each(Cells(group, field, target.Length, float.NaN), target, x => convert(x));
        else if (type == typeof(long)) Each(Cells(group, field, target.Length, long.MinValue), target, x => convert(x == long.MinValue ? double.NaN : x));
        else if (type == typeof(int)) Each(Cells(group, field, target.Length, int.MinValue), target, x => convert(x == int.MinValue ? double.NaN : x));
        else if (field.IsNullable) Each(NullableCells<bool>(group, field, target.Length), target, x => convert(x is { } b ? b ? 1 : 0 : double.NaN));
        else Each(Cells(group, field, target.Length, missing: false), target, x => convert(x ? 1 : 0));
    }

    static void Each<TCell, T>(TCell[] cells, Span<T> target, Func<TCell, T> convert)
    {
        for (var i = 0; i < cells.Length; i++) target[i] = convert(cells[i]);
    }

    static T[] Cells<T>(ParquetRowGroupReader group, DataField field, int count, T missing)
        where T : struct
    {
        if (field.IsNullable) return Array.ConvertAll(NullableCells<T>(group, field, count), cell => cell ?? missing);
        var cells = new T[count];
        Done(group.ReadAsync(field, cells.AsMemory()));
        return cells;
    }

    static T?[] NullableCells<T>(ParquetRowGroupReader group, DataField field, int count)
        where T : struct
    {
        var cells = new T?[count];
        Done(group.ReadAsync<T>(field, cells.AsMemory()));
        return cells;
    }

    public static void Write(CaptureTable table, CaptureHeader header, Stream stream)
    {
        var time = new DataField<double>(CaptureChannel.Time);
        var names = table.Channels.Keys.ToList();
        var fields = names.ConvertAll(name => new DataField<float>(name));
        var writer = Done(ParquetWriter.CreateAsync(new ParquetSchema([time, .. fields]), stream, Options));
        try
        {
            writer.CustomMetadata = Said(header);
            using var group = writer.CreateRowGroup();
            Done(group.WriteAsync<double>(time, table.TimeS));
            for (var i = 0; i < names.Count; i++) Done(group.WriteAsync<float>(fields[i], table.Channels[names[i]]));
        }
        finally
        {
            writer.DisposeAsync().AsTask().GetAwaiter().GetResult();
        }
    }

    static Dictionary<string, string> Said(CaptureHeader header)
    {
        var said = new Dictionary<string, string>(StringComparer.Ordinal);
        if (header.Item is { } item) said["item"] = item;
        if (header.Rig is { } rig) said["rig"] = rig;
        if (header.Revision is { } revision) said["revision"] = revision;
        if (header.Attempt is { } attempt) said["attempt"] = attempt.ToString(CultureInfo.InvariantCulture);
        if (header.StartedAt is { } startedAt) said["startedAt"] = startedAt.ToString("O", CultureInfo.InvariantCulture);
        if (header.IdleS is { } idleS) said["idleS"] = idleS.ToString("R", CultureInfo.InvariantCulture);
        return said;
    }

    // The library is asynchronous throughout; over memory it never waits, so blocking costs nothing.
    static T Done<T>(Task<T> task) => task.GetAwaiter().GetResult();

    static void Done(Task task) => task.GetAwaiter().GetResult();

    static void Done(ValueTask task) => task.AsTask().GetAwaiter().GetResult();
}
