using Roadproof.Engineering.LoadTest;
using Roadproof.Records.Definitions;

namespace Roadproof.Records.Rework;

/// <summary>The parts that a fault of the load test's diagnosis may sit in, by what the definitions say that a bad lot of each would move.</summary>
/// <remarks>Physics of the drive unit: drag, mesh and blows are of the motor's parts or of the gears'; what moves flux or resistance is a part of the motor.</remarks>
public static class FaultParts
{
    /// <summary>The first to look at first; none where the fault sits in no part whose lots are watched.</summary>
    /// <param name="fault">Of two at once the parts of both.</param>
    /// <param name="parts">Of the unit's own route: what is inside one of them is looked at behind it.</param>
    public static IEnumerable<string> Of(string fault, IReadOnlyList<PartDefinition> parts) => Each(fault).SelectMany(f => OfOne(f, parts)).Distinct();

    static string[] Each(string fault) => fault.Split(DiagnosisLine.Both);

    static IEnumerable<string> OfOne(string fault, IReadOnlyList<PartDefinition> parts) =>
        At(fault) is not { } looked ? [] : from part in parts
                                           let rank = part.Moves.ToList().IndexOf(looked.Family)
                                           where rank >= 0 && (looked.OfMotor is null || looked.OfMotor == IsOfMotor(part))
                                           orderby rank
                                           select part.Id;

    /// <summary>A bad lot of the part would show in what the fault moves.</summary>
    public static bool MayShow(string fault, PartDefinition part) => Each(fault).Any(f => At(f) is { } looked && part.Moves.Contains(looked.Family));

    static (ReadingFamily Family, bool? OfMotor)? At(string fault) => fault switch
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

    static bool IsOfMotor(PartDefinition part) => part.Moves.Contains(ReadingFamily.Flux) || part.Moves.Contains(ReadingFamily.Resistance);
}
