namespace Roadproof.Engineering.Life;

/// <summary>The shape of a tooth's root, which makes a stress of a force at its tip.</summary>
/// <remarks>
/// External gears cut by the standard basic rack (20°, addendum 1, dedendum 1.25, root radius 0.38 modules; ISO 53 profile A). The critical section is where a tangent of 30° touches the fillet.
/// Source: ISO 6336-3 and DIN 3990-3, force at the tip (equations from memory); held against the form and stress factors of handbook tables.
/// </remarks>
public readonly record struct ToothForm
{
    const double PressureRad = 20 * Math.PI / 180;
    const double Addendum = 1;
    const double Dedendum = 1.25;
    const double RootRadius = 0.38;

    ToothForm(double form, double stress)
    {
        Form = form;
        Stress = stress;
    }

    /// <summary>Form factor Y_Fa: the bending stress of a tangential force over force / (face width · normal module).</summary>
    public double Form { get; }

    /// <summary>Stress correction Y_Sa: what the notch of the fillet adds.</summary>
    public double Stress { get; }

    /// <param name="teeth">Of the spur gear that a helical one looks like in the normal plane: z/(cos²β_b·cos β); need not be whole.</param>
    /// <param name="shift">Profile shift in normal modules.</param>
    /// <exception cref="ArgumentOutOfRangeException">A tooth of this shape has no root left, or comes to a point.</exception>
    public static ToothForm Of(double teeth, double shift = 0)
    {
        var (sin, cos) = Math.SinCos(PressureRad);
        var tan = sin / cos;
        var e = Math.PI / 4 - Dedendum * tan - (1 - sin) * RootRadius / cos;
        var g = RootRadius - Dedendum + shift;
        var h = 2 / teeth * (Math.PI / 2 - e) - Math.PI / 3;
        var theta = Math.PI / 6;
        for (var round = 0; round < 100; round++)
        {
            // Newton's step on ϑ = 2G/z·tan ϑ − H.
            var c = Math.Cos(theta);
            var next = theta - (theta - 2 * g / teeth * Math.Tan(theta) + h) / (1 - 2 * g / teeth / (c * c));
            if (Math.Abs(next - theta) < 1e-14) break;
            theta = next;
        }

        var cosTheta = Math.Cos(theta);
        var chord = teeth * Math.Sin(Math.PI / 3 - theta) + Math.Sqrt(3) * (g / cosTheta - RootRadius);
        var radius = RootRadius + 2 * g * g / (cosTheta * (teeth * cosTheta * cosTheta - 2 * g));
        var tip = teeth + 2 * (Addendum + shift);
        var tipRad = Math.Acos(teeth * cos / tip);
        var halfTipRad = (Math.PI / 2 + 2 * shift * tan) / teeth + Involute(PressureRad) - Involute(tipRad);
        if (!(chord > 0) || !(radius > 0) || !(halfTipRad > 0))
            throw new ArgumentOutOfRangeException(nameof(teeth), teeth, FormattableString.Invariant($"No tooth: {teeth:0.#} teeth with a profile shift of {shift:0.##} modules are {(halfTipRad > 0 ? "cut away at the root" : "pointed")}."));

        var forceRad = tipRad - halfTipRad;
        var arm = ((Math.Cos(halfTipRad) - Math.Sin(halfTipRad) * Math.Tan(forceRad)) * tip - teeth * Math.Cos(Math.PI / 3 - theta) - (g / cosTheta - RootRadius)) / 2;
        var form = 6 * arm * Math.Cos(forceRad) / (chord * chord * cos);
        var slender = chord / arm;
        var stress = (1.2 + 0.13 * slender) * Math.Pow(chord / (2 * radius), 1 / (1.21 + 2.3 / slender));
        return new(form, stress);
    }

    /// <summary>tan α − α.</summary>
    public static double Involute(double rad) => Math.Tan(rad) - rad;
}
