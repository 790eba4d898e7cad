namespace Roadproof.App.Frame;

/// <summary>What the process says when it ends; outsiders rely on these numbers.</summary>
public static class Exit
{
    public const int Done = 0;

    /// <summary>Done, and the answer is no: a fail, a broken ledger, a refused step.</summary>
    public const int No = 1;

    /// <summary>Wrong usage or wrong input.</summary>
    public const int Wrong = 2;

    /// <summary>Something needed is not there: server, disk, permission.</summary>
    public const int Missing = 3;

    /// <summary>Done, and the answer is "cannot tell": undecided, hold.</summary>
    public const int CannotTell = 4;
}
