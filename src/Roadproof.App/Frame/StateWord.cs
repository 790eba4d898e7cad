using Roadproof.Engineering.Judging;

namespace Roadproof.App.Frame;

/// <summary>A state as the pages show it: one of six marks, and its word. Shape first, then word, then colour.</summary>
/// <param name="Mark">pass, fail, hold, undecided, running or waiting: the shape and colour role.</param>
public sealed record StateWord(string Mark, string Word)
{
    /// <summary>States of stations, steps and units as the read model names them.</summary>
    public static StateWord Of(string state) => state switch
    {
        "pass" => new("pass", "Pass"),
        "passed" => new("pass", "Passed"),
        "shipped" => new("pass", "Shipped"),
        "fail" => new("fail", "Fail"),
        "scrapped" => new("fail", "Scrapped"),
        "hold" => new("hold", "Hold"),
        "held" => new("hold", "On hold"),
        "undecided" => new("undecided", "Undecided"),
        "running" => new("running", "Running"),
        "building" => new("running", "On its way"),
        "waiting" => new("waiting", "Waiting"),
        "" => new("waiting", "Waiting"),
        _ => new("waiting", char.ToUpperInvariant(state[0]) + state[1..]),
    };

    public static StateWord Of(Verdict verdict) => verdict switch
    {
        Verdict.Pass => new("pass", "Pass"),
        Verdict.Fail => new("fail", "Fail"),
        Verdict.Undecided => new("undecided", "Undecided"),
        Verdict.Usual => new("pass", "Usual"),
        Verdict.Unusual => new("hold", "Unusual"),
        _ => throw new InvalidOperationException($"Bug in Roadproof: verdict {verdict} has no mark. Please report this."),
    };

    public static StateWord Of(RunVerdict verdict) => verdict switch
    {
        RunVerdict.Pass => new("pass", "Pass"),
        RunVerdict.Fail => new("fail", "Fail"),
        RunVerdict.Hold => new("hold", "Hold"),
        _ => throw new InvalidOperationException($"Bug in Roadproof: verdict {verdict} has no mark. Please report this."),
    };
}
