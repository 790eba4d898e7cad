using System.Globalization;
using Roadproof.Engineering.Statistics;

namespace Roadproof.Plant.Line;

/// <summary>How often people and machines slip, each as a share of the occasions on which it could happen. Invented, of the order of what a good line sees.</summary>
public sealed record SlipRates
{
    public static readonly SlipRates Usual = new()
    {
        SentTwice = 0.004, AnswerLost = 0.003, WrongUnit = 0.0015, WrongLot = 0.003, ExpiredLot = 0.004, HeldLot = 0.006,
        LooseScrew = 0.015, LateReport = 0.0015, CutShort = 0.005, SpoiledMark = 0.007, WrongPerson = 0.002, LeftOver = 0.01,
    };

    public static readonly SlipRates None = new();

    /// <summary>Of messages: a scanner or agent sends the same message again at once.</summary>
    public double SentTwice { get; init; }

    /// <summary>Of messages: the answer never arrives, the agent sends the same again.</summary>
    public double AnswerLost { get; init; }

    /// <summary>Of begins: another unit of the line is scanned.</summary>
    public double WrongUnit { get; init; }

    /// <summary>Of steps with parts: a lot of another part is scanned.</summary>
    public double WrongLot { get; init; }

    /// <summary>Of steps with a part that has a shelf life: a leftover lot past its date is scanned.</summary>
    public double ExpiredLot { get; init; }

    /// <summary>Of steps with a part of which a lot is on hold since goods-in: that lot is scanned.</summary>
    public double HeldLot { get; init; }

    /// <summary>Of steps with screws: one is not tight at first and is tightened again before the step is reported.</summary>
    public double LooseScrew { get; init; }

    /// <summary>Of assembly and check steps: the station is off line when the step ends and reports it when it is back.</summary>
    public double LateReport { get; init; }

    /// <summary>Of load-test runs: a capture file ends too soon.</summary>
    public double CutShort { get; init; }

    /// <summary>Of marks: the laser spoils it.</summary>
    public double SpoiledMark { get; init; }

    /// <summary>Of begins where a qualification is asked for: somebody without it stands in.</summary>
    public double WrongPerson { get; init; }

    /// <summary>Of steps with a part of the variant, after the station was cleared for another order: a part that the last order has left there is scanned.</summary>
    public double LeftOver { get; init; }
}

/// <summary>What goes wrong at one step of one unit; drawn from seed, unit, step and attempt alone, so that one slip more does not move the others.</summary>
public sealed record Slips(
    bool BeginTwice, bool FinishTwice, bool BeginAnswerLost, bool FinishAnswerLost, bool WrongUnit, bool WrongLot, bool ExpiredLot, bool HeldLot,
    bool LooseScrew, bool LateReport, bool CutShort, bool SpoiledMark, bool WrongPerson, bool LeftOver)
{
    public static Slips Draw(ulong seed, int unit, string step, int attempt, SlipRates rates)
    {
        var noise = new SeededNoise(seed, string.Create(CultureInfo.InvariantCulture, $"slips {unit} {step} {attempt}"));
        bool Happens(double rate) => noise.Share() < rate;
        return new(
            Happens(rates.SentTwice), Happens(rates.SentTwice), Happens(rates.AnswerLost), Happens(rates.AnswerLost), Happens(rates.WrongUnit),
            Happens(rates.WrongLot), Happens(rates.ExpiredLot), Happens(rates.HeldLot), Happens(rates.LooseScrew), Happens(rates.LateReport),
            Happens(rates.CutShort), Happens(rates.SpoiledMark), Happens(rates.WrongPerson), Happens(rates.LeftOver));
    }
}

/// <summary>Counts the slips of a demo, each kind from the start at none.</summary>
sealed class SlipBook
{
    static readonly string[] Kinds = ["answer-lost", "cut-short", "expired-lot", "held-lot", "late-report", "left-over", "loose-screw", "sent-twice", "spoiled-mark", "wrong-lot", "wrong-person", "wrong-unit"];

    readonly SortedDictionary<string, (int Made, int Caught)> _counts = new(Kinds.ToDictionary(k => k, _ => (0, 0)), StringComparer.Ordinal);

    public void Made(string slip) => _counts[slip] = (_counts[slip].Made + 1, _counts[slip].Caught);

    public void Caught(string slip) => _counts[slip] = (_counts[slip].Made, _counts[slip].Caught + 1);

    public IReadOnlyList<SlipCount> Counts => [.. _counts.Select(c => new SlipCount(c.Key, c.Value.Made, c.Value.Caught))];
}
