using System.Text;
using Roadproof.App.Frame;
using Roadproof.Records.ReadModel;

namespace Roadproof.App.Line;

/// <summary>What a shift lead would say on looking up: at most two sentences, made from the data, the worst first.</summary>
public static class LineSentence
{
    const int LeadingUrgency = 90;
    const int LongQueue = 5;

    /// <summary>So many takts without a movement anywhere: the line stands.</summary>
    const int StandingTakts = 10;

    public static string Of(LineView view)
    {
        if (view.Figures.Started == 0 && view.Stations.All(s => s.Unit is null) && view.Figures.InProgress == 0)
            return view.Notes.Count == 0 ? "Nothing built yet today. The line waits for its first shell." : $"Nothing built yet today. {Stop(view.Notes[0].Title)}";

        var said = new List<string>();
        if (view.Notes.FirstOrDefault() is { Urgency: >= LeadingUrgency } worst) said.Add(Stop(worst.Title));
        said.Add(Beat(view));
        if (said.Count < 2 && Holds(view) is { } holds) said.Add(holds);
        return string.Join(' ', said);
    }

    static string Beat(LineView view)
    {
        var moved = view.Stations.Where(s => s.Since is not null).Max(s => s.Since);
        if (moved is { } last && (view.Now - last).TotalSeconds > StandingTakts * view.TaktS) return $"The line stands still: nothing has moved for {Figure.Ago(view.Now - last)}.";

        var columns = LineColumn.Of(view);
        var slowest = columns.Where(c => c.BeatS is not null).MaxBy(c => c.BeatS);
        if (slowest is not null && slowest.BeatS > view.TaktS * 1.005)
            return $"{slowest.Name} sets the beat: {Figure.Of(slowest.BeatS.Value, 0)} s against {Figure.Of(view.TaktS, 0)}.";

        if (slowest is not null && view.Figures.BeatS > view.TaktS * 1.005)
            return $"A unit comes off every {Figure.Of(view.Figures.BeatS.Value, 0)} s against {Figure.Of(view.TaktS, 0)}, though no station is slower: it waited for parts or for people.";

        var queue = columns.MaxBy(c => c.WaitingAhead);
        if (queue is { WaitingAhead: >= LongQueue }) return $"{Figure.Of(queue.WaitingAhead, "unit")} wait before {Lower(queue.Name)}.";

        var idle = view.Stations.Count(s => s.State == "waiting" && s.Unit is null);
        if (slowest is null) return $"{Figure.Of(view.Figures.InProgress, "unit")} on the way, none through a step yet.";
        return idle == view.Stations.Count ? "No unit is at any station." : "Every station keeps the beat.";
    }

    static string? Holds(LineView view)
    {
        if (view.Figures.OnHold == 0) return null;
        var groups = view.Figures.Holds;
        var are = view.Figures.OnHold == 1 ? "is" : "are";
        var reason = groups.Count switch
        {
            0 => "",
            1 => $": {Lower(groups[0].Reason).TrimEnd('.')}",
            _ => $" for {Figure.Of(groups.Count, "reason")}",
        };
        return $"{Figure.Of(view.Figures.OnHold, "unit")} {are} on hold{reason}.";
    }

    static string Stop(string sentence) => sentence.EndsWith('.') ? sentence : sentence + ".";

    // A first word written in capitals or with digits is a name, not a word.
    static string Lower(string text)
    {
        var first = text.Split(' ')[0];
        return first.Length > 1 && first.Skip(1).All(c => char.IsLower(c) || c == '-')
            ? new StringBuilder(text) { [0] = char.ToLowerInvariant(text[0]) }.ToString()
            : text;
    }
}
