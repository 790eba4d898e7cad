using System.Globalization;
using System.Runtime.CompilerServices;
using Roadproof.Engineering.Quantities;

namespace Roadproof.Records.Definitions;

/// <summary>A place in a definition file; line and column are counted from 1.</summary>
public readonly record struct Place(string Source, int Line, int Column);

/// <summary>Everything found wrong so far, and where each bound value stood, so that a rule about values can point at text.</summary>
/// <remarks>A value that could not be read is broken: rules about it stay silent, because its own error has been told.</remarks>
public sealed class Findings
{
    readonly List<(Place Place, InputError Error)> errors = [];
    readonly Dictionary<(object Owner, string Property), Place> places = new(new SameObject());
    readonly HashSet<(object Owner, string Property)> broken = new(new SameObject());

    /// <summary>All errors, file by file and from top to bottom.</summary>
    public IReadOnlyList<InputError> InOrder =>
        [.. errors.OrderBy(e => e.Place.Source, StringComparer.Ordinal).ThenBy(e => e.Place.Line).ThenBy(e => e.Place.Column).Select(e => e.Error)];

    public void Wrong(Place place, string found, string expected, string? hint = null) =>
        errors.Add((place, new InputError(place.Source, place.Line, place.Line > 0 ? place.Column.ToString(CultureInfo.InvariantCulture) : "", found, expected, hint)));

    /// <summary>Says what is wrong with a bound value, at the place where it stood; silent when the value is broken.</summary>
    public void Wrong(object owner, string property, string found, string expected, string? hint = null)
    {
        if (!Sound(owner, property)) return;
        if (!places.TryGetValue((owner, property), out var place) && !places.TryGetValue((owner, ""), out place))
            throw new InvalidOperationException($"Bug in Roadproof: {owner.GetType().Name}.{property} has no place in its file. Please report it with the definition files.");
        Wrong(place, found, expected, hint);
    }

    /// <summary>Keeps where a value stood; an empty property means the owner itself.</summary>
    public void Keep(object owner, string property, Place place) => places[(owner, property)] = place;

    /// <summary>The name under which an item of a list of plain values is kept.</summary>
    public static string Item(string property, int index) => string.Create(CultureInfo.InvariantCulture, $"{property}[{index}]");

    public void Break(object owner, string property) => broken.Add((owner, property));

    /// <summary>None of the values is broken.</summary>
    public bool Sound(object owner, params ReadOnlySpan<string> properties)
    {
        foreach (var property in properties)
        {
            if (broken.Contains((owner, property))) return false;
        }

        return true;
    }

    // Records compare by content; two equal stations stand in two places.
    sealed class SameObject : IEqualityComparer<(object Owner, string Property)>
    {
        public bool Equals((object Owner, string Property) x, (object Owner, string Property) y) => ReferenceEquals(x.Owner, y.Owner) && x.Property == y.Property;

        public int GetHashCode((object Owner, string Property) key) =>
            HashCode.Combine(RuntimeHelpers.GetHashCode(key.Owner), key.Property.GetHashCode(StringComparison.Ordinal));
    }
}
