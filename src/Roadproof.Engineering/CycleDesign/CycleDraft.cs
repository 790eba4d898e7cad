namespace Roadproof.Engineering.CycleDesign;

/// <summary>A steady piece of a cycle, or a pulse that happens some times.</summary>
readonly record struct DraftPart(double TorqueNm, double RadPerS, double HoldS, int Times, bool IsPulse)
{
    public double Seconds => Times * (HoldS + (IsPulse ? CycleDraft.PauseS : 0));
}

/// <summary>A cycle while it is being shaped: parts, and rest for what they leave of its length.</summary>
readonly record struct CycleDraft(IReadOnlyList<DraftPart> Parts, double DurationS)
{
    /// <summary>Lets the clutch go.</summary>
    public const double PauseS = 1;

    public double RestS => DurationS - Parts.Sum(p => p.Seconds);

    /// <summary>What the pass begins with, which takes the clutch up: the lightest steady part.</summary>
    public DraftPart? First => Parts.Where(p => !p.IsPulse).OrderBy(p => p.TorqueNm).Select(p => (DraftPart?)p).FirstOrDefault();

    /// <summary>The longest steady part that is more than two seconds.</summary>
    public int? Longest()
    {
        int? longest = null;
        for (var i = 0; i < Parts.Count; i++)
            if (!Parts[i].IsPulse && Parts[i].HoldS > 2 && (longest is not { } best || Parts[i].HoldS > Parts[best].HoldS)) longest = i;
        return longest;
    }

    public CycleDraft With(int index, DraftPart part) => this with { Parts = [.. Parts.Select((p, i) => i == index ? part : p)] };

    /// <summary>A part longer by so many seconds, or a pulse so many times more.</summary>
    public CycleDraft Moved(int index, int step) => With(index, Parts[index].IsPulse ? Parts[index] with { Times = Parts[index].Times + step } : Parts[index] with { HoldS = Parts[index].HoldS + step });

    public bool IsPossible(double shortestS) => RestS >= PauseS && Parts.All(p => p.IsPulse ? p.Times >= 0 : p.HoldS >= shortestS);

    /// <summary>Light and heavy parts in turn, so that the winding cools between; then the pulses, then rest.</summary>
    public List<CyclePoint> Points()
    {
        var steady = Parts.Where(p => !p.IsPulse).OrderBy(p => p.TorqueNm).ToList();
        List<CyclePoint> points = [];
        for (int low = 0, high = steady.Count - 1; low <= high; low++, high--)
        {
            points.Add(Held(steady[low]));
            if (high > low) points.Add(Held(steady[high]));
        }

        foreach (var pulse in Parts.Where(p => p.IsPulse))
        {
            for (var n = 0; n < pulse.Times; n++)
            {
                if (points.Count > 0) points.Add(new(0, 0, PauseS));
                points.Add(Held(pulse));
            }
        }

        points.Add(new(0, 0, Math.Max(PauseS, DurationS - points.Sum(p => p.HoldS))));
        return points;

        static CyclePoint Held(DraftPart p) => new(p.TorqueNm, p.RadPerS, p.HoldS);
    }
}
