using Roadproof.Engineering.Formats;
using Roadproof.Engineering.Quantities;
using static System.FormattableString;

namespace Roadproof.Engineering.Checks;

/// <summary>Reads a winding's check from CSV: readings by pair, an insulation curve, or a surge beside its master; which one, the columns say.</summary>
public static class WindingFile
{
    static readonly CurveColumn[]
        Resistance = [Ohm("resistance_uv"), Ohm("resistance_vw"), Ohm("resistance_wu")],
        Inductance = [Henry("inductance_uv"), Henry("inductance_vw"), Henry("inductance_wu")];

    static readonly CurveColumn
        Insulation = Ohm("insulation"), Winding = Celsius("winding"), Sensor = Celsius("sensor"), Time = CurveColumn.Time with { Required = false },
        Surge = new("surge", "surge_v", ["V"], Required: false), Master = new("master", "master_v", ["V"], Required: false);

    static readonly CurveColumn[] All = [.. Resistance, .. Inductance, Insulation, Winding, Sensor, Time, Surge, Master];

    /// <returns>One of the three.</returns>
    /// <exception cref="InputException">Everything that is wrong with the file.</exception>
    public static (WindingReadings? Readings, InsulationCurve? Insulation, SurgeCurves? Surge) Read(string source, Stream stream)
    {
        var table = CurveFile.Read(source, stream, All);
        var errors = new List<InputError>();
        var curve = table.Columns.ContainsKey(Time.Name);
        if (curve) CurveRows.RequireRising(table, Time.Name, errors);
        var surge = curve && table.Columns.ContainsKey(Surge.Name) ? SurgeOf(table, errors) : null;
        var insulation = curve && surge is null && table.Columns.ContainsKey(Insulation.Name) ? InsulationOf(table, errors) : null;
        var readings = curve ? null : ReadingsOf(table, errors);
        if (errors.Count == 0 && surge is null && insulation is null && readings is null)
            errors.Add(new(source, 1, "", "no reading of a winding", $"{Resistance[0].Name} and its like, {Inductance[0].Name} and its like, {Insulation.Name}, {Sensor.Name}, or {Time.Name} with {Insulation.Name} or with {Surge.Name} and {Master.Name}"));
        return errors.Count == 0 ? (readings, insulation, surge) : throw new InputException(errors);
    }

    static SurgeCurves? SurgeOf(CurveTable table, List<InputError> errors)
    {
        if (!table.Columns.TryGetValue(Master.Name, out var master))
        {
            errors.Add(new(table.Source, 1, "", $"{Surge.Name} without {Master.Name}", "the master's wave at the same instants beside it"));
            return null;
        }

        CurveRows.RequireChange(table, Surge.Name, errors);
        CurveRows.RequireChange(table, Master.Name, errors);
        return new(table.Columns[Time.Name], table.Columns[Surge.Name], master);
    }

    static InsulationCurve InsulationOf(CurveTable table, List<InputError> errors)
    {
        RequireAbove0(table, Insulation, errors);
        return new(table.Columns[Time.Name], table.Columns[Insulation.Name], table.Columns.GetValueOrDefault(Winding.Name)?.Average());
    }

    static WindingReadings? ReadingsOf(CurveTable table, List<InputError> errors)
    {
        var (resistance, inductance) = (PairsOf(table, Resistance, errors), PairsOf(table, Inductance, errors));
        var (insulation, sensor) = (table.Columns.GetValueOrDefault(Insulation.Name), table.Columns.GetValueOrDefault(Sensor.Name));
        if (insulation is not null) RequireAbove0(table, Insulation, errors);
        if (resistance is null && inductance is null && insulation is null && sensor is null) return null;
        return new()
        {
            ResistanceOhm = resistance, InductanceH = inductance, InsulationOhm = insulation?.Average(), SensorC = sensor?.Average(),
            WindingC = table.Columns.GetValueOrDefault(Winding.Name)?.Average(),
        };
    }

    static List<Pairs>? PairsOf(CurveTable table, CurveColumn[] columns, List<InputError> errors)
    {
        var there = columns.Where(c => table.Columns.ContainsKey(c.Name)).ToList();
        if (there.Count == 0) return null;
        foreach (var missing in columns.Except(there)) errors.Add(new(table.Source, 1, "", $"no column {missing.Name} beside {there[0].Name}", "all three pairs"));
        foreach (var column in there) RequireAbove0(table, column, errors);
        if (there.Count < columns.Length) return null;
        var (uv, vw, wu) = (table.Columns[columns[0].Name], table.Columns[columns[1].Name], table.Columns[columns[2].Name]);
        return [.. Enumerable.Range(0, uv.Length).Select(i => new Pairs(uv[i], vw[i], wu[i]))];
    }

    static void RequireAbove0(CurveTable table, CurveColumn column, List<InputError> errors)
    {
        var values = table.Columns[column.Name];
        var wrong = Array.FindIndex(values, v => v <= 0);
        if (wrong >= 0) errors.Add(new(table.Source, table.Lines[wrong], column.Name, Invariant($"{values[wrong]:G6}"), $"a value above 0 {column.Units[0]}"));
    }

    static CurveColumn Ohm(string quantity) => new(quantity, $"{quantity}_ohm", ["Ω", "Ohm", "ohm"], Required: false);

    static CurveColumn Henry(string quantity) => new(quantity, $"{quantity}_h", ["H"], Required: false);

    static CurveColumn Celsius(string quantity) => new(quantity, $"{quantity}_c", ["°C", "C"], Required: false);
}
