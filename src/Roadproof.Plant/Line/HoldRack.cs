namespace Roadproof.Plant.Line;

/// <summary>Where stopped units stand until a person decides.</summary>
sealed class HoldRack
{
    public sealed class Place(UnitOnLine unit, DateTimeOffset since)
    {
        public UnitOnLine Unit => unit;
        public DateTimeOffset Since => since;

        /// <summary>A person has looked and leaves it there.</summary>
        public bool Stays { get; set; }
    }

    public List<Place> Places { get; } = [];

    public void Put(UnitOnLine unit, DateTimeOffset now) => Places.Add(new(unit, now));
}
