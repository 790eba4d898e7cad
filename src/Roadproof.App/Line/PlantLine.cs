using Roadproof.Records.ReadModel;

namespace Roadproof.App.Line;

/// <summary>A line with the id that its page goes by.</summary>
public sealed record PlantLine(string Id, LineView View);
