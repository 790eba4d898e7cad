namespace Roadproof.Engineering.Formats;

/// <summary>The channel names a rig's files use, and what a differently written name most likely means.</summary>
/// <remarks>Every name ends in its unit, so that a file can be read without a second document.</remarks>
public static class CaptureChannel
{
    public const string Time = "time_s";
    public const string BusVoltage = "bus_voltage_v";
    public const string BusCurrent = "bus_current_a";
    public const string PhaseVoltageU = "phase_voltage_u_v";
    public const string PhaseVoltageV = "phase_voltage_v_v";
    public const string PhaseVoltageW = "phase_voltage_w_v";
    public const string VoltageD = "voltage_d_v";
    public const string VoltageQ = "voltage_q_v";
    public const string PhaseCurrentU = "phase_current_u_a";
    public const string PhaseCurrentV = "phase_current_v_a";
    public const string PhaseCurrentW = "phase_current_w_a";
    public const string MotorAngle = "motor_angle_rad";
    public const string MotorSpeed = "motor_speed_rad_s";
    public const string CrankTorque = "crank_torque_nm";
    public const string CrankSpeed = "crank_speed_rad_s";
    public const string OutputTorque = "output_torque_nm";
    public const string OutputSpeed = "output_speed_rad_s";
    public const string WheelSpeed = "wheel_speed_rad_s";
    public const string Vibration = "vibration_m_s2";
    public const string Winding = "winding_c";
    public const string Controller = "controller_c";
    public const string Shell = "shell_c";
    public const string Ambient = "ambient_c";
    public const string ReportedPhaseCurrent = "reported_phase_current_a";
    public const string ReportedTorque = "reported_torque_nm";
    public const string Brake = "brake";
    public const string WalkAssist = "walk_assist";

    /// <summary>Every name above but the time's.</summary>
    public static readonly IReadOnlyList<string> Known =
    [
        BusVoltage, BusCurrent, PhaseVoltageU, PhaseVoltageV, PhaseVoltageW, VoltageD, VoltageQ, PhaseCurrentU, PhaseCurrentV, PhaseCurrentW,
        MotorAngle, MotorSpeed, CrankTorque, CrankSpeed, OutputTorque, OutputSpeed, WheelSpeed, Vibration, Winding, Controller, Shell, Ambient,
        ReportedPhaseCurrent, ReportedTorque, Brake, WalkAssist,
    ];

    /// <summary>Of <paramref name="names"/> the one that differs from <paramref name="wanted"/> in the fewest letters; null if none is near enough to be a slip of the pen.</summary>
    public static string? Nearest(string wanted, IEnumerable<string> names)
    {
        var nearest = names.Select(name => (name, Slips: Slips(wanted, name))).OrderBy(pair => pair.Slips).FirstOrDefault();
        return nearest.name is not null && nearest.Slips <= Math.Max(2, wanted.Length / 4) ? nearest.name : null;
    }

    /// <summary>Letters to change, add or drop to turn one name into the other, capitals set aside.</summary>
    static int Slips(string a, string b)
    {
        var above = new int[b.Length + 1];
        var row = new int[b.Length + 1];
        for (var j = 0; j <= b.Length; j++) above[j] = j;
        for (var i = 1; i <= a.Length; i++)
        {
            row[0] = i;
            for (var j = 1; j <= b.Length; j++)
            {
                var same = char.ToLowerInvariant(a[i - 1]) == char.ToLowerInvariant(b[j - 1]);
                row[j] = Math.Min(Math.Min(above[j], row[j - 1]) + 1, above[j - 1] + (same ? 0 : 1));
            }

            (above, row) = (row, above);
        }

        return above[b.Length];
    }
}
