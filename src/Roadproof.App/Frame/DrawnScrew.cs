namespace Roadproof.App.Frame;

/// <summary>One screw of a group's picture.</summary>
/// <param name="X">mm to the right; <paramref name="Y"/> upwards.</param>
/// <param name="Mark">pass, fail, undecided, hold, waiting, or <c>next</c>: the one to tighten now.</param>
/// <param name="Place">Its place in the order, from 1; 0 where any order will do.</param>
/// <param name="Recheck">It is turned on once more after the last.</param>
public sealed record DrawnScrew(int Number, double X, double Y, string Mark, int Place, bool Recheck);
