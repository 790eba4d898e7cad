using Roadproof.Records.Definitions;

namespace Roadproof.Records.Rework;

/// <summary>The parts that a fault of the load test's diagnosis may sit in, by what the definitions say that a bad lot of each would move.</summary>
/// <remarks>Physics of the drive unit: drag, mesh and blows are of the motor's parts or of the gears'; what moves flux or resistance is a part of the motor.</remarks>
public static class FaultParts
{
    /// <summary>The first to look at first; none where the fault sits in no part whose lots are watched.</summary>
    public static IEnumerable<string> Of(string fault, IReadOnlyList<PartDefinition> parts)
    {
        (ReadingFamily Family, bool? OfMotor)? at = fault switch
        {
            "motor-drag" => (ReadingFamily.Losses, true),
            "stiff-grease" or "grease-missing" => (ReadingFamily.Losses, false),
            "mesh-loss" or "tooth-damage" => (ReadingFamily.Vibration, false),
            "crimp" => (ReadingFamily.Resistance, null),
            "weak-flux" or "magnet-missing" => (ReadingFamily.Flux, null),
            "rotor-offset" => (ReadingFamily.RotorOffset, null),
            "current-gain" => (ReadingFamily.Controller, null),
            _ => null,
        };
        return at is not { } looked ? [] : from part in parts
                                           let rank = part.Moves.ToList().IndexOf(looked.Family)
                                           where rank >= 0 && (looked.OfMotor is null || looked.OfMotor == IsOfMotor(part))
                                           orderby rank
                                           select part.Id;
    }

    static bool IsOfMotor(PartDefinition part) => part.Moves.Contains(ReadingFamily.Flux) || part.Moves.Contains(ReadingFamily.Resistance);
}
