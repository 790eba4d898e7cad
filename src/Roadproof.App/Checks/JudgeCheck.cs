using System.CommandLine;
using Roadproof.App.Frame;
using Roadproof.Engineering.Checks;
using Roadproof.Engineering.Judging;
using Roadproof.Engineering.Quantities;
using Spectre.Console;

namespace Roadproof.App.Checks;

/// <summary><c>checks judge KIND FILE …</c>: each kind of check is a verb of its own, with its own file and options.</summary>
public static class JudgeCheck
{
    public static Command Command()
    {
        var judge = new Command("judge", "Judges the curve of one check by its features.\n\nExample: roadproof checks judge tightening screw-1.csv");
        judge.Add(JudgeFunctional.Command());
        judge.Add(JudgeTightening.Command());
        judge.Add(JudgeLeak.Command());
        judge.Add(JudgePress.Command());
        judge.Add(JudgeGrease.Command());
        judge.Add(JudgeWinding.Command());
        return judge;
    }

    /// <summary>Reads every file with the kind's reader and gives all their errors at once.</summary>
    public static IReadOnlyList<T> ReadAll<T>(IReadOnlyList<string> files, Func<string, Stream, T> read)
    {
        var errors = new List<InputError>();
        var curves = new List<T>();
        foreach (var file in files)
        {
            if (!File.Exists(file))
            {
                errors.Add(new(file, 0, "", "no such file", "a curve as CSV"));
                continue;
            }

            using var stream = File.OpenRead(file);
            try
            {
                curves.Add(read(file, stream));
            }
            catch (InputException e)
            {
                errors.AddRange(e.Errors);
            }
        }

        return errors.Count == 0 ? curves : throw new InputException(errors);
    }

    /// <summary>Verdict, features and what they say, for people.</summary>
    public static void Print(IAnsiConsole console, RunVerdict verdict, IReadOnlyList<CheckFeature> features, string reading)
    {
        console.WriteLine(Spoken(verdict));
        console.Write(Features(features));
        console.WriteLine(reading);
    }

    public static int ExitOf(RunVerdict verdict) => verdict switch { RunVerdict.Pass => Exit.Done, RunVerdict.Fail => Exit.No, _ => Exit.CannotTell };

    public static string Spoken(RunVerdict verdict) => verdict switch { RunVerdict.Pass => "Pass.", RunVerdict.Fail => "Fail.", _ => "Hold: the curve cannot tell." };

    public static Table Features(IEnumerable<CheckFeature> features)
    {
        var table = Tables.Of("feature", ">value", "unit", ">from", ">to", ">u", "verdict");
        foreach (var f in features) table.Row(f.Name, Number(f.Value) is { Length: > 0 } value ? value : "–", f.Unit, Number(f.Lower), Number(f.Upper), Number(f.StandardUncertainty), f.Verdict?.ToString().ToLowerInvariant() ?? "");
        return table;
    }

    public static string Number(double? value) => value?.ToString("G4", CultureInfo.InvariantCulture) ?? "";
}
