using System.Text.Json;
using Roadproof.Engineering.Quantities;
using Spectre.Console;

namespace Roadproof.App.Frame;

/// <summary>The console as a face: a readable table for people, or exactly one JSON document on standard output; everything else goes to standard error.</summary>
public sealed class Face(bool json, TextWriter output, TextWriter error)
{
    /// <summary>Prints an answer once, in the form that was asked for.</summary>
    /// <param name="answer">The JSON document; its properties are the contract's field names.</param>
    /// <param name="readable">Writes the same for people.</param>
    public int Say<T>(T answer, Action<IAnsiConsole> readable, int exit = Exit.Done)
    {
        if (json)
            output.WriteLine(JsonSerializer.Serialize(answer, Json.Indented));
        else
            readable(Console);
        return exit;
    }

    /// <summary>Something on the way that is not the answer: progress, an address, a caution.</summary>
    public void Note(string text) => error.WriteLine(text);

    /// <summary>Works through many things. A person at a terminal sees on standard error how far it is; a file or a program sees nothing of it.</summary>
    /// <param name="what">In the plural: "rides".</param>
    /// <param name="work">Is given what to call after each of them, from any thread.</param>
    public T Watch<T>(string what, int count, Func<Action?, T> work)
    {
        const int few = 20;
        if (count <= few || System.Console.IsErrorRedirected || error != System.Console.Error) return work(null);
        var console = AnsiConsole.Create(new AnsiConsoleSettings { Out = new AnsiConsoleOutput(error) });
        return console.Progress().AutoClear(true).Columns(new TaskDescriptionColumn(), new ProgressBarColumn(), new PercentageColumn(), new RemainingTimeColumn()).Start(context =>
        {
            var task = context.AddTask(string.Create(CultureInfo.InvariantCulture, $"{count} {what}"), maxValue: count);
            return work(() => task.Increment(1));
        });
    }

    /// <summary>Everything wrong with the input, at once.</summary>
    public int Wrong(IReadOnlyList<InputError> errors)
    {
        if (json)
            output.WriteLine(JsonSerializer.Serialize(new { errors }, Json.Indented));
        foreach (var e in errors) error.WriteLine(e.ToString());
        return Exit.Wrong;
    }

    /// <summary>The trade's own "no".</summary>
    public int Refused(Refusal refusal)
    {
        if (json)
            output.WriteLine(JsonSerializer.Serialize(new { refusal.Reason, refusal.Remedy, refusal.Needed, refusal.Found }, Json.Indented));
        else
            error.WriteLine($"{refusal.Reason} {refusal.Remedy}");
        return Exit.No;
    }

    IAnsiConsole Console => field ??= Make();

    IAnsiConsole Make()
    {
        var console = AnsiConsole.Create(new AnsiConsoleSettings { Out = new AnsiConsoleOutput(output) });
        // Into a file or another program nothing is folded: there is no edge.
        if (System.Console.IsOutputRedirected || output != System.Console.Out) console.Profile.Width = 400;
        return console;
    }
}

/// <summary>Tables that read alike everywhere.</summary>
public static class Tables
{
    public static Table Of(params string[] columns)
    {
        var table = new Table().Border(TableBorder.Simple);
        foreach (var c in columns)
            table.AddColumn(new TableColumn(Markup.Escape(c.TrimStart('>'))) { Alignment = c.StartsWith('>') ? Justify.Right : Justify.Left, NoWrap = true });
        return table;
    }

    public static Table Row(this Table table, params string[] cells) => table.AddRow([.. cells.Select(c => new Text(c))]);

    /// <summary>A number with so many digits that count, never in powers of ten for the sizes of this trade.</summary>
    public static string Figure(double value, int decimals = 2) => value.ToString("F" + decimals, CultureInfo.InvariantCulture);
}
