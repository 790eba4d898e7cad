using System.CommandLine;
using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Road;

namespace Roadproof.App.Road;

/// <summary>Who rides, on what and in which air: the options of every command that takes rides.</summary>
sealed class RidingOptions
{
    readonly Option<double> riderMass = new("--rider-mass-kg") { DefaultValueFactory = _ => Rider.Default.RiderMassKg, Description = "Rider, kg." };
    readonly Option<double> bikeMass = new("--bike-mass-kg") { DefaultValueFactory = _ => Rider.Default.BikeMassKg, Description = "Bike and luggage, kg." };
    readonly Option<double> cda = new("--cda-m2") { DefaultValueFactory = _ => Rider.Default.CdaM2, Description = "Drag area, m²." };
    readonly Option<double> rolling = new("--crr") { DefaultValueFactory = _ => Rider.Default.RollingCoefficient, Description = "Rolling resistance coefficient." };
    readonly Option<double> cadence = new("--cadence-rad-s") { DefaultValueFactory = _ => Rider.Default.PreferredCadenceRadPerS, Description = "Preferred cadence, rad/s." };
    readonly Option<double> assist = new("--assist") { DefaultValueFactory = _ => Rider.Default.AssistanceFactor, Description = "Assistance factor: motor power over rider power." };
    readonly Option<double> battery = new("--battery-wh") { DefaultValueFactory = _ => Battery.Default.EnergyWh, Description = "Battery, full at the start of each ride, Wh." };
    readonly Option<double?> ambient = new("--ambient-c") { Description = "Air around the unit, °C; without, the ride's own, else 15." };
    readonly Option<double> follows = new("--motor-follows") { DefaultValueFactory = _ => Pulsation.Default.MotorFollows, Description = "Share of the legs' pulsation that the motor's torque follows, 0 to 1." };
    readonly Option<int> chainring = new("--chainring") { DefaultValueFactory = _ => Gearing.Usual.ChainringTeeth, Description = "Teeth of the chainring." };
    readonly Option<string> sprockets = new("--sprockets") { DefaultValueFactory = _ => GearingText.Sprockets(Gearing.Usual), Description = "Teeth of the sprockets; one alone before a geared hub." };
    readonly Option<string> hub = new("--hub") { DefaultValueFactory = _ => GearingText.Hub(Gearing.Usual), Description = "Ratios of a geared hub, such as 0.73-1-1.36; 0.5..1.9 for one without steps." };
    readonly Option<bool> meter = new("--meter-reads-rider") { Description = "The recording bike had a motor: a power meter at its crank read the rider alone, and the total is computed from the way." };
    readonly WindOptions wind = new();

    public IEnumerable<Symbol> All => [riderMass, bikeMass, cda, rolling, cadence, assist, battery, ambient, follows, chainring, sprockets, hub, meter, .. wind.All];

    public (Rider Rider, UnitOnRoadOptions Options) Of(ParseResult input) =>
    (
        new Rider
        {
            RiderMassKg = input.GetValue(riderMass),
            BikeMassKg = input.GetValue(bikeMass),
            CdaM2 = input.GetValue(cda),
            RollingCoefficient = input.GetValue(rolling),
            PreferredCadenceRadPerS = input.GetValue(cadence),
            AssistanceFactor = input.GetValue(assist),
            Gearing = GearingOf(input),
        },
        new UnitOnRoadOptions
        {
            Battery = new() { EnergyWh = input.GetValue(battery) },
            AmbientC = input.GetValue(ambient),
            Pulsation = new() { MotorFollows = input.GetValue(follows) },
            Wind = wind.Of(input),
            MeterReadsRider = input.GetValue(meter),
        });

    Gearing GearingOf(ParseResult input)
    {
        List<InputError> errors = [];
        var gearing = new Gearing { ChainringTeeth = input.GetValue(chainring) }.WithSprockets(input.GetValue(sprockets)!, "gears", errors).WithHub(input.GetValue(hub)!, "gears", errors);
        return errors.Count > 0 ? throw new InputException(errors) : gearing;
    }
}
