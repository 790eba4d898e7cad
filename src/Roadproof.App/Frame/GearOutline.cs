namespace Roadproof.App.Frame;

/// <summary>The outline of a gear as it is drawn: involute flanks from teeth and module, in mm, y downwards as on a screen.</summary>
/// <remarks>
/// Pressure angle 20° in the normal plane, tip one module above and root 1.25 modules below the pitch circle (ISO 53 basic rack, from memory);
/// helical gears are drawn in their transverse section. Tooth thickness on the pitch circle is half a pitch: no backlash, no tip relief, no root fillet.
/// </remarks>
public static class GearOutline
{
    const double PressureAngleDeg = 20;
    const int FlankPoints = 4;

    /// <summary>Pitch radius, mm.</summary>
    public static double PitchRadiusMm(int teeth, double normalModuleM, double helixDeg) => teeth * TransverseModuleMm(normalModuleM, helixDeg) / 2;

    public static double TransverseModuleMm(double normalModuleM, double helixDeg) => 1e3 * normalModuleM / Math.Cos(Radians(helixDeg));

    /// <summary>Half the angle of a tooth at a radius, rad; π / (2 · teeth) on the pitch circle.</summary>
    public static double HalfToothRad(int teeth, double pitchRadiusMm, double baseRadiusMm, double radiusMm)
    {
        var atPitch = Involute(Math.Acos(baseRadiusMm / pitchRadiusMm));
        var here = Involute(Math.Acos(Math.Min(1, baseRadiusMm / Math.Max(radiusMm, baseRadiusMm))));
        return Math.PI / (2 * teeth) + atPitch - here;
    }

    /// <summary>SVG path of a gear with outer teeth, around its centre.</summary>
    /// <param name="toothAtDeg">Direction in which a tooth points.</param>
    public static string Path(int teeth, double normalModuleM, double helixDeg, double toothAtDeg, double centreXMm = 0, double centreYMm = 0)
    {
        var pitch = PitchRadiusMm(teeth, normalModuleM, helixDeg);
        var transversePressure = Math.Atan(Math.Tan(Radians(PressureAngleDeg)) / Math.Cos(Radians(helixDeg)));
        var baseRadius = pitch * Math.Cos(transversePressure);
        var (tip, root) = (pitch + 1e3 * normalModuleM, pitch - 1.25e3 * normalModuleM);
        var from = Math.Max(root, baseRadius);
        var radii = Enumerable.Range(0, FlankPoints).Select(i => from + (tip - from) * i / (FlankPoints - 1.0)).ToArray();

        var points = new List<string>(teeth * (2 * FlankPoints + 2));
        for (var tooth = 0; tooth < teeth; tooth++)
        {
            var middle = Radians(toothAtDeg) + 2 * Math.PI * tooth / teeth;
            var foot = HalfToothRad(teeth, pitch, baseRadius, from);
            if (root < from) Add(root, middle - foot);
            foreach (var r in radii) Add(r, middle - HalfToothRad(teeth, pitch, baseRadius, r));
            foreach (var r in radii.Reverse()) Add(r, middle + HalfToothRad(teeth, pitch, baseRadius, r));
            if (root < from) Add(root, middle + foot);
        }

        return $"M{string.Join('L', points)}Z";

        void Add(double radius, double angle) => points.Add(string.Create(CultureInfo.InvariantCulture, $"{centreXMm + radius * Math.Cos(angle):0.##} {centreYMm + radius * Math.Sin(angle):0.##}"));
    }

    static double Involute(double angleRad) => Math.Tan(angleRad) - angleRad;

    static double Radians(double degrees) => degrees * Math.PI / 180;
}
