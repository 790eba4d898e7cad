using Roadproof.Records.ReadModel;

namespace Roadproof.App.Line;

/// <summary>What a plant lead would say first: of all lines the worst.</summary>
public static class PlantSentence
{
    const int LeadingUrgency = 90;

    public static string Of(IReadOnlyList<LineView> lines)
    {
        if (lines[0].Notes.FirstOrDefault() is { Urgency: >= LeadingUrgency } worst) return worst.Title.TrimEnd('.') + ".";
        var behind = lines.Where(l => l.Figures.BeatS > l.TaktS * 1.005).MaxBy(l => l.Figures.BeatS / l.TaktS);
        if (behind is not null) return $"{behind.Line} is behind its takt. {LineSentence.Of(behind)}";
        var building = lines.Where(l => l.Figures.Started > 0).ToList();
        if (building.Count == 0) return "Nothing built yet today.";
        return building.Count == lines.Count ? "Every line keeps its takt." : $"{string.Join(", ", building.Select(l => l.Line))}: at work, and in takt.";
    }
}
