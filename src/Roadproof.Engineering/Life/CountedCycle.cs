namespace Roadproof.Engineering.Life;

/// <summary>A counted load cycle, in the unit of its signal.</summary>
/// <param name="Range">From valley to peak.</param>
/// <param name="Mean">Half way between them.</param>
/// <param name="Count">1 where it closed, 0.5 where the history began or ended within it.</param>
public readonly record struct CountedCycle(double Range, double Mean, double Count);
