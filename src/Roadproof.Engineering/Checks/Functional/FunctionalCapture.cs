using Roadproof.Engineering.Formats;
using Roadproof.Engineering.Quantities;
using static System.FormattableString;

namespace Roadproof.Engineering.Checks.Functional;

/// <summary>Sections of a functional check, by the number that the station writes.</summary>
public enum FunctionalSection
{
    /// <summary>Crank forward.</summary>
    Forward = 1,

    /// <summary>Crank backward.</summary>
    Backward = 2,

    /// <summary>Chainring backward from free: the drive train takes up and is turned along.</summary>
    Driven = 3,

    /// <summary>Rotor held, chainring backward with a torque that rises.</summary>
    Lock = 4,

    /// <summary>Chainring forward, crank still.</summary>
    Free = 5,

    /// <summary>Nothing turns; the controller sends a slow test current through the phases.</summary>
    Still = 6,
}

/// <summary>A functional check as its station recorded it, each channel of shape [rows]; null where a channel was not recorded.</summary>
/// <param name="AngleDeg">Of the shaft that the servo turns in the section.</param>
/// <param name="TorqueNm">That the servo gives, in the direction of the angle.</param>
/// <param name="SensorNm">The unit's own crank torque sensor.</param>
/// <param name="PhaseA">Phase currents u, v, w.</param>
/// <param name="MessagesMissed">Messages of the controller that did not come, counted up.</param>
public sealed record FunctionalCapture(double[] TimeS, int[] Section, double[] AngleDeg, double[] TorqueNm, double[]? SensorNm, double[][]? PhaseA, double[]? MessagesMissed, double[]? PartC)
{
    static readonly CurveColumn
        SectionNumber = new("section", "section", ["1"]),
        Angle = new("angle", "angle_deg", ["°", "deg"]),
        Torque = new("torque", "torque_nm", ["N·m", "Nm", "N m"]),
        Sensor = new("sensor_torque", "sensor_torque_nm", ["N·m", "Nm", "N m"], Required: false),
        U = new("phase_current_u", "phase_current_u_a", ["A"], Required: false),
        V = new("phase_current_v", "phase_current_v_a", ["A"], Required: false),
        W = new("phase_current_w", "phase_current_w_a", ["A"], Required: false),
        Missed = new("messages_missed", "messages_missed", ["1"], Required: false),
        Part = new("part", "part_c", ["°C", "C"], Required: false);

    /// <summary>Rows of one section, from the first to the one after the last.</summary>
    public Range? Rows(FunctionalSection section) => Array.IndexOf(Section, (int)section) is >= 0 and var first ? first..(Array.LastIndexOf(Section, (int)section) + 1) : null;

    /// <summary>Speed over the middle half of a section's way: its ends belong to starting and stopping.</summary>
    public double TurnDegPerS(FunctionalSection section)
    {
        var rows = Rows(section)!.Value;
        var (first, last) = (rows.Start.Value, rows.End.Value - 1);
        var way = Math.Abs(AngleDeg[last] - AngleDeg[first]);
        int Reached(double share)
        {
            var i = first;
            while (i < last && Math.Abs(AngleDeg[i] - AngleDeg[first]) < share * way) i++;
            return i;
        }

        var (from, to) = (Reached(0.25), Reached(0.75));
        return to > from ? Math.Abs(AngleDeg[to] - AngleDeg[from]) / (TimeS[to] - TimeS[from]) : 0;
    }

    /// <exception cref="InputException">Everything that is wrong with the file.</exception>
    public static FunctionalCapture Read(string source, Stream stream)
    {
        var table = CurveFile.Read(source, stream, [CurveColumn.Time, SectionNumber, Angle, Torque, Sensor, U, V, W, Missed, Part]);
        var (columns, errors) = (table.Columns, new List<InputError>());
        CurveRows.RequireRising(table, CurveColumn.Time.Name, errors);
        CurveRows.RequireChange(table, Torque.Name, errors);
        CurveRows.RequireChange(table, Angle.Name, errors);
        RequireSections(table, columns[SectionNumber.Name], errors);
        double[]?[] phases = [columns.GetValueOrDefault(U.Name), columns.GetValueOrDefault(V.Name), columns.GetValueOrDefault(W.Name)];
        if (phases.Count(p => p is not null) is 1 or 2) errors.Add(new(source, 1, "", "phase currents of some phases only", "all three, or none"));
        if (errors.Count > 0) throw new InputException(errors);
        return new(columns[CurveColumn.Time.Name], Array.ConvertAll(columns[SectionNumber.Name], s => (int)s), columns[Angle.Name], columns[Torque.Name], columns.GetValueOrDefault(Sensor.Name),
            phases is [{ } u, { } v, { } w] ? [u, v, w] : null, columns.GetValueOrDefault(Missed.Name), columns.GetValueOrDefault(Part.Name));
    }

    static void RequireSections(CurveTable table, double[] numbers, List<InputError> errors)
    {
        var seen = new HashSet<double>();
        for (var i = 0; i < numbers.Length; i++)
        {
            if (!Enum.IsDefined((FunctionalSection)(int)numbers[i]) || numbers[i] != Math.Floor(numbers[i]))
                errors.Add(new(table.Source, table.Lines[i], SectionNumber.Name, Invariant($"{numbers[i]}"), "1 forward, 2 backward, 3 driven, 4 lock, 5 free or 6 still"));
            else if ((i == 0 || numbers[i] != numbers[i - 1]) && !seen.Add(numbers[i]))
                errors.Add(new(table.Source, table.Lines[i], SectionNumber.Name, Invariant($"section {numbers[i]} a second time"), "each section once", "Send each run of the check as a file of its own."));
            if (errors.Count > 0) return;
        }

        foreach (var missing in Enum.GetValues<FunctionalSection>().Where(s => !seen.Contains((int)s)))
            errors.Add(new(table.Source, table.Lines[^1], SectionNumber.Name, Invariant($"no section {(int)missing} ({missing})"), "all six sections", "Was the file cut short?"));
    }
}
