using System.CommandLine;
using Roadproof.App.Frame;
using Roadproof.Engineering.Road;
using Spectre.Console;

namespace Roadproof.App.Road;

/// <summary>The power that riding takes at one speed and gradient, term by term.</summary>
public static class ComputePower
{
    public sealed record Answer(
        double TotalW, double AirW, double RollingW, double BearingW, double GravityW, double KineticW, string Method, IReadOnlyList<string> Warnings);

    public static Command Command()
    {
        var usual = RoadResistance.Default;
        Option<double> speed = new("--speed-mps") { Required = true, Description = "Road speed, m/s." };
        Option<double> gradient = new("--gradient") { Description = "Rise over run; 0.08 is 8 %." };
        Option<double> mass = Number("--mass-kg", usual.MassKg, "Rider, bike and luggage, kg.");
        Option<double> cda = Number("--cda-m2", usual.CdaM2, "Drag area, m².");
        Option<double> wheelDrag = Number("--fw-m2", usual.WheelDragM2, "Drag area of the turning wheels, m².");
        Option<double> rolling = Number("--crr", usual.RollingCoefficient, "Rolling resistance coefficient.");
        Option<double> density = Number("--density-kg-m3", usual.DensityKgPerM3, "Air density, kg/m³.");
        Option<double> wind = new("--wind-mps") { Description = "Headwind, m/s; positive against the rider." };
        Option<double> acceleration = new("--acceleration-mps2") { Description = "Acceleration, m/s²." };
        Option<double> inertia = Number("--wheel-inertia-kg-m2", usual.WheelInertiaKgM2, "Inertia of both wheels, kg·m².");
        Option<double> radius = Number("--wheel-radius-m", usual.WheelRadiusM, "Wheel radius, m.");
        Option<double> efficiency = Number("--efficiency", usual.Efficiency, "Chain efficiency, above 0 and up to 1.");
        Option<double> gravity = Number("--g-mps2", usual.GravityMps2, "Gravity, m/s².");
        return CommandLine.Verb("power", "Power at the chainring, term by term.", "road power --speed-mps 4 --gradient 0.08 --mass-kg 110",
            [speed, gradient, mass, cda, wheelDrag, rolling, density, wind, acceleration, inertia, radius, efficiency, gravity], (input, face, _) =>
            {
                var a = Run(input.GetValue(speed), input.GetValue(gradient), new RoadResistance
                {
                    MassKg = input.GetValue(mass),
                    CdaM2 = input.GetValue(cda),
                    WheelDragM2 = input.GetValue(wheelDrag),
                    RollingCoefficient = input.GetValue(rolling),
                    DensityKgPerM3 = input.GetValue(density),
                    WheelInertiaKgM2 = input.GetValue(inertia),
                    WheelRadiusM = input.GetValue(radius),
                    Efficiency = input.GetValue(efficiency),
                    GravityMps2 = input.GetValue(gravity),
                }, input.GetValue(acceleration), input.GetValue(wind));
                return Task.FromResult(face.Say(a, console =>
                {
                    console.Write(Tables.Of("", ">W").Row("air", Tables.Figure(a.AirW)).Row("rolling", Tables.Figure(a.RollingW)).Row("bearings", Tables.Figure(a.BearingW))
                        .Row("gravity", Tables.Figure(a.GravityW)).Row("kinetic", Tables.Figure(a.KineticW)).Row("total at the chainring", Tables.Figure(a.TotalW)));
                    console.WriteLine(a.Method);
                }));
            });
    }

    public static Answer Run(double speedMps, double gradient, RoadResistance resistance, double accelerationMps2, double headwindMps)
    {
        var p = RoadPower.At(speedMps, gradient, resistance, accelerationMps2, headwindMps);
        return new(p.TotalW, p.AirW, p.RollingW, p.BearingW, p.GravityW, p.KineticW,
            "Martin et al. 1998; terms before, total after division by the chain efficiency; docs/methods/road.md.", []);
    }

    static Option<double> Number(string name, double usual, string description) => new(name) { DefaultValueFactory = _ => usual, Description = description };
}
